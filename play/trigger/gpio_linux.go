package trigger

import (
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"os"
	"time"
	"unsafe"

	"golang.org/x/sys/unix"

	"lampblack/play/device"
)

// Flags of a line (linux/gpio.h, enum gpio_v2_line_flag); requests and structures are
// package unix's.
const (
	gpioActiveLow = 1 << 1
	gpioInput     = 1 << 2
	gpioRising    = 1 << 4
	gpioFalling   = 1 << 5
	gpioPullUp    = 1 << 8
	gpioPullDown  = 1 << 9
	gpioPullNone  = 1 << 10
)

// gpioConsumer is what the kernel tells others who holds the line.
const gpioConsumer = "lampblack"

// kernel is what a line asks of the system: a chip by its name, and requests to it.
type kernel struct {
	open  func(chip string) (*os.File, error)
	ioctl func(f *os.File, request uint, arg unsafe.Pointer) error
}

var thisKernel = kernel{
	open: func(chip string) (*os.File, error) { return device.Open(chip, os.O_RDWR) },
	ioctl: func(f *os.File, request uint, arg unsafe.Pointer) error {
		return device.Control(f, func(fd int) error {
			if _, _, code := unix.Syscall(unix.SYS_IOCTL, uintptr(fd), uintptr(request), uintptr(arg)); code != 0 {
				return code
			}
			return nil
		})
	},
}

// linuxLine is one line that the kernel has given us, with its own file of events.
type linuxLine struct {
	kernel *kernel
	file   *os.File
	last   uint32 // sequence number of the last event
	buf    []byte
}

func openLine(at spot) (gpioLine, error) { return thisKernel.line(at) }

// line asks for a line as an input that tells of both edges (GPIO_V2_GET_LINE_IOCTL of
// the second version of the character device's interface, Linux 5.10 and later).
func (k *kernel) line(at spot) (gpioLine, error) {
	chip, err := k.open(at.place)
	if err != nil {
		return nil, err
	}
	defer chip.Close() // the line lives without it
	r := unix.GPIOV2LineRequest{Num_lines: 1}
	r.Offsets[0] = uint32(at.line)
	copy(r.Consumer[:], gpioConsumer)
	r.Config.Flags = gpioInput | gpioRising | gpioFalling | map[string]uint64{"up": gpioPullUp, "down": gpioPullDown, "none": gpioPullNone}[at.pull]
	if at.low {
		r.Config.Flags |= gpioActiveLow
	}
	if err := k.ioctl(chip, unix.GPIO_V2_GET_LINE_IOCTL, unsafe.Pointer(&r)); err != nil {
		return nil, fmt.Errorf("line %d of %s: %w", at.line, at.place, sayGPIO(err))
	}
	if err := unix.SetNonblock(int(r.Fd), true); err != nil { // so that reads obey deadlines and Close
		unix.Close(int(r.Fd))
		return nil, err
	}
	return &linuxLine{kernel: k, file: os.NewFile(uintptr(r.Fd), at.place), buf: make([]byte, 16*unsafe.Sizeof(unix.GPIOV2LineEvent{}))}, nil
}

// sayGPIO puts what the kernel says into words.
func sayGPIO(err error) error {
	switch {
	case errors.Is(err, unix.EBUSY):
		return errors.New("another program, or another trigger with other words, holds it")
	case errors.Is(err, unix.EINVAL):
		return errors.New("the chip has no such line, or cannot pull it so")
	case errors.Is(err, unix.ENOTTY):
		return errors.New("this is no GPIO chip")
	}
	return err
}

func (l *linuxLine) Closed() (bool, error) {
	v := unix.GPIOV2LineValues{Mask: 1}
	err := l.kernel.ioctl(l.file, unix.GPIO_V2_LINE_GET_VALUES_IOCTL, unsafe.Pointer(&v))
	return v.Bits&1 != 0, err
}

// Offsets of struct gpio_v2_line_event.
const (
	eventTimeAt  = 0
	eventIDAt    = 8
	eventCountAt = 20 // line_seqno
	eventSize    = 48
)

// Wait reads events. Their times are those of the monotonic clock (gpio.h,
// timestamp_ns), so that a machine that was busy still knows how long a contact was
// closed. The sequence numbers say when the kernel had no room for some.
func (l *linuxLine) Wait(until time.Time) (changes []gpioChange, whole bool, err error) {
	if err := l.file.SetReadDeadline(until); err != nil {
		return nil, true, err
	}
	n, err := l.file.Read(l.buf)
	if errors.Is(err, os.ErrDeadlineExceeded) {
		return nil, true, nil
	}
	if err != nil {
		return nil, true, err
	}
	if n%eventSize != 0 {
		return nil, true, fmt.Errorf("an event of %d octets: %w", n, io.ErrUnexpectedEOF)
	}
	var clock unix.Timespec
	if err := unix.ClockGettime(unix.CLOCK_MONOTONIC, &clock); err != nil {
		return nil, true, err
	}
	now := time.Now() // after the other, so that no edge is told from before it was
	whole = true
	for b := l.buf[:n]; len(b) > 0; b = b[eventSize:] {
		age := clock.Nano() - int64(binary.NativeEndian.Uint64(b[eventTimeAt:]))
		count := binary.NativeEndian.Uint32(b[eventCountAt:])
		whole = whole && count == l.last+1
		l.last = count
		changes = append(changes, gpioChange{binary.NativeEndian.Uint32(b[eventIDAt:]) == unix.GPIO_V2_LINE_EVENT_RISING_EDGE, now.Add(-time.Duration(max(age, 0)))})
	}
	return changes, whole, nil
}

func (l *linuxLine) Close() error { return l.file.Close() }
