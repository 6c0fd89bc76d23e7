package trigger

import "io"

// Packets and Pins are what tests open in place of the machine's own.
type (
	Packets = packets
	Pins    = pins
	System  = system
)

// On gives a set another system to listen on.
func On(o Options, change func(s *System)) Options {
	sys := thisSystem
	change(&sys)
	o.system = &sys
	return o
}

// OnPackets, OnBytes and OnPins give a set one thing to open.
func OnPackets(o Options, open func() (Packets, error)) Options {
	return On(o, func(s *System) { s.packets = func(spot) (packets, error) { return open() } })
}

func OnBytes(o Options, open func() (io.ReadCloser, error)) Options {
	return On(o, func(s *System) { s.bytes = func(string) (io.ReadCloser, error) { return open() } })
}

func OnPins(o Options, open func() (Pins, error)) Options {
	return On(o, func(s *System) { s.pins = func(string) (pins, error) { return open() } })
}
