// Package sinktest checks that a sink keeps the contract of output.Sink,
// whatever wire it has behind it: call [Check] with what opens one, and with the
// far end of its wire.
package sinktest

import (
	"bytes"
	"sync"
	"testing"
	"time"

	"lampblack/play/leaktest"
	"lampblack/play/output"
)

// Wire is the far end of an opened sink.
type Wire struct {
	Sink output.Sink
	// Last returns the values of universe 1 that arrived last, once everything
	// that was sent has arrived. It may be called after Close.
	Last func(t *testing.T) []byte
}

// slots is how many a frame of the tests has: those that a widget's shortest packet
// holds, so that nothing is filled up.
const slots = 24

// Check runs the contract against sinks that open makes, one for each part. Each part
// opens a sink of its own, closes it, and finds that nothing which it started is left.
func Check(t *testing.T, open func(t *testing.T) Wire) {
	parts := []struct {
		name string
		run  func(*testing.T, Wire)
	}{
		{"frames arrive", arrive},
		{"frames are not kept", notKept},
		{"other universes do no harm", others},
		{"counters may be read at any time", counters},
		{"close ends it", closes},
	}
	for _, p := range parts {
		t.Run(p.name, func(t *testing.T) {
			leaktest.Check(t, func() { // Close waits for all that the sink has started
				w := open(t)
				if w.Sink.Name() == "" {
					t.Error("the sink has no name")
				}
				p.run(t, w)
				if err := w.Sink.Close(); err != nil {
					t.Errorf("Close: %v", err)
				}
			})
		})
	}
}

// universe is a frame of one universe, all its slots at one level, which tells frames
// apart.
func universe(level byte) []output.Frame {
	return []output.Frame{{Universe: 1, Slots: bytes.Repeat([]byte{level}, slots)}}
}

func send(t *testing.T, s output.Sink, frames []output.Frame) {
	t.Helper()
	if err := s.Send(frames, time.Now()); err != nil {
		t.Fatalf("Send: %v", err)
	}
}

func check(t *testing.T, got []byte, level byte) {
	t.Helper()
	if !bytes.Equal(got, bytes.Repeat([]byte{level}, slots)) {
		t.Errorf("the other end has %v, want %d slots of %d", got, slots, level)
	}
}

// arrive checks that what was sent last is what the other end has, with nothing sent
// after it, and the counters know of it.
func arrive(t *testing.T, w Wire) {
	for level := range byte(5) {
		send(t, w.Sink, universe(level+1))
	}
	// What was sent last must not depend on another call of Send.
	if err := w.Sink.Close(); err != nil {
		t.Fatal(err)
	}
	check(t, w.Last(t), 5)
	if got := w.Sink.Stats(); got.Sent != 5 || got.Dropped != 0 || got.Packets < 5 || got.LastError != "" {
		t.Errorf("counters %+v, want 5 sent", got)
	}
}

// notKept checks that the caller's memory is its own again as soon as Send returns.
func notKept(t *testing.T, w Wire) {
	f := universe(7)
	send(t, w.Sink, f)
	for i := range f[0].Slots {
		f[0].Slots[i] = 99
	}
	if err := w.Sink.Close(); err != nil {
		t.Fatal(err)
	}
	check(t, w.Last(t), 7)
}

// others checks that frames of nothing, of universes that this wire does not carry, or
// without slots, do no harm to the one that it does.
func others(t *testing.T, w Wire) {
	send(t, w.Sink, nil)
	send(t, w.Sink, []output.Frame{{Universe: 63999, Slots: []byte{1}}, universe(3)[0]})
	send(t, w.Sink, []output.Frame{{Universe: 2, Slots: nil}})
	if err := w.Sink.Close(); err != nil {
		t.Fatal(err)
	}
	check(t, w.Last(t), 3)
}

// counters calls Stats from elsewhere while frames go out; the race detector judges.
func counters(t *testing.T, w Wire) {
	var group sync.WaitGroup
	group.Go(func() {
		for range 100 {
			w.Sink.Stats()
		}
	})
	for level := range byte(5) {
		send(t, w.Sink, universe(level))
	}
	group.Wait()
}

// closes checks that a second Close does nothing, a Send after it says so, and the last
// values have arrived.
func closes(t *testing.T, w Wire) {
	send(t, w.Sink, universe(1))
	for range 2 {
		if err := w.Sink.Close(); err != nil {
			t.Errorf("Close: %v", err)
		}
	}
	if err := w.Sink.Send(universe(2), time.Now()); err == nil {
		t.Error("Send after Close: no error")
	}
	check(t, w.Last(t), 1)
}
