package trigger

import (
	"os"
	"unsafe"
)

// OnKernel gives a set another kernel to ask for GPIO lines.
func OnKernel(o Options, open func(chip string) (*os.File, error), ioctl func(f *os.File, request uint, arg unsafe.Pointer) error) Options {
	k := &kernel{open: open, ioctl: ioctl}
	return On(o, func(s *System) { s.line = k.line })
}

// The layout that is assumed of the kernel's interface.
var GPIOFlags = map[string]uint64{
	"GPIO_V2_LINE_FLAG_ACTIVE_LOW": gpioActiveLow, "GPIO_V2_LINE_FLAG_INPUT": gpioInput, "GPIO_V2_LINE_FLAG_EDGE_RISING": gpioRising,
	"GPIO_V2_LINE_FLAG_EDGE_FALLING": gpioFalling, "GPIO_V2_LINE_FLAG_BIAS_PULL_UP": gpioPullUp, "GPIO_V2_LINE_FLAG_BIAS_PULL_DOWN": gpioPullDown,
	"GPIO_V2_LINE_FLAG_BIAS_DISABLED": gpioPullNone,
}

const (
	EventTimeAt  = eventTimeAt
	EventIDAt    = eventIDAt
	EventCountAt = eventCountAt
	EventSize    = eventSize
)
