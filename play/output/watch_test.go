package output

import (
	"net/netip"
	"testing"
	"testing/synctest"
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

// A program that was stopped for a while has not asked: nobody is silent for that.
func TestStoppedMeanwhile(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		q := newFakeQuestion(true, func() time.Duration { return time.Millisecond })
		w := &watch{health: &health{}, ways: &fakeWays{by: "eth9"}, receiver: "x", first: map[netip.Addr]string{}, targets: func() []netip.Addr { return nil }, questions: []*question{&q.question}, begun: time.Now()}
		for _, wait := range []time.Duration{watchEvery, watchEvery, time.Second, 20 * time.Second, watchEvery, watchEvery, time.Minute, watchEvery} {
			time.Sleep(wait)
			w.look(time.Now())
			if st := w.health.now(); len(st.Faults) > 0 {
				t.Errorf("after %v without a look: %+v", wait, st)
			}
		}
		q.end()
	})
	synctest.Test(t, func(t *testing.T) {
		s, f := testArt(t, "artnet nodes")
		defer s.Close()
		nodeReply(f, "192.168.1.30", "left", 0, 1)
		time.Sleep(100 * time.Millisecond)
		s.Send([]Frame{frameOf(1, 2, 1)}, time.Now())
		s.mu.Lock() // the keeper's ticks stand meanwhile
		s.nodes[nodeKey{netip.MustParseAddr("192.168.1.30"), 0}] = artNode{outputs: []uint16{1}, name: "left", seen: time.Now().Add(-8 * time.Second)}
		s.missing(time.Now())
		s.batch = s.batch[:0]
		s.mu.Unlock()
		if st := s.Stats().State; len(st.Faults) > 0 {
			t.Errorf("%+v", st)
		}
	})
}
