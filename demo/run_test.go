package demo

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"testing"
	"testing/synctest"
	"time"

	"lampblack/calendar"
	"lampblack/evening"
	"lampblack/play"
	"lampblack/play/output"
	"lampblack/play/trigger"
	"lampblack/show"
)

// twin is a run's witness: it gets every frame as an output does, and every event as a
// journal does, and knows of nothing else. From the events it says in which state each
// zone is, and package show what light that is.
type twin struct {
	t     *testing.T
	place *show.Place
	hours *calendar.Calendar

	states  []evening.State
	entered []*show.Show // by zone: its step, begun with the light that was seen
	seen    [][]float32
	shows   []*show.Show // entered, with the waits as they were
	byOrder []*show.Show // the same, had it been entered as the order says
	waited  []evening.Waited
	stands  calendar.State // by the hours
	turned  time.Time      // when that last changed
	now     *show.Composed
	ordered *show.Composed // the light by the order, as if all had been played through

	steps   []string // that were begun
	events  map[evening.Kind]int
	frames  int
	settled int    // frames that were held against the order alone
	wrong   string // what the first frame was that is not as it should be
	wrongAt int
}

func newTwin(t *testing.T, p *show.Place, hours *calendar.Calendar) *twin {
	n := len(p.Zones)
	return &twin{t: t, place: p, hours: hours, states: make([]evening.State, n), entered: make([]*show.Show, n), seen: make([][]float32, n),
		shows: make([]*show.Show, n), byOrder: make([]*show.Show, n), waited: make([]evening.Waited, n), now: p.NewComposed(), ordered: p.NewComposed(), events: map[evening.Kind]int{}}
}

func (w *twin) journal(e evening.Event) {
	z := max(w.place.Index(e.Zone), 0)
	w.events[e.Kind]++
	if e.Kind == evening.Began {
		of := w.place.Zones[z].Evening
		if was := w.states[z].On(e.Time); was.Step > 0 && w.entered[z] != nil { // as the step before was left
			f := w.place.NewFrame()
			waits(w.entered[z], was).Light(f, was.In)
			w.seen[z] = f.Levels
		}
		back := e.Step < w.states[z].Step && !w.place.Zones[z].Repeats
		w.entered[z] = of.Steps[e.Step-1].Show
		if w.seen[z] != nil && !back {
			w.entered[z] = of.Enter(e.Step-1, w.seen[z])
		}
		w.shows[z] = nil
		w.steps = append(w.steps, of.Steps[e.Step-1].Name())
	}
	w.states[z] = w.states[z].After(e)
}

// waits puts a show on the line of the waits that are over.
func waits(s *show.Show, state evening.State) *show.Show {
	if n := len(s.Score.Waits); n > 0 {
		return s.Waited(state.Waited.Gaps(n), state.In+time.Hour)
	}
	return s
}

// fades is how long any first fade of a step takes.
const fades = 10 * time.Second

// Send compares a frame with what is to be seen, and, once fades have settled, with what
// playing through would give.
func (w *twin) Send(frames []output.Frame, due time.Time) error {
	if w.states[0].Step == 0 || w.wrong != "" {
		return nil
	}
	now := time.Now()
	states, settled := slices.Clone(w.states), true
	for z := range states {
		states[z] = states[z].On(now)
		if w.shows[z] == nil || w.waited[z] != states[z].Waited {
			w.shows[z], w.waited[z] = waits(w.entered[z], states[z]), states[z].Waited
			w.byOrder[z] = waits(w.place.Zones[z].Evening.Steps[states[z].Step-1].Show, states[z])
		}
		settled = settled && states[z].In >= fades
	}
	w.place.At(w.now, states, w.shows)
	w.frames++
	switch shut := w.shut(now); {
	case w.hours != nil && now.Sub(w.turned) < 3200*time.Millisecond:
		return nil // the place opens or closes, which takes 3 s
	case shut:
		w.place.Stand(w.now.Frame, w.stands.Look, nil, 1)
	case settled:
		w.settled++
		w.place.At(w.ordered, states, w.byOrder)
		// Levels, not slots: what was entered by another light may differ in a level's last
		// digit, and a master's slot then by one value, against its emitters'.
		for d, level := range w.ordered.Levels {
			if math.Abs(float64(level-w.now.Levels[d])) > 1e-5 {
				w.fault("by the order, %v into %v: drive %d gives %v, want %v", states[0].In, w.steps, d, w.now.Levels[d], level)
			}
		}
	}
	if w.compare(frames) {
		return nil
	}
	// A journal keeps places to a microsecond, which may lie between two values of a slot.
	near := slices.Clone(states)
	for try := range int(math.Pow(3, float64(len(states)))) {
		for z := range states {
			near[z].In = states[z].In + time.Duration(try%3-1)*time.Microsecond
			try /= 3
		}
		if w.place.At(w.now, near, w.shows); w.compare(frames) {
			return nil
		}
	}
	w.fault("%v into %v it is another light", states[0].In, w.steps)
	return nil
}

