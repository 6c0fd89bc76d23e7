package fader

import (
	"io"
	"math"
	"sync"
	"testing"

	"lampblack/play/leaktest"
	"lampblack/play/line"
	"lampblack/wire/midi"
)

// A fader counts once it has come to where the level is; it goes past nothing, and makes
// nothing leap.
func TestPicksUp(t *testing.T) {
	f := state{}
	level := 1.0
	move := func(to byte) bool {
		was := level
		v, ok := f.move(to, level)
		if ok {
			level = v
		}
		if ok && math.Abs(place(v)-place(was)) > 40 {
			t.Errorf("a leap from %g to %g", was, v)
		}
		return ok
	}
	for _, to := range []byte{10, 20, 40} {
		if move(to) {
			t.Errorf("at %d it is not where the level is, and counts", to)
		}
	}
	if !move(70) { // past the middle
		t.Error("it went past the level, and does not count")
	}
	if !move(100) || level <= 1 {
		t.Errorf("at 100 the level is %g", level)
	}
	level = .5 // a hand on the page
	if move(101) {
		t.Error("the level was moved by somebody else, and the fader made it leap")
	}
	if !move(30) {
		t.Error("it went past the level, and does not count")
	}
}

// The whole travel: nothing at the bottom, as written in the middle, twice at the top, rising
// all the way, and back.
func TestFactor(t *testing.T) {
	if Factor(0) != 0 || Factor(64) != 1 || Factor(127) != 2 {
		t.Errorf("%g %g %g, want 0 1 2", Factor(0), Factor(64), Factor(127))
	}
	for at := byte(1); at < 128; at++ {
		if Factor(at) <= Factor(at-1) {
			t.Errorf("at %d it is %g, at %d %g", at-1, Factor(at-1), at, Factor(at))
		}
		if math.Abs(place(Factor(at))-float64(at)) > .6 {
			t.Errorf("%g is at %g, want %d", Factor(at), place(Factor(at)), at)
		}
	}
}

// What comes from a port moves what it is for, whatever else comes.
func TestPort(t *testing.T) { leaktest.Check(t, func() { testPort(t) }) }

func testPort(t *testing.T) {
	r, w := io.Pipe()
	var mu sync.Mutex
	levels := map[string]float64{"front": 1, "side": 1}
	moved := make(chan struct{}, 16)
	s := Open([]Fader{{"front", line.Fader{Place: "p", Number: 7, Channel: 1}}, {"side", line.Fader{Place: "p", Number: 7, Channel: 2}}}, Options{
		Open: func(string) (io.ReadCloser, error) { return r, nil },
		Level: func(name string) float64 {
			mu.Lock()
			defer mu.Unlock()
			return levels[name]
		},
		Moved: func(name string, v float64) {
			mu.Lock()
			defer mu.Unlock()
			levels[name] = v
			moved <- struct{}{}
		},
	})
	send := func(m []byte) { w.Write(m) }
	send(midi.NoteOn(0, 7, 100))
	send(midi.Control(0, 8, 64))
	send(midi.Control(0, 7, 64))
	<-moved
	send(midi.Control(0, 7, 32))
	<-moved
	mu.Lock()
	if levels["side"] != 1 || levels["front"] != Factor(32) {
		t.Errorf("%v", levels)
	}
	mu.Unlock()
	if err := s.Away(); err != nil {
		t.Error(err)
	}
	w.Close()
	if err := s.Close(); err != nil {
		t.Error(err)
	}
}
