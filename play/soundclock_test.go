package play

import (
	"errors"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"lampblack/play/clock"
	"lampblack/play/clock/clocktest"
)

// speaker is a sound device that can stand still and go away. It takes a moment
// to begin, as they do.
type speaker struct {
	rate int

	mu      sync.Mutex // guards what follows
	begun   time.Time  // when start was called
	from    int64
	stands  time.Time // when it stopped getting on, zero while it does
	stood   time.Duration
	gone    error
	playing bool
	closed  bool
	starts  []int64
}

const beginTime = 60 * time.Millisecond

func (s *speaker) start(track *pcm, frame int64) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.begun, s.from, s.stood, s.playing = time.Now().Add(beginTime), frame, 0, true
	s.starts = append(s.starts, frame)
	return s.gone
}

func (s *speaker) heard() (int64, bool, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	now := time.Now()
	if !s.stands.IsZero() {
		now = s.stands
	}
	played := now.Sub(s.begun) - s.stood
	return max(int64(played.Seconds()*float64(s.rate)), 0), played > 0, s.gone
}

func (s *speaker) stop() {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.playing = false
}

func (s *speaker) reopen() error {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.gone
}
func (s *speaker) close() error { s.closed = true; return nil }
func (s *speaker) name() string { return "a speaker" }

// last is where it was told to begin the last time.
func (s *speaker) last() time.Duration {
	s.mu.Lock()
	defer s.mu.Unlock()
	return time.Duration(s.starts[len(s.starts)-1]) * time.Millisecond
}

// pull and plug take the device away and bring it back.
func (s *speaker) pull() { s.set(errors.New("unplugged")) }
func (s *speaker) plug() { s.set(nil) }
func (s *speaker) set(err error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.gone = err
}

// pause and on have it stand still for a while.
func (s *speaker) pause() {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.stands = time.Now()
}

func (s *speaker) on() {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.stood += time.Since(s.stands)
	if s.begun.After(s.stands) {
		s.stood -= s.begun.Sub(s.stands) // it had not begun
	}
	s.stands = time.Time{}
}

// longTrack is ten minutes of silence, a thousand samples a second.
func longTrack() *pcm {
	return &pcm{rate: 1000, channels: 1, samples: make([]int16, 600_000)}
}

// The sound that is heard is a clock; its device may stand still, or go away.
func TestSoundIsAClock(t *testing.T) {
	open := func() (*Sound, *speaker) {
		s := &speaker{rate: 1000}
		return newSound(longTrack(), s), s
	}
	t.Run("the device goes away", func(t *testing.T) {
		clocktest.Check(t, func(t *testing.T) clocktest.Machine {
			c, s := open()
			return clocktest.Machine{Clock: c, GoesOn: true, Lose: s.pull, Find: s.plug}
		})
	})
	t.Run("the device stands still", func(t *testing.T) {
		clocktest.Check(t, func(t *testing.T) clocktest.Machine {
			c, s := open()
			return clocktest.Machine{Clock: c, GoesOn: true, Lose: s.pause, Find: s.on}
		})
	})
}

// When the device is back the sound comes in where the show is, and after the
// end of the track nothing is missed.
func TestSoundComesInAgain(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s := &speaker{rate: 1000}
		c := newSound(longTrack(), s)
		c.Run(time.Now(), 10*time.Second)
		time.Sleep(5 * time.Second)
		s.pull()
		time.Sleep(100 * time.Millisecond)
		if r := c.Read(time.Now()); r.State != clock.Lost || !strings.HasPrefix(r.Fault.Text, "the sound device is gone (unplugged); nobody hears") {
			t.Errorf("0.1 s after the device has gone it is %+v", r)
		}
		time.Sleep(20*time.Second - 100*time.Millisecond)
		s.plug()
		time.Sleep(6 * time.Second)
		at := s.last()
		if r := c.Read(time.Now()); r.State != clock.Runs || (r.Position-41*time.Second).Abs() > 3*beginTime || at < 35*time.Second {
			t.Errorf("31 s after a start at 10 s it is %v at %v, and the sound came in at %v", r.State, r.Position, at)
		}
		c.Run(time.Now(), 599*time.Second)
		time.Sleep(time.Minute)
		if r := c.Read(time.Now()); r.State != clock.Runs || (r.Position-659*time.Second).Abs() > 3*beginTime {
			t.Errorf("a minute after the end it is %v at %v (%s)", r.State, r.Position, r.Fault.Text)
		}
		if err := c.Close(); err != nil || s.playing || !s.closed {
			t.Errorf("closed: %+v, %v", s, err)
		}
	})
}

// A device that is gone, or never begins, keeps no show waiting for ever.
func TestSoundWithoutADevice(t *testing.T) {
	for name, c := range map[string]struct {
		spoil func(*speaker)
		waits time.Duration
	}{"gone": {(*speaker).pull, 0}, "still": {(*speaker).pause, beginWait}} {
		synctest.Test(t, func(t *testing.T) {
			s := &speaker{rate: 1000}
			k := newSound(longTrack(), s)
			c.spoil(s)
			k.Run(time.Now(), time.Second)
			time.Sleep(2 * time.Second)
			if r := k.Read(time.Now()); r.Fault.Text == "" || (r.State == clock.Held) != (c.waits > 0) {
				t.Errorf("%s: 2 s after its start it is %+v", name, r)
			}
			time.Sleep(8 * time.Second)
			if r, want := k.Read(time.Now()), 11*time.Second-c.waits; r.State != clock.Lost || (r.Position-want).Abs() > asking {
				t.Errorf("%s: 10 s after its start at 1 s it is %v at %v, want %v", name, r.State, r.Position, want)
			}
			if err := k.Close(); err != nil {
				t.Error(err)
			}
		})
	}
}
