package trigger

import (
	"bytes"
	"io"
	"net/netip"
	"sync"
	"time"
)

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
	return On(o, func(s *System) { s.packets = func(spot, []uint16) (packets, error) { return open() } })
}

func OnBytes(o Options, open func() (io.ReadCloser, error)) Options {
	return On(o, func(s *System) { s.bytes = func(string) (io.ReadCloser, error) { return open() } })
}

func OnPins(o Options, open func() (Pins, error)) Options {
	return On(o, func(s *System) { s.pins = func(string) (pins, error) { return open() } })
}

// OnBoth adds what bytes come from to a system that has packets.
func OnBoth(o Options, open func() (io.ReadCloser, error)) Options {
	o.system.bytes = func(string) (io.ReadCloser, error) { return open() }
	return o
}

// Feed is the first place of a list, for tests that hand it what comes without a device.
type Feed struct{ *feed }

// NewFeed makes a set that does not run, and the place of its first trigger.
func NewFeed(l List) Feed {
	s := &Set{list: l, heard: func(Heard) {}, in: newInbox(len(l.Triggers)), places: make([]place, len(l.Triggers))}
	f := &feed{set: s}
	for i := range l.Triggers {
		f.add(i, &l.Triggers[i].From)
	}
	return Feed{f}
}

// Take hands over what came.
func (f Feed) Take(kind string, b []byte, from netip.AddrPort, now time.Time) {
	switch kind {
	case "osc":
		f.osc(b, from, now)
	case "e131":
		newSlots(f.feed).e131(b, from, now)
	case "artnet":
		newSlots(f.feed).artnet(b, from, now)
	case "notes":
		_ = f.notes(bytes.NewReader(b))
	case "pipe":
		_ = f.lines(bytes.NewReader(b))
	}
}

// Waiting is how many edges of the first trigger wait.
func (f Feed) Waiting() int { return len(f.set.in.boxes[0]) }

// Slots are the slots of a place, for tests.
type Slots struct{ *slots }

func (f Feed) Slots() Slots { return Slots{newSlots(f.feed)} }

// FromArt hands over a packet of Art-Net.
func (s Slots) FromArt(b []byte, from string, now time.Time) {
	s.artnet(b, netip.MustParseAddrPort(from), now)
}

// ArtSources is how many sources of a universe are remembered.
func (s Slots) ArtSources(universe uint16) int { return len(s.art[universe]) }

// Level is how the first trigger was told to stand last.
func (s Slots) Level() Level { return s.feed.levels[0] }

// Read reads packets as the place does, and calls take with each.
func (f Feed) Read(p Packets, take func()) {
	_ = f.read(p, func([]byte, netip.AddrPort, time.Time) { take() }, nil)
}

// OnLine gives a set one line of a chip: what it waits on says how the line stands, and is
// closed when the chip goes.
func OnLine(o Options, open func() (<-chan bool, error)) Options {
	return On(o, func(s *System) {
		s.line = func(spot) (gpioLine, error) {
			levels, err := open()
			if err != nil {
				return nil, err
			}
			return &memoryLine{levels: levels, end: make(chan struct{})}, nil
		}
	})
}

// memoryLine is a line without a chip.
type memoryLine struct {
	levels <-chan bool
	closed bool
	end    chan struct{}
	once   sync.Once
}

func (l *memoryLine) Closed() (bool, error) { return l.closed, nil }
func (l *memoryLine) Close() error          { l.once.Do(func() { close(l.end) }); return nil }

func (l *memoryLine) Wait(until time.Time) ([]gpioChange, bool, error) {
	timer := time.NewTimer(time.Until(until))
	defer timer.Stop()
	select {
	case closed, ok := <-l.levels:
		if !ok {
			return nil, false, io.ErrUnexpectedEOF
		}
		l.closed = closed
		return []gpioChange{{closed, time.Now()}}, true, nil
	case <-l.end:
		return nil, false, io.EOF
	case <-timer.C:
		return nil, true, nil
	}
}
