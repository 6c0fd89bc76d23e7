package play

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
	"testing/synctest"
	"time"

	"lampblack/calendar"
	"lampblack/evening"
	"lampblack/play/clock"
	"lampblack/play/course"
	"lampblack/play/output"
	"lampblack/show"
	"lampblack/si"
	"lampblack/source"
)

// threeSteps is an evening of the ten cues between two standing looks: red at 70 %
// before, at 30 % afterwards.
func threeSteps(t *testing.T) (*show.Show, *show.Evening) {
	t.Helper()
	s := tenCues(t)
	ref := func(name string) source.Ref { return source.Ref{Name: name} }
	e, faults := s.Evening(&show.Order{Steps: []show.OrderStep{
		{Standing: ref("preshow"), Look: ref("look 7"), Up: 2 * time.Second, Most: si.Stretch(time.Minute)},
		{Piece: ref("ten")},
		{Standing: ref("bows"), Look: ref("look 3"), Up: 4 * time.Second, Most: si.Stretch(time.Minute)},
	}}, nil)
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	return s, e
}

// silent gives every piece the computer's clock.
func silent(int) (clock.Clock, time.Duration, error) { return &clock.Wall{}, 0, nil }

// A person leads through an evening: the standing look waits for go, whatever its
// "at most" says, the piece runs and goes over into the next look by itself, back at
// a step's beginning is the step before, and go after the last step is the end.
func TestEveningByHand(t *testing.T) {
	s, e := threeSteps(t)
	synctest.Test(t, func(t *testing.T) {
		start := time.Now()
		commands := make(chan Command)
		at := func(d time.Duration, do Action) {
			time.AfterFunc(d, func() { commands <- Command{Do: do} })
		}
		at(100*time.Second, Go)   // preshow is over, long after its longest
		at(101*time.Second, Back) // it was not: back at the beginning of a piece
		at(110*time.Second, Hold) // what stands may be held, and go still goes on
		at(120*time.Second, Go)   // the piece, of 90 s: its last cue stands
		at(230*time.Second, Go)   // the bows are over
		var steps []string
		w := &wire{}
		_, err := Run(t.Context(), s, Options{Evening: e, Open: silent, Commands: commands, Rate: 20, Sinks: []output.Sink{w},
			Report: func(st Status) {
				after := "the end"
				if st.After != nil {
					after = st.After.Name()
				}
				if line := st.Step.Name() + ", then " + after; len(steps) == 0 || steps[len(steps)-1] != line {
					steps = append(steps, line)
				}
			}})
		if err != nil {
			t.Fatal(err)
		}
		want := []string{"preshow, then ten", "ten, then bows", "preshow, then ten", "ten, then bows", "bows, then the end"}
		if fmt.Sprint(steps) != fmt.Sprint(want) {
			t.Errorf("it went through %q", steps)
		}
		red := func(share float64) byte { return byte(255*share + .5) }
		for _, c := range []struct {
			at   time.Duration
			want byte
			why  string
		}{
			{time.Second, red(.35), "half way up to preshow"},
			{99 * time.Second, red(.7), "preshow, past its longest"},
			{100*time.Second + 500*time.Millisecond, red(0), "the piece's first cue is at its beginning"},
			{105 * time.Second, red(.7), "preshow again"},
			{119 * time.Second, red(.7), "held"},
			{135 * time.Second, red(.1), "fifteen seconds into the piece"},
			{120*time.Second + s.Length + 2*time.Second, red(.6), "half way from the last cue's look to the bows"},
			{229 * time.Second, red(.3), "the bows"},
		} {
			for i, sent := range w.at {
				if sent.Sub(start) >= c.at {
					if got := w.slots[i][0]; diff(got, c.want) > 4 {
						t.Errorf("%v, %s: red at %d, want %d", c.at, c.why, got, c.want)
					}
					break
				}
			}
		}
		if last := w.slots[len(w.slots)-1]; last != [2]byte{255, 0} || !w.over {
			t.Errorf("it ends with %v, over: %v", last, w.over)
		}
		if took := w.at[len(w.at)-1].Sub(start); took < 230*time.Second || took > 231*time.Second {
			t.Errorf("it ended after %v", took)
		}
	})
}

