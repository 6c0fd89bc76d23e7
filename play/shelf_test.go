package play

import (
	"context"
	"errors"
	"fmt"
	"runtime"
	"sync"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"
	"weak"
)

// decoder takes three seconds for a track of a megabyte, and counts.
type decoder struct {
	mu      sync.Mutex
	decoded []string
	tracks  []weak.Pointer[pcm]
	stopped atomic.Int64
	fails   error
}

func (d *decoder) decode(ctx context.Context, path string, rate int) (*pcm, error) {
	d.mu.Lock()
	d.decoded = append(d.decoded, path)
	err := d.fails
	d.mu.Unlock()
	select {
	case <-time.After(3 * time.Second):
	case <-ctx.Done():
		d.stopped.Add(1)
		return nil, ctx.Err()
	}
	if err != nil {
		return nil, err
	}
	p := &pcm{rate: 1000, channels: 1, samples: make([]int16, 500_000)}
	d.mu.Lock()
	defer d.mu.Unlock()
	d.tracks = append(d.tracks, weak.Make(p))
	return p, nil
}

func (d *decoder) count() int {
	d.mu.Lock()
	defer d.mu.Unlock()
	return len(d.decoded)
}

// kept is how many decoded tracks somebody still holds.
func (d *decoder) kept() (n int) {
	d.mu.Lock()
	defer d.mu.Unlock()
	runtime.GC()
	for _, p := range d.tracks {
		if p.Value() != nil {
			n++
		}
	}
	return n
}

// taken takes a track, and returns how long that took.
func taken(t *testing.T, s *Shelf, path string) time.Duration {
	t.Helper()
	begin := time.Now()
	if p, err := s.take(t.Context(), path, 0); err != nil || p == nil {
		t.Errorf("%s: %v", path, err)
	}
	return time.Since(begin)
}

// Over an evening of twenty pieces every track is decoded once, each but the first while
// the one before plays, and no more than two are ever kept.
func TestShelfOverAnEvening(t *testing.T) {
	var d decoder
	synctest.Test(t, func(t *testing.T) {
		s := &Shelf{decode: d.decode}
		defer s.Close()
		for i := range 20 {
			took := taken(t, s, fmt.Sprint("piece ", i))
			if i == 0 && took != 3*time.Second || i > 0 && took != 0 {
				t.Errorf("piece %d begins after %v", i, took)
			}
			for range 2 { // as a piece that begins anew says it again
				s.ahead(fmt.Sprint("piece ", i+1), 0)
			}
			time.Sleep(4 * time.Second)
			if again := taken(t, s, fmt.Sprint("piece ", i)); again != 0 {
				t.Errorf("piece %d comes again after %v", i, again)
			}
			if n := d.kept(); n > 2 {
				t.Errorf("in piece %d there are %d tracks in memory", i, n)
			}
		}
		if n := d.count(); n != 21 {
			t.Errorf("%d tracks were decoded, want each of 21 once", n)
		}
	})
	if n := d.kept(); n != 0 {
		t.Errorf("of a shelf that is closed %d tracks are left", n)
	}
}

// Who opens a track that is on its way waits for the rest of it; one that was decoded in
// vain is stopped, and what is not the next does not throw that out.
func TestShelfChangesItsMind(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		var d decoder
		s := &Shelf{decode: d.decode}
		defer s.Close()
		s.ahead("a", 0)
		time.Sleep(time.Second)
		if took := taken(t, s, "a"); took != 2*time.Second {
			t.Errorf("what was begun a second ago took %v", took)
		}
		s.ahead("b", 0)
		time.Sleep(time.Second)
		s.ahead("c", 0) // in place of b
		synctest.Wait()
		if n := d.stopped.Load(); n != 1 {
			t.Errorf("%d were stopped, want b", n)
		}
		time.Sleep(3 * time.Second)
		if took := taken(t, s, "x"); took != 3*time.Second {
			t.Errorf("a jump took %v", took)
		}
		if took := taken(t, s, "c"); took != 0 {
			t.Errorf("the next one took %v", took)
		}
		if took := taken(t, s, "a"); took != 3*time.Second || d.count() != 5 {
			t.Errorf("one that was let go took %v, and %d were decoded", took, d.count())
		}
		s.ahead("e", 0)
		time.Sleep(4 * time.Second)
		ctx, cancel := context.WithTimeout(t.Context(), time.Second)
		defer cancel()
		_, _ = s.take(ctx, "y", 0) // a hand goes there, and on to the next at once
		taken(t, s, "e")
		synctest.Wait()
		if n := d.stopped.Load(); n != 2 {
			t.Errorf("%d were stopped, want b and y", n)
		}
	})
}

// What cannot be decoded is told to who opens it, and tried again then; who is no longer
// interested does not wait; and a shelf that closes ends what it began.
func TestShelfFaults(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		d := decoder{fails: errors.New("no sound in it")}
		s := &Shelf{decode: d.decode}
		s.ahead("a", 0)
		time.Sleep(time.Second)
		if _, err := s.take(t.Context(), "a", 0); !errors.Is(err, d.fails) {
			t.Errorf("it says %v", err)
		}
		d.mu.Lock()
		d.fails = nil
		d.mu.Unlock()
		if took := taken(t, s, "a"); took != 3*time.Second {
			t.Errorf("tried again it took %v", took)
		}
		ctx, cancel := context.WithTimeout(t.Context(), time.Second)
		defer cancel()
		if _, err := s.take(ctx, "b", 0); !errors.Is(err, context.DeadlineExceeded) {
			t.Errorf("after a second: %v", err)
		}
		if took := taken(t, s, "b"); took != 2*time.Second {
			t.Errorf("and then it took %v", took)
		}
		s.ahead("c", 0)
		s.Close() // the bubble ends when all in it has
		if _, err := s.take(t.Context(), "c", 0); err == nil {
			t.Error("a shelf that is closed gives tracks")
		}
		s.ahead("d", 0)
		if d.count() != 4 {
			t.Errorf("%d were begun, want 4", d.count())
		}
	})
}

// Tracks for speakers are decoded at their rate; of another rate it is another track.
func TestShelfForSpeakers(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		var d decoder
		s := &Shelf{decode: d.decode}
		defer s.Close()
		on := speakersOn(t, &speaker{rate: 48000})
		s.Ahead("a", on)
		time.Sleep(4 * time.Second)
		begin := time.Now()
		if _, err := s.take(t.Context(), "a", 48000); err != nil || time.Since(begin) != 0 {
			t.Errorf("at the speakers' rate after %v: %v", time.Since(begin), err)
		}
		if taken(t, s, "a") == 0 {
			t.Error("at its own rate it is the same")
		}
	})
}
