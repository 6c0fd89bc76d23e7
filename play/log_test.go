package play

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"testing"
	"testing/synctest"
	"time"

	"lampblack/evening"
	"lampblack/play/clock"
	"lampblack/play/output"
	"lampblack/show"
)

// reduce is what events come to.
func reduce(events []evening.Event) (s evening.State) {
	for _, e := range events {
		s = s.After(e)
	}
	return s
}

// seen is what a run said of itself at an instant, and how many events its log
// had by then.
type seen struct {
	status Status
	events int
}

// handled runs a show under a hand that does as it likes.
func handled(t *testing.T, s *show.Show, rng *rand.Rand, o Options) (events []evening.Event, all []seen, sum Summary) {
	t.Helper()
	actions := []Command{{Do: Hold}, {Do: Go}, {Do: Go}, {Do: Back}, {Do: LightsUp}, {Do: Seek, At: 42 * time.Second}, {Do: Seek, At: time.Hour}, {Do: Tap},
		{Do: SkipNow}, {Do: Freeze}, {Do: Freeze}, {Do: Unfreeze}, {Do: StopAll}}
	commands := make(chan Command)
	go func() {
		for range 12 {
			time.Sleep(time.Duration(rng.Int64N(int64(12 * time.Second))))
			commands <- actions[rng.IntN(len(actions))]
		}
		commands <- Command{Do: Quit}
		close(commands)
	}()
	o.Commands, o.Rate, o.Zone = commands, 20, "hall"
	o.Journal = func(e evening.Event) { events = append(events, e) }
	o.Report = func(st Status) { all = append(all, seen{st, len(events)}) }
	sum, err := Run(t.Context(), s, o)
	if err != nil {
		t.Fatal(err)
	}
	for range commands { // what the hand had not done when the show ended
	}
	return events, all, sum
}

// Whatever a hand does, the events come to the state that the run says it is in,
// at every report.
func TestEventsComeToTheState(t *testing.T) {
	s := tenCues(t)
	for seed := range runs() {
		synctest.Test(t, func(t *testing.T) {
			rng := rand.New(rand.NewPCG(seed, 3))
			events, all, sum := handled(t, s, rng, Options{})
			for _, v := range all {
				now := v.status.State.Instant
				want := reduce(events[:v.events]).On(now)
				got := v.status.State
				if off := (got.In - want.In).Abs(); off > time.Millisecond {
					t.Fatalf("seed %d: at %v by the clock, %v by the log", seed, got.In, want.In)
				}
				if got.In = want.In; got != want {
					t.Fatalf("seed %d: the run is in %+v, its log comes to %+v", seed, got, want)
				}
			}
			if end := reduce(events); end.Step != 0 || end.Pass != 1 || (end.In-sum.End).Abs() > time.Millisecond {
				t.Errorf("seed %d: it ended at %v, by its log: %+v", seed, sum.End, end)
			}
		})
	}
}

func runs() uint64 {
	if os.Getenv("LAMPBLACK_LONG") != "" {
		return 100
	}
	return 6
}

// A run whose log was cut off anywhere goes on from there: with the light, the
// place and the hand that it had.
func TestGoesOnFromALog(t *testing.T) {
	s := tenCues(t)
	for seed := range runs() {
		synctest.Test(t, func(t *testing.T) {
			rng := rand.New(rand.NewPCG(seed, 4))
			events, _, _ := handled(t, s, rng, Options{})
			k := 1 + rng.IntN(len(events)-1)
			var text bytes.Buffer
			for _, e := range events[:k] {
				_ = json.NewEncoder(&text).Encode(e)
			}
			fmt.Fprint(&text, `{"id":"cut o`)
			var state evening.State
			_ = evening.Read(&text, "hall", func(e evening.Event) { state = state.After(e) })
			down := time.Duration(rng.Int64N(int64(5 * time.Second)))
			state.Instant = time.Now() // as if the computer had failed just now
			time.Sleep(down)
			want := state.On(time.Now())

			var first *Status
			var log []evening.Event
			w := &wire{}
			_, err := Run(t.Context(), s, Options{Start: state, For: 50 * time.Millisecond, Sinks: []output.Sink{w}, Report: func(st Status) {
				if first == nil {
					first = &st
				}
			}, Journal: func(e evening.Event) { log = append(log, e) }})
			if err != nil || first == nil {
				t.Fatal(err)
			}
			got := first.State
			want.In = min(max(want.In, 0), s.Length)
			if (got.In-want.In).Abs() > 30*time.Millisecond || got.Held != want.Held || got.LightsUp != want.LightsUp || got.Frozen != want.Frozen || got.Stands != want.Stands || got.Pass != want.Pass || log[0].Kind != evening.Resumed {
				t.Errorf("seed %d: %d events come to %+v, and the run goes on with %+v after %q", seed, k, want, got, log[0].Kind)
			}
			f := s.NewFrame()
			s.AtState(f, want)
			if a, b := f.Universes[0].Slots[:2], w.slots[0]; diff(a[0], b[0]) > 3 || a[1] != b[1] {
				t.Errorf("seed %d: its first frame is %v, want %v", seed, b, a)
			}
		})
	}
}

func diff(a, b byte) int { return max(int(a)-int(b), int(b)-int(a)) }

// lamed is a clock that is lost for a while.
type lamed struct {
	clock.Wall
	from, to time.Duration
	begun    time.Time
}

func (l *lamed) Read(now time.Time) clock.Reading {
	r := l.Wall.Read(now)
	if l.begun.IsZero() {
		l.begun = now
	}
	if d := now.Sub(l.begun); d >= l.from && d < l.to {
		r.State, r.Fault = clock.Lost, clock.Fault{Text: "it is gone", Hint: "find it"}
	}
	return r
}

// A clock that is lost is told with the next frame and stands in the log once,
// and so does that it is back.
func TestLostClockIsTold(t *testing.T) {
	s := tenCues(t)
	synctest.Test(t, func(t *testing.T) {
		c := &lamed{from: 12 * time.Second, to: 15 * time.Second}
		var log []string
		var told, back time.Duration
		start := time.Now()
		sum, err := Run(t.Context(), s, Options{For: 18 * time.Second, Clock: c,
			Journal: func(e evening.Event) {
				if e.Kind == evening.ClockLost || e.Kind == evening.ClockFound {
					log = append(log, fmt.Sprintf("%s %s at %.1f", e.Kind, e.Text, e.At.Seconds()))
				}
			},
			Report: func(st Status) {
				switch lost := st.Clock.State == clock.Lost; {
				case lost && told == 0:
					told = time.Since(start)
				case !lost && told > 0 && back == 0:
					back = time.Since(start)
				}
				if (st.Clock.State == clock.Lost) != st.State.Lost {
					t.Errorf("the clock is %v, and the state says lost: %v", st.Clock.State, st.State.Lost)
				}
			}})
		if err != nil || len(log) != 2 || log[0] != "clock lost it is gone at 12.0" || log[1] != "clock found  at 15.0" {
			t.Errorf("the log says %q, %v", log, err)
		}
		if told-c.from > 50*time.Millisecond || back-c.to > 50*time.Millisecond {
			t.Errorf("lost at %v it was told at %v, found at %v at %v", c.from, told, c.to, back)
		}
		if r := sum.Report; r.Losses != 1 || (r.Lost-3*time.Second).Abs() > 50*time.Millisecond || r.Fault != "it is gone" {
			t.Errorf("the report says %+v", r)
		}
	})
}