// Whatever a hand does in an evening, the log says in which step the run is.
func TestEveningComesToItsLog(t *testing.T) {
	s, e := threeSteps(t)
	for seed := range runs() {
		synctest.Test(t, func(t *testing.T) {
			rng := rand.New(rand.NewPCG(seed, 9))
			_, all, _ := handled(t, s, rng, Options{Evening: e, Open: silent})
			for _, v := range all {
				step := v.status.State.Step
				if step < 1 || step > 3 || v.status.Step != &e.Steps[step-1] {
					t.Fatalf("seed %d: the log is in step %d, the run in %v", seed, step, v.status.Step)
				}
			}
		})
	}
}

// An evening that was cut off goes on in the step in which it was.
func TestEveningGoesOnFromALog(t *testing.T) {
	s, e := threeSteps(t)
	synctest.Test(t, func(t *testing.T) {
		run := func(o Options) (state evening.State, first *Status) {
			o.Evening, o.Open, o.Journal = e, silent, func(e evening.Event) {
				if e.Kind != evening.Ended { // as if it had been cut off
					state = state.After(e)
				}
			}
			o.Report = func(st Status) {
				if first == nil {
					first = &st
				}
			}
			if _, err := Run(t.Context(), s, o); err != nil {
				t.Fatal(err)
			}
			return state, first
		}
		commands := make(chan Command, 1)
		commands <- Command{Do: Go}
		state, _ := run(Options{Commands: commands, For: 33 * time.Second})
		if state.Step != 2 || state.Pass != 1 {
			t.Fatalf("it was cut off in %+v", state)
		}
		time.Sleep(2 * time.Second)
		want := state.On(time.Now()).In
		_, first := run(Options{Start: state, For: time.Second})
		if first.Step.Name() != "ten" || (first.State.In-want).Abs() > 50*time.Millisecond {
			t.Errorf("it goes on in %s at %v, want %v", first.Step.Name(), first.State.In, want)
		}
	})
}

// Go while a standing look still rises: the next step goes on from the light that
// is seen, and no frame leaps.
func TestEarlyGoDoesNotLeap(t *testing.T) {
	_, e := threeSteps(t)
	e.Steps = []show.Step{e.Steps[0], e.Steps[2]} // red to 70 % over 2 s; then to 30 % over 4 s
	synctest.Test(t, func(t *testing.T) {
		for _, early := range []time.Duration{300 * time.Millisecond, time.Second, 1900 * time.Millisecond} {
			commands := make(chan Command, 1)
			time.AfterFunc(early, func() { commands <- Command{Do: Go} })
			w := &wire{}
			if _, err := Run(t.Context(), tenCues(t), Options{Evening: e, Open: silent, Commands: commands, For: 8 * time.Second, Rate: 40, Sinks: []output.Sink{w}}); err != nil {
				t.Fatal(err)
			}
			for i := 1; i < len(w.slots)-12; i++ { // without the safe frames
				if d := diff(w.slots[i][0], w.slots[i-1][0]); d > 4 { // 70 % over 2 s are 2.2 a frame
					t.Errorf("go after %v: red leaps by %d at %v", early, d, w.at[i].Sub(w.at[0]))
				}
			}
			if at := w.slots[len(w.slots)-20][0]; diff(at, 77) > 2 {
				t.Errorf("go after %v: the second look stands at %d", early, at)
			}
		}
	})
}

// While a piece's soundtrack is being opened the light that stands goes on being
// sent: units that hear nothing for 2.5 s take the stream for lost (ANSI E1.31-2018,
// 6.7.1).
func TestSlowSoundtrackKeepsTheFrames(t *testing.T) {
	_, e := threeSteps(t)
	synctest.Test(t, func(t *testing.T) {
		commands := make(chan Command, 1)
		time.AfterFunc(5*time.Second, func() { commands <- Command{Do: Go} })
		w := &wire{}
		slow := func(step int) (clock.Clock, time.Duration, error) {
			time.Sleep(9 * time.Second)
			return silent(step)
		}
		if _, err := Run(t.Context(), tenCues(t), Options{Evening: e, Open: slow, Commands: commands, For: 20 * time.Second, Sinks: []output.Sink{w}}); err != nil {
			t.Fatal(err)
		}
		for i := 1; i < len(w.at); i++ {
			if gap := w.at[i].Sub(w.at[i-1]); gap > 100*time.Millisecond {
				t.Fatalf("nothing is sent for %v, at %v", gap, w.at[i].Sub(w.at[0]))
			}
			if since := w.at[i].Sub(w.at[0]); since > 3*time.Second && since < 13*time.Second && diff(w.slots[i][0], 179) > 2 {
				t.Fatalf("at %v red stands at %d, want 70 %%", since, w.slots[i][0])
			}
		}
	})
}