func (w *twin) shut(now time.Time) bool {
	if w.hours == nil {
		return false
	}
	if is := w.hours.At(now); is.Is != w.stands.Is || is.Look != w.stands.Look || w.turned.IsZero() {
		w.stands, w.turned = is, now
	}
	return w.stands.Is != calendar.Open
}

// compare tells whether a frame is what is wanted, slot for slot.
func (w *twin) compare(frames []output.Frame) bool {
	for i := range w.now.Universes {
		if !bytes.Equal(w.now.Universes[i].Slots[:], frames[i].Slots) {
			return false
		}
	}
	return true
}

// fault keeps the first.
func (w *twin) fault(format string, args ...any) {
	if w.wrong == "" {
		w.wrong, w.wrongAt = fmt.Sprintf(format, args...), w.frames
	}
}

// verdict fails when a frame of the run was wrong; the safe frames at its end are none.
func (w *twin) verdict(sum play.Summary) {
	w.t.Helper()
	if w.wrong != "" && w.wrongAt <= sum.Frames {
		w.t.Error(w.wrong)
	}
	if w.frames < sum.Frames {
		w.t.Errorf("%d frames of %d were looked at", w.frames, sum.Frames)
	}
}

func (w *twin) Close() error        { return nil }
func (w *twin) Name() string        { return "twin" }
func (w *twin) Stats() output.Stats { return output.Stats{} }

// seeds is how many runs are made at random.
func seeds(few uint64) uint64 {
	if os.Getenv("LAMPBLACK_LONG") != "" {
		return 100
	}
	if testing.Short() {
		return 3
	}
	return few
}

// The whole evening with simulated goes, some of them late: it passes through every step
// in its order, and every frame is what package show says of the state.
func TestEveningFromStartToEnd(t *testing.T) {
	s := solve(t, Evening)
	synctest.Test(t, func(t *testing.T) {
		commands := make(chan play.Command)
		for _, at := range []int{
			40,       // preshow is over
			53,       // the passenger has sat down, in the span's second time
			95,       // applause
			95 + 17,  // the needle is put down
			95 + 60,  // the net is lifted
			95 + 160, // the interval
			95 + 220, // bows
			95 + 240, // the house is empty
		} {
			time.AfterFunc(time.Duration(at)*time.Second, func() { commands <- play.Command{Do: play.Go} })
		}
		w := newTwin(t, s.show.Alone(s.evening), nil)
		sum, err := play.Run(t.Context(), s.show, play.Options{Evening: s.evening, Commands: commands, Rate: 20, Sinks: []output.Sink{w}, Journal: w.journal})
		if err != nil || sum.Stopped {
			t.Fatalf("%+v, %v", sum, err)
		}
		w.verdict(sum)
		if want := s.evening.Names(); !slices.Equal(w.steps, want) {
			t.Errorf("it went through %q, want %q", w.steps, want)
		}
		if w.frames < 20*330 || w.settled < w.frames/2 {
			t.Errorf("%d frames were compared, %d of them with the order", w.frames, w.settled)
		}
	})
}

// Whatever a hand does: back, jumps, a piece once more, the interval skipped, lights up.
// The light is that of the state at every frame, and, once fades have settled, that of an
// evening which was played through.
func TestEveningUnderAHand(t *testing.T) {
	s := solve(t, Evening)
	all := map[string]int{}
	for seed := range seeds(6) {
		synctest.Test(t, func(t *testing.T) {
			rng := rand.New(rand.NewPCG(seed, 12))
			commands := make(chan play.Command)
			start := evening.State{Step: rng.IntN(len(s.evening.Steps)) + 1} // before the hand has the lot
			actions := []play.Action{play.Go, play.Go, play.SkipNow, play.SkipNow, play.Skip, play.Back, play.Seek, play.Hold, play.LightsUp, play.Freeze, play.Unfreeze, play.StopAll}
			go func() {
				for range 40 {
					time.Sleep(time.Duration(rng.Int64N(20e6)) * time.Microsecond)
					commands <- play.Command{Do: actions[rng.IntN(len(actions))], At: time.Duration(rng.Int64N(int64(2 * time.Minute)))}
				}
				commands <- play.Command{Do: play.Quit}
				close(commands)
			}()
			w := newTwin(t, s.show.Alone(s.evening), nil)
			sum, err := play.Run(t.Context(), s.show, play.Options{Evening: s.evening, Start: start, Commands: commands, Rate: 10, Sinks: []output.Sink{w}, Journal: w.journal})
			for range commands { // what the hand had not done when the evening ended
			}
			if err != nil {
				t.Fatal(err)
			}
			w.verdict(sum)
			for i := 1; i < len(w.steps); i++ {
				all[w.steps[i-1]+" "+w.steps[i]]++
			}
			all["settled"] += w.settled
		})
	}
	if t.Failed() {
		return
	}
	t.Logf("from step to step: %v", all)
	if all["settled"] < 1000 {
		t.Errorf("only %d frames were settled", all["settled"])
	}
}

