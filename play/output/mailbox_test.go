package output

import (
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"

	"lampblack/play/retry"
)

// slow takes its time for every frame.
type slow struct {
	takes time.Duration
	got   []byte
	fail  error
	tries []time.Time
	pace  time.Duration
	at    []time.Time
	sent  atomic.Uint64
}

func (s *slow) Send(frames []Frame, _ time.Time) error {
	time.Sleep(s.takes)
	if s.fail != nil {
		return s.fail
	}
	s.got, s.at = append(s.got, frames[0].Slots[0]), append(s.at, time.Now())
	s.sent.Add(1)
	return nil
}
func (s *slow) Close() error        { return nil }
func (s *slow) Name() string        { return "slow" }
func (s *slow) Stats() Stats        { return Stats{Sent: s.sent.Load()} }
func (s *slow) Pace() time.Duration { return s.pace }
func (s *slow) Reopen() error {
	s.tries = append(s.tries, time.Now())
	return s.fail
}

// A sink that takes 100 ms a frame neither stalls the caller nor gets stale
// frames: it always takes the newest.
func TestMailboxNewestWins(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s := &slow{takes: 100 * time.Millisecond}
		m := Mailbox(s)
		start := time.Now()
		run(t, m, 2*time.Second, func(i int) []Frame { return []Frame{frameOf(1, 1, byte(i))} })
		if d := time.Since(start); d != 2*time.Second {
			t.Errorf("the caller was held for %v", d-2*time.Second)
		}
		m.Close()
		if len(s.got) < 19 || len(s.got) > 21 {
			t.Errorf("%d frames arrived in 2 s, want 20", len(s.got))
		}
		for i := 1; i < len(s.got); i++ {
			if s.got[i] <= s.got[i-1] {
				t.Errorf("%d after %d", s.got[i], s.got[i-1])
			}
		}
		if last := s.got[len(s.got)-1]; last != 87 {
			t.Errorf("the last frame that arrived is %d, want the last sent, 87", last)
		}
		if st := m.Stats(); st.Dropped+st.Sent != 88 {
			t.Errorf("%+v: want 88 sent or dropped", st)
		}
	})
}

func TestMailboxCopies(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s := &slow{takes: time.Millisecond}
		m := Mailbox(s)
		f := []Frame{frameOf(1, 4, 5)}
		m.Send(f, time.Now())
		f[0].Slots[0] = 99
		m.Close()
		if len(s.got) != 1 || s.got[0] != 5 {
			t.Errorf("got %v, want the level at the time of Send", s.got)
		}
	})
}

// A lost device is looked for after 0.25 s, 0.5 s, 1, 2, 4, 4, ... and gets the
// newest frame as soon as it is back.
func TestMailboxReconnects(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s := &slow{}
		m := Mailbox(s)
		run(t, m, time.Second, still(frameOf(1, 1, 1)))
		synctest.Wait()
		s.fail = errCable
		lost := time.Now()
		run(t, m, 20*time.Second, still(frameOf(1, 1, 2)))
		synctest.Wait()
		s.fail, s.got = nil, nil
		tries := s.tries
		back := time.Now()
		run(t, m, 5*time.Second, still(frameOf(1, 1, 3)))
		m.Close()
		want := []time.Duration{250, 750, 1750, 3750, 7750, 11750, 15750, 19750}
		if len(tries) != len(want) {
			t.Fatalf("%d attempts in 20 s, want %d", len(tries), len(want))
		}
		for i, at := range tries {
			if d := at.Sub(lost); d != want[i]*time.Millisecond {
				t.Errorf("attempt %d after %v, want %v", i, d, want[i]*time.Millisecond)
			}
		}
		if len(s.got) == 0 || s.at[len(s.at)-len(s.got)].Sub(back) > retry.Last {
			t.Fatalf("nothing arrives after it came back")
		}
		if s.got[0] != 3 {
			t.Errorf("the first frame after it came back is %d, want a new one", s.got[0])
		}
		if st := m.Stats(); st.Reconnects != 1 || st.LastError != "network is down" || st.Dropped == 0 {
			t.Errorf("%+v", st)
		}
	})
}

// A sink with a rate of its own gets that many frames, evenly, and all of them
// when they come at this very rate.
func TestMailboxPace(t *testing.T) {
	for _, c := range []struct{ rate, want int }{{44, 440}, {30, 300}, {10, 100}, {100, 440}} {
		synctest.Test(t, func(t *testing.T) {
			s := &slow{pace: time.Second / time.Duration(c.rate)}
			m := Mailbox(s)
			run(t, m, 10*time.Second, func(i int) []Frame { return []Frame{frameOf(1, 1, byte(i))} })
			synctest.Wait()
			n := len(s.got)
			m.Close()
			if n < c.want-2 || n > c.want+2 {
				t.Errorf("at %d a second: %d frames in 10 s, want %d", c.rate, n, c.want)
			}
		})
	}
}

func TestMailboxAllocates(t *testing.T) {
	m := Mailbox(&slow{}).(*mailbox)
	defer m.Close()
	frames := []Frame{frameOf(1, 512, 1), frameOf(2, 512, 1)}
	now := time.Now()
	for range 100 {
		m.Send(frames, now)
	}
	if n := testing.AllocsPerRun(1000, func() { m.Send(frames, now) }); n > 0.5 {
		t.Errorf("%v allocations a Send, want none once the letters have grown", n)
	}
}