// Should the run panic, the lamps get safe light all the same, and are told that
// the stream is over.
func TestPanicLeavesSafeLight(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		w := &wire{}
		func() {
			defer func() { _ = recover() }()
			n := 0
			_, _ = Run(t.Context(), tenCues(t), Options{Sinks: []output.Sink{w}, Report: func(Status) {
				if n++; n == 5 {
					panic("of the test")
				}
			}})
			t.Error("it did not panic")
		}()
		if n := len(w.slots); n < 4 || w.slots[n-1] != [2]byte{255, 0} || w.slots[n-3] != [2]byte{255, 0} || !w.over {
			t.Errorf("it ends with %v, over: %v", w.slots[max(n-4, 0):], w.over)
		}
	})
}

// A self-test writes into the journal how the outputs do.
func TestSelfTestTellsOfOutputs(t *testing.T) {
	s := tenCues(t)
	c, faults := calendar.Read("calendar.yaml", []byte("time zone: UTC\nhours: {every day: 10:00 to 18:00}\nself-test: {at: \"0:10\", for: 5 min}\ntriggers asleep outside hours: yes\n"), nil)
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	synctest.Test(t, func(t *testing.T) { // its clock begins at midnight, 1 January 2000
		said := ""
		_, err := Run(t.Context(), s, Options{Place: s.Alone(nil), Hours: c, For: 20 * time.Minute, Rate: 2, Sinks: []output.Sink{&wire{}}, Journal: func(e evening.Event) {
			if e.Kind == evening.Tests {
				said = e.Text + e.Time.UTC().Format(" 15:04")
			}
		}})
		if err != nil || said != "1 output, none says that anything is wrong 00:10" {
			t.Errorf("%q, %v", said, err)
		}
	})
}

// Lights that are brought up while a soundtrack is opened stay up when it is there: the piece
// begins when they go down.
func TestLightsUpOutlastsASlowSoundtrack(t *testing.T) {
	_, e := threeSteps(t)
	synctest.Test(t, func(t *testing.T) {
		commands := make(chan Command)
		for at, do := range map[time.Duration]Action{5 * time.Second: Go, 8 * time.Second: LightsUp, 12 * time.Second: LightsUp, 20 * time.Second: Go, 30 * time.Second: LightsDown} {
			time.AfterFunc(at, func() { commands <- Command{Do: do} })
		}
		slow := func(step int) (clock.Clock, time.Duration, error) {
			time.Sleep(9 * time.Second)
			return silent(step)
		}
		w := &wire{}
		var began time.Duration
		start := time.Now()
		_, err := Run(t.Context(), tenCues(t), Options{Evening: e, Open: slow, Commands: commands, For: 40 * time.Second, Sinks: []output.Sink{w}, Journal: func(e evening.Event) {
			if e.Kind == evening.Began && e.Step == 2 {
				began = e.Time.Sub(start)
			}
		}})
		if err != nil {
			t.Fatal(err)
		}
		for i, at := range w.at {
			if since := at.Sub(start); since > 9*time.Second && since < 29*time.Second && w.slots[i] != [2]byte{255, 0} {
				t.Fatalf("at %v the lamp has %v, and lights are up", since, w.slots[i])
			}
		}
		if began < 30*time.Second || began > 31*time.Second {
			t.Errorf("the piece began at %v", began)
		}
	})
}

// With the lights up nothing begins, whatever else was asked for or is due: back at a step's
// beginning waits until they go down.
func TestLightsUpOutlastsBack(t *testing.T) {
	_, e := threeSteps(t)
	synctest.Test(t, func(t *testing.T) {
		commands := make(chan Command)
		for at, do := range map[time.Duration]Action{5 * time.Second: Go, 6 * time.Second: LightsUp, 6500 * time.Millisecond: Back, 20 * time.Second: LightsDown} {
			time.AfterFunc(at, func() { commands <- Command{Do: do} })
		}
		w := &wire{}
		start := time.Now()
		var steps []int
		if _, err := Run(t.Context(), tenCues(t), Options{Evening: e, Open: silent, Commands: commands, For: 25 * time.Second, Sinks: []output.Sink{w}, Journal: func(e evening.Event) {
			if e.Kind == evening.Began {
				steps = append(steps, e.Step)
			}
		}}); err != nil {
			t.Fatal(err)
		}
		for i, at := range w.at {
			if since := at.Sub(start); since > 7*time.Second && since < 19900*time.Millisecond && w.slots[i] != [2]byte{255, 0} {
				t.Fatalf("at %v the lamp has %v, and lights are up", since, w.slots[i])
			}
		}
		if !slices.Equal(steps, []int{1, 2, 1}) {
			t.Errorf("it went through %v", steps)
		}
	})
}

