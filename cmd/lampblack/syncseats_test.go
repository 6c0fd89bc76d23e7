package main

import (
	"context"
	"errors"
	"math"
	"slices"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"lampblack/play/clock"
	"lampblack/play/lag"
	"lampblack/web"
)

// metronome is a soundtrack of clicks on the computer's clock, in a hall with a phone.
type metronome struct {
	mu    sync.Mutex
	begun time.Time
	at    []time.Duration
	on    []time.Time // flashes, and their ends
	off   []time.Time
	gone  bool
}

func (m *metronome) Run(now time.Time, _ time.Duration) { m.begun = now }
func (m *metronome) Close() error                       { return nil }
func (m *metronome) Read(now time.Time) clock.Reading {
	m.mu.Lock()
	defer m.mu.Unlock()
	r := clock.Reading{Position: now.Sub(m.begun), Speed: 1, State: clock.Runs}
	if m.gone {
		r.State, r.Fault.Text = clock.Lost, "the sound device is gone"
	}
	return r
}

func (m *metronome) flash(on bool) {
	m.mu.Lock()
	defer m.mu.Unlock()
	switch {
	case on:
		m.on = append(m.on, time.Now())
	case len(m.on) > len(m.off):
		m.off = append(m.off, time.Now())
	}
}

// take is what a phone takes whose sound is so far behind its light: 30 frames a second, rows
// read at once, exposed for all of a frame.
func (m *metronome) take(behind float64) web.SeatTake {
	m.mu.Lock()
	defer m.mu.Unlock()
	t := web.SeatTake{Opening: "one opening", Bin: 1e-3}
	end := m.at[len(m.at)-1].Seconds() + 1
	for k := range int(end * 30) {
		at, lit := float64(k)/30, 0.0
		for i := range m.off {
			from, to := m.on[i].Sub(m.begun).Seconds(), m.off[i].Sub(m.begun).Seconds()
			lit += max(0, min(at, to)-max(at-1./30, from)) * 30
		}
		v := uint16(65535 * math.Pow(.01+.5*lit, 1/2.2))
		t.Frames = append(t.Frames, web.SeatFrame{At: 500 + at, Rows: []byte{byte(v >> 8), byte(v), byte(v >> 8), byte(v)}})
	}
	levels := make([]byte, int(end*1000))
	for i := range levels {
		levels[i] = byte(50 + i%7)
	}
	for _, c := range m.at {
		for i := range 8 {
			levels[int((c.Seconds()+behind)*1000)+i] = 160
		}
	}
	t.Blocks = []web.SeatBlock{{At: 500 + float64(len(levels))/1000, Levels: levels}}
	return t
}

func testSeats(ctx context.Context) (*seats, *metronome) {
	m := &metronome{}
	return &seats{ctx: ctx, flash: m.flash, rest: func() {}, tell: func(string) {}, seed: func() uint64 { return 4 },
		sound: func(at []time.Duration) (clicks, error) {
			m.mu.Lock()
			m.at, m.on, m.off = at, nil, nil
			m.mu.Unlock()
			return m, nil
		}}, m
}

// Sound that is 29.1 ms later at the back (10 m at 343.2 m/s; ISO 9613-1, from memory) is found
// so, and the real figure there too once the front's is said. Flashes never come faster than
// three in a second (W3C WCAG 2.2, 2.3.1, from memory).
func TestSeatsMeasure(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s, m := testSeats(t.Context())
		at := func(place string, behind float64) {
			t.Helper()
			if err := s.Begin(place, "one opening"); err != nil {
				t.Fatal(err)
			}
			if err := s.Begin("another", "x"); err == nil {
				t.Error("two at once")
			}
			for s.Seats().Done < flashes {
				time.Sleep(100 * time.Millisecond)
			}
			time.Sleep(2 * time.Second)
			other := m.take(.2)
			other.Opening = "another phone"
			for _, take := range []web.SeatTake{other, m.take(behind), other} {
				if err := s.Take(take); err != nil {
					t.Fatal(err)
				}
			}
			<-s.ended
			if wrong := s.Seats().Wrong; wrong != "" {
				t.Fatal(wrong)
			}
			for i := range m.on {
				if i > 0 && m.on[i].Sub(m.on[i-1]) < 660*time.Millisecond {
					t.Errorf("flashes %v apart", m.on[i].Sub(m.on[i-1]))
				}
			}
		}
		at("front", .03)
		at("back", .0591)
		if err := s.Said("front", "12 ms ± 5 ms"); err != nil {
			t.Fatal(err)
		}
		d := lag.Between(s.measured[0].Result, s.measured[1].Result)
		if d.Best < 25*time.Millisecond || d.Best > 33*time.Millisecond || d.Half() > 5*time.Millisecond {
			t.Errorf("%v apart, want 29.1 ms", d)
		}
		real, ok := s.real("back")
		if !ok || real.Best-d.Best != 12*time.Millisecond || real.Half() < 5*time.Millisecond || real.Half() > 8*time.Millisecond {
			t.Errorf("really %v, %v", real, ok)
		}
		rows := s.Seats().Rows
		if len(rows) != 2 || rows[0].Beside != "0 ms" || !strings.HasPrefix(rows[1].Behind, "4") {
			t.Errorf("%+v", rows)
		}
	})
}

