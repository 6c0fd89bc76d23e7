package device_test

import (
	"errors"
	"fmt"
	"io"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"

	"lampblack/play/device"
	"lampblack/play/retry"
)

// plug is a device that is used until it is pulled or closed.
type plug struct{ ends chan error }

func (p plug) Close() error {
	select {
	case p.ends <- nil:
	default:
	}
	return nil
}

// A device that is not there at first, goes and comes back is used whenever it is
// there; why it is away is told meanwhile; Close ends all of it at any time.
func TestKept(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		var there atomic.Bool
		var used atomic.Int64
		now := make(chan plug, 10)
		open := func() (plug, error) {
			if !there.Load() {
				return plug{}, errors.New("not plugged in")
			}
			p := plug{make(chan error, 1)}
			now <- p
			return p, nil
		}
		k, err := device.Keep(open, func(p plug) error { used.Add(1); return <-p.ends })
		if err == nil || k.Away() == nil {
			t.Error("it is there before it was plugged in")
		}
		time.Sleep(time.Hour)
		there.Store(true)
		time.Sleep(retry.Last)
		synctest.Wait()
		if used.Load() != 1 || k.Away() != nil {
			t.Fatalf("used %d times, away: %v", used.Load(), k.Away())
		}
		time.Sleep(time.Minute)
		(<-now).ends <- io.EOF
		synctest.Wait()
		if !errors.Is(k.Away(), io.EOF) {
			t.Errorf("pulled, it is away by %v", k.Away())
		}
		time.Sleep(retry.First) // one that worked for long is tried soon
		synctest.Wait()
		if used.Load() != 2 || k.Away() != nil {
			t.Errorf("used %d times, away: %v", used.Load(), k.Away())
		}
		for range 2 {
			if err := k.Close(); err != nil {
				t.Error(err)
			}
		}
	})
}

// One that ends as soon as it opens is tried ever later, not without pause.
func TestKeptEndsAtOnce(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		var used atomic.Int64
		k, err := device.Keep(func() (plug, error) { return plug{make(chan error, 1)}, nil }, func(plug) error { used.Add(1); return io.EOF })
		if err != nil {
			t.Fatal(err)
		}
		time.Sleep(time.Minute)
		synctest.Wait()
		if n := used.Load(); n < 10 || n > 20 {
			t.Errorf("used %d times in a minute", n)
		}
		k.Close()
	})
}

func ExampleKeep() {
	k, err := device.Keep(func() (plug, error) { return plug{}, errors.New("no such device now") }, func(p plug) error { return <-p.ends })
	fmt.Println(err)
	k.Close()
	// Output: no such device now
}