// A run that was cut off, and a machine that stands by, have the light of the same frame, also
// where its step began with another light than the order says: a look that had not risen, the
// middle of a fade in a piece; held, frozen or not.
func TestCutOffInAFade(t *testing.T) {
	s := tenCues(t)
	ref := func(name string) source.Ref { return source.Ref{Name: name} }
	e, faults := s.Evening(&show.Order{Steps: []show.OrderStep{
		{Standing: ref("preshow"), Look: ref("look 7"), Up: 2 * time.Second, Most: si.Stretch(time.Minute)},
		{Standing: ref("interval"), Look: ref("look 3"), Up: 4 * time.Second, Most: si.Stretch(time.Minute)},
		{Piece: ref("ten")},
	}}, nil)
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	for name, orders := range map[string]map[time.Duration]Action{
		"go before the look has risen":  {700 * time.Millisecond: Go},
		"held in its fade":              {700 * time.Millisecond: Go, 900 * time.Millisecond: Hold},
		"held, and gone on":             {700 * time.Millisecond: Go, 900 * time.Millisecond: Hold, 1100 * time.Millisecond: Go},
		"twice before it has risen":     {700 * time.Millisecond: Go, 1500 * time.Millisecond: Go, 1600 * time.Millisecond: Hold},
		"frozen under it":               {700 * time.Millisecond: Go, 900 * time.Millisecond: Freeze},
		"lights up over it, held again": {700 * time.Millisecond: Go, 900 * time.Millisecond: LightsUp, 5 * time.Second: LightsDown},
	} {
		synctest.Test(t, func(t *testing.T) {
			commands := make(chan Command)
			last := time.Duration(0)
			for at, do := range orders {
				last = max(last, at)
				time.AfterFunc(at, func() { commands <- Command{Do: do} })
			}
			var log bytes.Buffer
			w := &wire{}
			ctx, cancel := context.WithCancel(t.Context())
			var told []course.Told
			cut := last + 310*time.Millisecond
			time.AfterFunc(cut, cancel)
			_, err := Run(ctx, s, Options{Evening: e, Open: silent, Commands: commands, Rate: 20, Sinks: []output.Sink{w}, Zone: "hall", Ending: time.Millisecond,
				Tell: func(zones []course.Told, _ bool) { told = zones },
				Journal: func(x evening.Event) {
					if line, err := json.Marshal(x); err == nil && x.Kind != evening.Ended { // it was cut off
						log.Write(append(line, '\n'))
					}
				}})
			if err != nil {
				t.Fatal(err)
			}
			i := len(w.at) - 1
			for w.at[i].Sub(w.at[0]) >= cut { // what it ends in
				i--
			}
			var state evening.State
			if err := evening.Read(&log, "hall", func(x evening.Event) { state = state.After(x) }); err != nil {
				t.Fatal(err)
			}
			// Where its light is at the instant of that frame.
			p := s.Alone(e)
			p.Zones[0].Name = "hall"
			state.Instant, state.In = w.at[i], state.On(w.at[i]).In
			for who, light := range map[string]func(*course.Place, *show.Composed){
				"taken up": func(c *course.Place, f *show.Composed) {
					if err := c.Begin(w.at[i], state, nil); err != nil {
						t.Fatal(err)
					}
					c.Light(f, w.at[i])
				},
				"by the other machine": func(c *course.Place, f *show.Composed) {
					for k := range told {
						told[k].State.In = told[k].State.On(w.at[i]).In
						told[k].State.Instant = w.at[i]
					}
					c.Follow(told)
					c.Light(f, w.at[i])
				},
			} {
				c := course.NewPlace(p, nil, func(int) course.Options { return course.Options{Open: silent} })
				f := p.NewComposed()
				light(c, f)
				if got, want := f.Universes[0].Slots[:12], w.slots[i]; string(got[:len(want)]) != string(want[:]) {
					t.Errorf("%s, %s: the light was %v, and is %v", name, who, want, got)
				}
				_ = c.Close()
			}
		})
	}
}
