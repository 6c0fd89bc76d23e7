package play

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
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
	rate     int
	channels int           // 0 is 2
	ahead    int64         // frames that it takes before they are heard; 0 takes none at all
	takes    time.Duration // longer to begin than others

	mu      sync.Mutex // guards what follows
	begun   time.Time  // when start was called
	stands  time.Time  // when it stopped getting on, zero while it does
	stood   time.Duration
	gone    error
	playing bool
	closed  bool
	starts  []int64
	from    stream
	taken   []int16 // since the last start
}

const beginTime = 60 * time.Millisecond

func (s *speaker) start(from stream) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.begun, s.stood, s.playing = time.Now().Add(beginTime+s.takes), 0, true
	if r, ok := from.(*reel); ok {
		s.starts = append(s.starts, r.next)
	}
	s.from, s.taken = from, nil
	s.take(0)
	return s.gone
}

func (s *speaker) heard() (int64, bool, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if !s.playing {
		return 0, false, errNothingPlays
	}
	now := time.Now()
	if !s.stands.IsZero() {
		now = s.stands
	}
	played := now.Sub(s.begun) - s.stood
	frames := max(int64(played.Seconds()*float64(s.rate)), 0)
	s.take(frames)
	return frames, played > 0, s.gone
}

// take takes what it must have when so many frames have been heard.
func (s *speaker) take(heard int64) {
	if s.ahead == 0 || s.gone != nil {
		return
	}
	c := s.from.format().channels
	buf := make([]int16, max(int(heard+s.ahead)*c-len(s.taken), 0))
	s.taken = append(s.taken, buf[:s.from.read(buf)*c]...)
}

