// Package fader lets the faders of a MIDI controller stand for levels: Open listens to their
// ports, and tells where each is moved to.
//
// A fader does not know where the level is that it stands for, and must not make it leap. It
// counts from when it has come to where the level is, or has gone past it; when something else
// has moved the level since, it must come there again (common practice, no source).
package fader

import (
	"errors"
	"io"
	"math"
	"os"
	"slices"

	"lampblack/play/device"
	"lampblack/play/line"
	"lampblack/wire/midi"
)

// Fader is a fader and the name of what it moves.
type Fader struct {
	Name string
	line.Fader
}

// Options say what becomes of moves. All are called from goroutines of the set's.
type Options struct {
	Moved func(name string, factor float64) // a fader that counts was moved
	Level func(name string) float64         // where the level is that it stands for, as a factor
	Open  func(port string) (io.ReadCloser, error)
}

// Set is the faders of a show. Its methods may be called from any goroutine.
type Set struct {
	ports []*port
}

// port is a MIDI port with the faders that come by it.
type port struct {
	name   string
	kept   *device.Kept
	o      Options
	faders []state
}

// state is a fader as it was last.
type state struct {
	Fader
	known  bool // where it stands
	at     byte // where it stood last
	counts bool // it has come to the level
	sent   float64
}

// Open opens the ports of faders. One that is away is looked for until Close.
func Open(faders []Fader, o Options) *Set {
	if o.Open == nil {
		o.Open = func(name string) (io.ReadCloser, error) { return device.Open(name, os.O_RDONLY) }
	}
	s := &Set{}
	for _, f := range faders {
		i := slices.IndexFunc(s.ports, func(p *port) bool { return p.name == f.Place })
		if i < 0 {
			i = len(s.ports)
			s.ports = append(s.ports, &port{name: f.Place, o: o})
		}
		s.ports[i].faders = append(s.ports[i].faders, state{Fader: f})
	}
	for _, p := range s.ports {
		p.kept, _ = device.Keep(func() (io.ReadCloser, error) { return o.Open(p.name) }, p.read) // Away tells
	}
	return s
}

// Away is why faders do not answer, nil while all ports are there.
func (s *Set) Away() error {
	var all error
	for _, p := range s.ports {
		if err := p.kept.Away(); err != nil {
			all = errors.Join(all, err)
		}
	}
	return all
}

// Close lets the ports go.
func (s *Set) Close() error {
	var all error
	for _, p := range s.ports {
		all = errors.Join(all, p.kept.Close())
	}
	return all
}

// read takes what comes from the port until it ends.
func (p *port) read(r io.ReadCloser) error {
	var stream midi.Stream
	b := make([]byte, 256)
	for i := range p.faders { // nobody saw where they were moved meanwhile
		p.faders[i].known, p.faders[i].counts = false, false
	}
	for {
		n, err := r.Read(b)
		stream.Feed(b[:n], p.take)
		if err != nil {
			return err
		}
	}
}

// take takes a message.
func (p *port) take(m []byte) {
	const control = 0xB0
	if len(m) != 3 || m[0]&0xF0 != control {
		return
	}
	for i := range p.faders {
		f := &p.faders[i]
		if f.Number == m[1] && (f.Channel == 0 || f.Channel == m[0]&0x0F+1) {
			if factor, ok := f.move(m[2], p.o.Level(f.Name)); ok {
				p.o.Moved(f.Name, factor)
			}
		}
	}
}

// near is how near to the level a fader must come to count, in its steps.
const near = 2

// move moves the fader, and tells whether that counts.
func (f *state) move(to byte, level float64) (factor float64, counts bool) {
	here := place(level)
	if f.counts && math.Abs(level-f.sent) > 1e-3 { // something else has moved it
		f.counts = false
	}
	if !f.counts {
		from := float64(f.at)
		if !f.known {
			from = float64(to)
		}
		past := min(from, float64(to))-near <= here && here <= max(from, float64(to))+near
		f.counts = past
	}
	f.known, f.at = true, to
	if !f.counts {
		return 0, false
	}
	f.sent = Factor(to)
	return f.sent, true
}

// middle is where a fader leaves the level as it is written.
const middle = 64

// Factor is what a fader at a place from 0 to 127 makes of a level: nothing at the bottom, what
// is written in the middle, twice as much at the top; below the middle evenly to the eye.
func Factor(at byte) float64 {
	v := float64(at)
	if at > middle {
		v = math.Exp2((v - middle) / (127 - middle))
	} else {
		v = math.Pow(v/middle, 2.2)
	}
	return math.Round(v*1e4) / 1e4
}

// place is where a fader has a factor.
func place(factor float64) float64 {
	if factor > 1 {
		return min(middle+math.Log2(factor)*(127-middle), 127)
	}
	return middle * math.Pow(max(factor, 0), 1/2.2)
}