// By hand, and known: the second piece once more, and the interval skipped.
func TestRepeatAPieceAndSkipTheInterval(t *testing.T) {
	s := solve(t, Evening)
	synctest.Test(t, func(t *testing.T) {
		commands := make(chan play.Command)
		go func() {
			for _, c := range []struct {
				after time.Duration
				do    play.Action
			}{
				{8 * time.Second, play.Go},    // applause is over
				{20 * time.Second, play.Seek}, // the menders once more, from the top
				{0, play.Seek},                // yes
				{time.Second, play.Back},      // no: what stood before
				{10 * time.Second, play.Go},   // the menders
				{20 * time.Second, play.Go},   // a needle
				{20 * time.Second, play.Go},   // a net; and it ends by itself
				{40 * time.Second, play.Go},   // the interval, skipped in its fourth second or so
				{8 * time.Second, play.Quit},
			} {
				time.Sleep(c.after)
				commands <- play.Command{Do: c.do}
			}
		}()
		w := newTwin(t, s.show.Alone(s.evening), nil)
		sum, err := play.Run(t.Context(), s.show, play.Options{Evening: s.evening, Start: evening.State{Step: s.evening.Index("applause") + 1}, Commands: commands, Rate: 20, Sinks: []output.Sink{w}, Journal: w.journal})
		if err != nil {
			t.Fatal(err)
		}
		w.verdict(sum)
		want := []string{"applause", "net menders", "applause", "net menders", "interval", "spring tide"}
		if !slices.Equal(w.steps, want) {
			t.Errorf("it went through %q, want %q", w.steps, want)
		}
		if w.settled < 500 {
			t.Errorf("%d of %d frames were settled", w.settled, w.frames)
		}
	})
}

// The walk with visitors, over an opening and over a closing: what they trip starts their
// zones and no other, nothing starts while it is shut, and every frame is what package show
// says of the three states.
func TestWalkWithVisitors(t *testing.T) {
	s := solve(t, Walk)
	berlin, err := time.LoadLocation("Europe/Berlin")
	if err != nil {
		t.Skip("left out: this machine has no time zones")
	}
	begun := map[string]int{}
	for seed := range seeds(2) {
		for _, from := range []string{"09:43", "12:50"} { // start-up at 9:45, open at 10:00; closed at 13:00
			synctest.Test(t, func(t *testing.T) {
				rng := rand.New(rand.NewPCG(seed, 21))
				begin, err := time.ParseInLocation("2006-01-02 15:04", "2000-01-01 "+from, berlin) // a Saturday, the bubble's first day
				if err != nil {
					t.Fatal(err)
				}
				time.Sleep(time.Until(begin))
				const lasts = 22 * time.Minute
				fired := make(chan trigger.Fired)
				sent := 0
				ctx, cancel := context.WithCancel(t.Context())
				defer cancel()
				go func() {
					for time.Since(begin) < lasts-time.Minute {
						select {
						// A journal keeps places to a microsecond.
						case <-time.After(time.Duration(rng.ExpFloat64()*12e6) * time.Microsecond):
						case <-ctx.Done():
							return
						}
						name := s.files.Triggers.Triggers[rng.IntN(len(s.files.Triggers.Triggers))].Name
						select {
						case fired <- trigger.Fired{Name: name, Time: time.Now()}:
							sent++
						case <-ctx.Done():
							return
						}
					}
				}()
				w := newTwin(t, s.place, s.files.Calendar)
				sum, err := play.Run(ctx, s.show, play.Options{Place: s.place, Hours: s.files.Calendar, Triggers: fired, For: lasts, Rate: 10, Sinks: []output.Sink{w}, Journal: w.journal})
				if err != nil {
					t.Fatal(err)
				}
				cancel()
				w.verdict(sum)
				for _, step := range w.steps {
					begun[step]++
				}
				if w.settled < 300 || w.events[evening.Opens]+w.events[evening.Closes] == 0 {
					t.Errorf("from %s: %d of %d frames settled, events %v", from, w.settled, w.frames, w.events)
				}
				taken, missed := w.events[evening.Trigger], w.events[evening.Missed]
				t.Logf("from %s: %d triggers were sent; %d began something, %d came for nothing; %d of %d frames settled", from, sent, taken, missed, w.settled, w.frames)
				if taken == 0 || taken+missed > sent {
					t.Errorf("from %s: %d triggers were sent, and %d began something, %d came for nothing", from, sent, taken, missed)
				}
			})
		}
	}
	for _, step := range []string{"way down", "fungus", "afterglow", "drops", "still water"} {
		if begun[step] == 0 {
			t.Errorf("%s never began: %v", step, begun)
		}
	}
}