// took is what it has taken since the last start.
func (s *speaker) took() []int16 {
	s.mu.Lock()
	defer s.mu.Unlock()
	return slices.Clone(s.taken)
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
func (s *speaker) outputs() format { return format{rate: s.rate, channels: cmp.Or(s.channels, 2)} }
func (s *speaker) close() error    { s.closed = true; return nil }
func (s *speaker) name() string    { return "a speaker" }

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

// wound is a reel of a track with loops.
func wound(track *pcm, loops ...clock.Loop) *reel {
	r, err := newReel(track, loops)
	if err != nil {
		panic(err)
	}
	return r
}

// The sound that is heard is a clock; its device may stand still, or go away.
func TestSoundIsAClock(t *testing.T) {
	open := func() (*Sound, *speaker) {
		s := &speaker{rate: 1000}
		return newSound(wound(longTrack()), s), s
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

// With loops it is a clock as well, and keeps what those promise.
func TestLoopedSoundIsAClock(t *testing.T) {
	open := func(loops []clock.Loop) clocktest.Machine {
		s := &speaker{rate: 1000, ahead: 70}
		return clocktest.Machine{Clock: newSound(wound(longTrack(), loops...), s), GoesOn: true, Lose: s.pull, Find: s.plug}
	}
	clocktest.CheckLooping(t, func(*testing.T) clocktest.Machine { return open(clocktest.Loops()) })
	for _, loop := range []clock.Loop{{From: 0, To: clock.MinLoop}, {From: 0, To: 600 * time.Second}} {
		clocktest.Check(t, func(*testing.T) clocktest.Machine { return open([]clock.Loop{loop}) })
	}
}

// A loop is left after as many passes as the release said: at the end of the one that is
// heard, or of the next where the device has taken that end. A device that is lost, or
// stands, has taken nothing.
func TestSoundIsReleased(t *testing.T) {
	loop := clock.Loop{From: 2 * time.Second, To: 3 * time.Second}
	for _, c := range []struct {
		at   time.Duration // heard when it is released
		want int
		do   func(c *Sound, s *speaker)
	}{
		{at: 2500 * time.Millisecond, want: 1},
		{at: 2900 * time.Millisecond, want: 2}, // 200 ms are taken ahead
		{at: 5700 * time.Millisecond, want: 4},
		{at: 5960 * time.Millisecond, want: 5},
		{at: time.Second, want: 1}, // the next that comes
		{at: 2960 * time.Millisecond, want: 1, do: func(c *Sound, s *speaker) { c.Hold(time.Now()) }},
		{at: 2960 * time.Millisecond, want: 1, do: func(c *Sound, s *speaker) { s.pull(); time.Sleep(asking) }},
	} {
		synctest.Test(t, func(t *testing.T) {
			s := &speaker{rate: 1000, ahead: 200}
			k := newSound(wound(counting(1000, 6000), loop), s)
			defer k.Close()
			k.RunAfter(time.Now(), 0, []int{})
			for k.Read(time.Now()).Position < c.at-asking/2 {
				time.Sleep(asking / 10)
			}
			if c.do != nil {
				c.do(k, s)
				synctest.Wait() // the player may be told in the same instant
			}
			n := k.Release(time.Now())
			if n != c.want || k.Release(time.Now()) != n {
				t.Errorf("released at %v it makes %d passes, want %d", c.at, n, c.want)
			}
			if c.do != nil {
				return
			}
			time.Sleep(20 * time.Second)
			if length := 6000 + (n-1)*1000; len(s.took()) != length {
				t.Errorf("released at %v it said %d passes, and the device took %d frames, want %d", c.at, n, len(s.took()), length)
			}
			if r := k.Read(time.Now()); r.State != clock.Runs || (r.Position-20*time.Second-c.at).Abs() > 3*beginTime {
				t.Errorf("20 s later it is %v at %v", r.State, r.Position)
			}
		})
	}
}

// Where the sound comes in again after a loss its loops stand as they did: one that was
// left is left, one that repeats does.
func TestLoopsOutliveALoss(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s := &speaker{rate: 1000, ahead: 200}
		c := newSound(wound(counting(1000, 9000), clock.Loop{From: time.Second, To: 2 * time.Second}, clock.Loop{From: 4 * time.Second, To: 5 * time.Second}), s)
		defer c.Close()
		c.Run(time.Now(), 0)
		time.Sleep(3500 * time.Millisecond)
		if n := c.Release(time.Now()); n != 3 {
			t.Fatalf("%d passes", n)
		}
		s.pull()
		time.Sleep(5 * time.Second) // to 8.4 s: the second loop lies from 6 to 7 s, and repeats
		s.plug()
		time.Sleep(10 * time.Second)
		if r := c.Read(time.Now()); r.State != clock.Runs || (r.Position-18440*time.Millisecond).Abs() > 3*beginTime {
			t.Fatalf("it is %v at %v", r.State, r.Position)
		}
		at := c.Read(time.Now()).Position
		taken := s.took()
		if on := int(taken[len(taken)-201]) - 4000; on < 0 || on >= 1000 || math.Abs(float64(on)-float64(at%time.Second/time.Millisecond)) > 120 {
			t.Errorf("at %v what is heard is %d ms in the second loop", at, on)
		}
		if n := c.Release(time.Now()); n != 13 {
			t.Errorf("at %v it is released after %d passes, want 13", at, n)
		}
	})
}

// When the device is back the sound comes in where the show is, and after the
// end of the track nothing is missed.
func TestSoundComesInAgain(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s := &speaker{rate: 1000}
		c := newSound(wound(longTrack()), s)
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

// A device that goes away, or stands still, in the middle of a show and comes back, or another
// that takes another time to be heard: all the while the light goes on as if nothing had been,
// and the sound comes in where the light is, faded in. That it is gone is told within a second.
func TestSoundRejoinsTheLight(t *testing.T) {
	for name, c := range map[string]struct{ lose, find func(s *speaker) }{
		"gone and back": {(*speaker).pull, (*speaker).plug},
		"gone, and another is slower": {(*speaker).pull, func(s *speaker) {
			s.mu.Lock()
			s.takes = 250 * time.Millisecond
			s.mu.Unlock()
			s.plug()
		}},
		"still, and goes on": {(*speaker).pause, (*speaker).on},
	} {
		for _, length := range []time.Duration{800 * time.Millisecond, 20 * time.Second} {
			t.Run(fmt.Sprint(name, " after ", length), func(t *testing.T) {
				synctest.Test(t, func(t *testing.T) {
					s := &speaker{rate: 1000, ahead: 50}
					track := counting(1000, 20_000)
					track.samples = append(track.samples, track.samples...)
					track.samples = append(track.samples, track.samples...)
					k := newSound(wound(track), s)
					defer k.Close()
					k.Run(time.Now(), 2*time.Second)
					time.Sleep(10 * time.Second)
					from, at := k.Read(time.Now()).Position, time.Now()
					told := time.Duration(0)
					light := func(d time.Duration) {
						for end := time.Now().Add(d); time.Now().Before(end); time.Sleep(20 * time.Millisecond) {
							r, want := k.Read(time.Now()), from+time.Since(at)
							if r.Fault.Text != "" && told == 0 {
								told = time.Since(at)
							}
							if off := r.Position - want; off.Abs() > 25*time.Millisecond || r.Speed != 1 {
								t.Fatalf("after %v the light is %v beside where it would be, at speed %v (%s)", time.Since(at), off, r.Speed, r.Fault.Text)
							}
						}
					}
					c.lose(s)
					light(length)
					c.find(s)
					light(8 * time.Second)
					if told == 0 || told > time.Second {
						t.Errorf("the loss is told after %v", told)
					}
					r := k.Read(time.Now())
					_, _, _ = s.heard()
					taken := s.took()
					heard := time.Duration(taken[len(taken)-int(s.ahead)-1]) * time.Millisecond
					if off := (heard - r.Position%(20*time.Second)).Abs(); r.State != clock.Runs || off > 25*time.Millisecond {
						t.Errorf("it %v at %v, and %v is heard", r.State, r.Position, heard)
					}
					// The fade: nothing until it is where the light is, all of it 100 ms later, and half
					// in between.
					share := func(i int) float64 {
						return float64(taken[i]) / ((s.last() % (20 * time.Second)) + time.Duration(i)*time.Millisecond).Seconds() / 1e3
					}
					begins := slices.IndexFunc(taken, func(v int16) bool { return v > 0 })
					if half, whole := share(begins+50), share(begins+100); begins < 0 || begins > 300 || half < .4 || half > .6 || whole < .98 {
						t.Errorf("it comes in at frame %d, and is at %.2f and %.2f of its amplitude then", begins, half, whole)
					}
				})
			})
		}
	}
}

// Behind the end of the track nothing plays, and the show goes on without a fault.
func TestSoundBehindItsEnd(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		c := newSound(wound(longTrack()), &speaker{rate: 1000})
		c.Run(time.Now(), 601*time.Second)
		time.Sleep(10 * time.Second)
		if r := c.Read(time.Now()); r.State != clock.Runs || r.Position != 611*time.Second {
			t.Errorf("10 s after a jump behind its end it is %+v", r)
		}
		if err := c.Close(); err != nil {
			t.Error(err)
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
			k := newSound(wound(longTrack()), s)
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
