package lamps

import (
	"context"
	"errors"
	"fmt"

	"lampblack/play/line"
	"lampblack/wire/rdm"
)

// Line is one data line that can be asked. It is for one goroutine.
type Line interface {
	// Name says which it is, for people.
	Name() string
	// Universe is the show's universe that the line carries; 0 where nobody knows.
	Universe() int
	// Find finds who is there. What was found before it failed is returned too.
	Find(ctx context.Context, progress Progress) ([]rdm.UID, error)
	// Exchange sends a request and waits for its response; errSilent when none comes.
	Exchange(ctx context.Context, request *rdm.Packet) (rdm.Packet, error)
}

// Progress is told how many devices are found, and how much of the search is done, 0 to 1.
type Progress func(found int, done float64)

// errSilent is that nobody answered in time.
var errSilent = errors.New("no answer")

// Lines are the data lines of an output.
type Lines struct {
	All   []Line
	close func() error
}

// Close lets the output go.
func (l *Lines) Close() error {
	if l.close == nil {
		return nil
	}
	return l.close()
}

// ErrNone is that an output has no way to ask lamps.
var ErrNone = errors.New("lamps cannot be asked by this output")

// Open makes the data lines of an output ready, for those of the show's universes that it
// carries.
func Open(ctx context.Context, out line.Out, universes []int) (*Lines, error) {
	carried := map[uint16]int{} // by the wire's number
	for _, u := range universes {
		if w, ok := out.Wire(uint16(u)); ok {
			carried[w] = u
		}
	}
	switch out.Kind {
	case "widget":
		return openWidget(out)
	case "artnet":
		return openNodes(ctx, out, carried)
	case "e131":
		return nil, fmt.Errorf("%w: ANSI E1.31 carries levels alone", ErrNone)
	case "serial":
		return nil, fmt.Errorf("%w: a bare serial line cannot listen in time", ErrNone)
	}
	return nil, fmt.Errorf("%w: nobody answers at its other end", ErrNone)
}