// An eye and an ear to which the sound is 40 ms behind, and 50 ms either way the same, are led
// there; the flashes stay as slow whatever is asked.
func TestSeatsByEye(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s, m := testSeats(t.Context())
		if err := s.Came(lag.Light); err == nil {
			t.Error("nothing flashes")
		}
		if err := s.Begin("front", ""); err != nil {
			t.Fatal(err)
		}
		for s.Seats().Place != "" {
			time.Sleep(4 * time.Second)
			m.mu.Lock()
			last := m.on[len(m.on)-1].Sub(m.begun)
			i, _ := slices.BinarySearch(m.at, last-350*time.Millisecond)
			after := m.at[i] - last + 40*time.Millisecond
			if i+1 < len(m.at) && (m.at[i+1]-last).Abs() < (m.at[i]-last).Abs() {
				after = m.at[i+1] - last + 40*time.Millisecond
			}
			m.mu.Unlock()
			first := lag.Together
			if after > 50*time.Millisecond {
				first = lag.Light
			} else if after < -50*time.Millisecond {
				first = lag.Sound
			}
			if err := s.Came(first); err != nil && s.Seats().Place != "" {
				t.Fatal(err)
			}
			synctest.Wait()
		}
		<-s.ended
		if got := s.said["front"]; got.Best < 20*time.Millisecond || got.Best > 60*time.Millisecond || got.Half() < 20*time.Millisecond {
			t.Errorf("%v, want about 40 ms; wrong: %q", got, s.Seats().Wrong)
		}
		for i := range m.on {
			if i > 0 && m.on[i].Sub(m.on[i-1]) < 660*time.Millisecond {
				t.Errorf("flashes %v apart", m.on[i].Sub(m.on[i-1]))
			}
		}
	})
}

// What goes wrong is told with what to do, the lamps do not stay as they flashed, and the next
// place can be measured.
func TestSeatsGoWrong(t *testing.T) {
	for name, c := range map[string]struct {
		does func(s *seats, m *metronome)
		want string
	}{
		"nothing came":   {func(*seats, *metronome) {}, "front: the clicks were not found"},
		"the sound goes": {func(_ *seats, m *metronome) { m.mu.Lock(); m.gone = true; m.mu.Unlock() }, "front: the sound device is gone"},
		"it is stopped":  {func(s *seats, _ *metronome) { s.Stop() }, ""},
	} {
		t.Run(name, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				s, m := testSeats(t.Context())
				if err := s.Begin("front", "x"); err != nil {
					t.Fatal(err)
				}
				time.Sleep(10 * time.Second)
				c.does(s, m)
				<-s.ended
				if wrong := s.Seats().Wrong; !strings.HasPrefix(wrong, c.want) || c.want == "" && wrong != "" {
					t.Errorf("%q, want %q", wrong, c.want)
				}
				if len(m.on) != len(m.off) || s.Seats().Place != "" {
					t.Errorf("%d flashes of %d ended; %+v", len(m.off), len(m.on), s.Seats())
				}
				m.gone = false
				if err := s.Begin("front", "x"); err != nil {
					t.Error(err)
				}
				s.Stop()
			})
		})
	}
	s, _ := testSeats(t.Context())
	s.sound = func([]time.Duration) (clicks, error) { return nil, errors.New("no channel") }
	if err := s.Begin("front", "x"); err == nil || s.Seats().Place != "" {
		t.Error("it began without sound")
	}
}
