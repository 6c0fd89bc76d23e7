package output

import (
	"errors"
	"sync"
	"testing"
	"testing/synctest"
	"time"
)

// told is a sink that keeps the first slot of what it is sent.
type told struct {
	mu     sync.Mutex
	slots  []byte
	closed int
	fails  error
}

func (s *told) Send(frames []Frame, _ time.Time) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.closed > 0 {
		panic("sent after it was closed")
	}
	s.slots = append(s.slots, frames[0].Slots[0])
	return s.fails
}

func (s *told) Close() error { s.closed++; return s.fails }
func (s *told) Name() string { return "told" }
func (s *told) Stats() Stats { return Stats{Sent: uint64(len(s.slots))} }

// The safe frame is the last thing that every output hears, three times or
// more, also beside one that fails, and as it was when it was made ready.
func TestOwnerHasTheLastWord(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		bad, good := &told{fails: errors.New("cable out")}, &told{}
		o := Own([]Sink{bad, good}, 40)
		slots := []byte{200}
		o.Prepare([]Frame{{Universe: 1, Slots: slots}})
		slots[0] = 7
		o.Send([]Frame{{Universe: 1, Slots: slots}}, time.Now())
		start := time.Now()
		sums, err := o.Close(100 * time.Millisecond)
		if err == nil || len(sums) != 2 || sums[0].Error != "cable out" || sums[1].Error != "" || sums[1].Stats.Sent != 8 {
			t.Errorf("it ends as %+v, %v", sums, err)
		}
		if took := time.Since(start); took != 150*time.Millisecond { // four periods of 25 ms and three frames
			t.Errorf("it took %v", took)
		}
		if want := "\x07\xc8\xc8\xc8\xc8\xc8\xc8\xc8"; string(good.slots) != want || string(bad.slots) != want {
			t.Errorf("it sent %v and %v", good.slots, bad.slots)
		}
		o.Send([]Frame{{Universe: 1, Slots: slots}}, time.Now())
		if again, err := o.Close(0); again != nil || err != nil || good.closed != 1 || bad.closed != 1 {
			t.Errorf("closed again: %v, %v, %d", again, err, good.closed)
		}
	})
}

// Frames and the end may come from anywhere at any time: nothing follows the
// safe frame.
func TestOwnerFromManySides(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s := &told{}
		o := Own([]Sink{s}, 40)
		o.Prepare([]Frame{{Universe: 1, Slots: []byte{200}}})
		var wait sync.WaitGroup
		for range 4 {
			wait.Go(func() {
				for range 50 {
					o.Send([]Frame{{Universe: 1, Slots: []byte{1}}}, time.Now())
					time.Sleep(3 * time.Millisecond)
				}
			})
		}
		time.Sleep(70 * time.Millisecond)
		wait.Go(func() { _, _ = o.Close(0) })
		wait.Wait()
		if n := len(s.slots); n < 5 || string(s.slots[n-3:]) != "\xc8\xc8\xc8" {
			t.Errorf("the last of %d are %v", n, s.slots[max(n-5, 0):])
		}
	})
}
