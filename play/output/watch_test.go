package output

import (
	"net/netip"
	"testing"
	"time"
)

// BenchmarkLook is what a look costs of the processor, twice a second for each output: on a
// real computer, by a route. A frame of the same output beside it has the ratio.
func BenchmarkLook(b *testing.B) {
	b.Run("look", func(b *testing.B) {
		w := &watch{health: &health{}, ways: &systemWays{}, receiver: "127.0.0.1", first: map[netip.Addr]string{}, targets: func() []netip.Addr { return []netip.Addr{netip.MustParseAddr("127.0.0.1")} }}
		for b.Loop() {
			w.look(time.Now())
			w.ways.(*systemWays).listed = time.Time{} // each look asks the system
		}
	})
	b.Run("frame", func(b *testing.B) {
		e, _ := testE131(b, "e131 multicast")
		d := Carry(e)
		defer d.Close()
		frames := []Frame{frameOf(1, 512, 1), frameOf(2, 512, 1)}
		for b.Loop() {
			_ = d.Send(frames, time.Time{})
		}
	})
}

// A frame allocates nothing for the state of its output while nothing is wrong.
func TestStateAllocates(t *testing.T) {
	var h health
	if n := testing.AllocsPerRun(100, func() { h.left(); _ = h.now() }); n > 0 {
		t.Errorf("%v allocations a frame", n)
	}
}
