package play

import (
	"context"
	"testing"
	"testing/synctest"
	"time"

	"lampblack/evening"
	"lampblack/play/course"
	"lampblack/play/hand"
	"lampblack/play/output"
)

// leads is the run of another machine.
type leads struct {
	zones []course.Told
	until time.Time
	ended bool

	after time.Time // the first zone stands otherwise
	then  evening.State
}

func (l *leads) Told(now time.Time) ([]course.Told, bool) {
	if !now.Before(l.until) {
		return nil, false
	}
	if !l.after.IsZero() && !now.Before(l.after) {
		l.zones[0].State = l.then
	}
	return l.zones, true
}
func (l *leads) Ended() bool { return l.ended }

// A machine that stands by sends the light of the place where the other one is, also where its
// folder, and so its show, has another name; and says where it was when that is gone.
func TestFollow(t *testing.T) {
	s := tenCues(t)
	synctest.Test(t, func(t *testing.T) {
		begun := time.Now()
		w := &wire{}
		l := &leads{zones: []course.Told{{Zone: "the name that it has there", State: evening.State{Instant: begun, Step: 1, In: 17 * time.Second, Speed: 1}}}, until: begun.Add(5 * time.Second)}
		last, over := Follow(t.Context(), s, Options{Sinks: []output.Sink{w}, Rate: 20, Zone: "its name here"}, l)
		if over || len(last) != 1 || w.over {
			t.Fatalf("over %v, %+v; the wire is closed: %v", over, last, w.over)
		}
		if in := last[0].State.On(begun.Add(5 * time.Second)).In; (in - 22*time.Second).Abs() > 60*time.Millisecond {
			t.Errorf("it was at %v", in)
		}
		f := s.NewFrame()
		for i, at := range w.at {
			s.At(f, 17*time.Second+at.Sub(begun))
			if want := [2]byte(f.Universes[0].Slots[:2]); w.slots[i] != want {
				t.Fatalf("after %v the light is %v, want %v", at.Sub(begun), w.slots[i], want)
			}
		}
		if len(w.at) < 95 {
			t.Errorf("%d frames", len(w.at))
		}
		// A hold elsewhere is one here, and what goes on there goes on here, in the next frame.
		begun = time.Now()
		l.zones[0].State = evening.State{Instant: begun, Step: 1, In: 39900 * time.Millisecond, Held: true}
		l.after, l.then = begun.Add(time.Second), evening.State{Instant: begun.Add(time.Second), Step: 1, In: 39900 * time.Millisecond, Speed: 1}
		l.until = begun.Add(2 * time.Second)
		w.at, w.slots = nil, nil
		_, _ = Follow(t.Context(), s, Options{Sinks: []output.Sink{w}, Rate: 20}, l)
		for i, at := range w.at {
			s.At(f, 39900*time.Millisecond+max(0, at.Sub(l.after)))
			if want := [2]byte(f.Universes[0].Slots[:2]); w.slots[i] != want {
				t.Fatalf("%v after it was held elsewhere, and went on after 1 s, the light is %v, want %v", at.Sub(begun), w.slots[i], want)
			}
		}
		l.until, l.ended = time.Now().Add(time.Hour), true
		if _, over := Follow(t.Context(), s, Options{Rate: 20}, l); !over {
			t.Error("a run that has ended is followed")
		}
		// One whose zones are others sends what is before the beginning, and does not fail.
		l.until, l.ended = time.Now().Add(time.Second), false
		l.zones = append(l.zones, course.Told{Zone: "another"})
		if _, over := Follow(t.Context(), s, Options{Rate: 20}, l); over {
			t.Error("it is over")
		}
	})
}

// A run whose wire was taken away writes no end: whoever takes it up goes on.
func TestRunWithoutItsWire(t *testing.T) {
	s := tenCues(t)
	synctest.Test(t, func(t *testing.T) {
		for _, taken := range []bool{false, true} {
			w := &taker{Owner: output.Own(nil, 20), gone: make(chan struct{})}
			ctx, cancel := context.WithCancel(context.Background())
			time.AfterFunc(3*time.Second, func() {
				if taken {
					close(w.gone)
				}
				cancel()
			})
			ended := false
			if _, err := Run(ctx, s, Options{Wire: w, Journal: func(e evening.Event) { ended = ended || e.Kind == evening.Ended }}); err != nil {
				t.Fatal(err)
			}
			if ended == taken {
				t.Errorf("taken away: %v; the journal has an end: %v", taken, ended)
			}
		}
	})
}

// taker is a wire that somebody may take away.
type taker struct {
	*output.Owner
	gone chan struct{}
}

func (t *taker) Gone() <-chan struct{} { return t.gone }

// What a hand holds on a machine that stands by lies over its light, and is still held when it
// goes on alone.
func TestHandOnAFollower(t *testing.T) {
	s := tenCues(t)
	synctest.Test(t, func(t *testing.T) {
		begun := time.Now()
		h, changes, err := hand.New(s.Alone(nil), hand.State{}, hand.Options{})
		if err != nil {
			t.Fatal(err)
		}
		time.AfterFunc(time.Second, func() {
			if err := h.Order(hand.Order{Do: hand.TakeOut, Units: []string{"lamp"}, Why: "flickers"}); err != nil {
				t.Error(err)
			}
		})
		w := &wire{}
		o := Options{Sinks: []output.Sink{w}, Rate: 20, Hand: changes, Mixer: &hand.Mixer{}, For: time.Second}
		l := &leads{zones: []course.Told{{State: evening.State{Instant: begun, Step: 1, In: 55 * time.Second, Speed: 1}}}, until: begun.Add(4 * time.Second)}
		last, _ := Follow(t.Context(), s, o, l)
		dark := [2]byte{}
		if w.slots[0] == dark || w.slots[len(w.slots)-1] != dark {
			t.Errorf("followed, a unit that was taken out went from %v to %v", w.slots[0], w.slots[len(w.slots)-1])
		}
		n := len(w.slots)
		o.Start = last[0].State
		if _, err := Run(t.Context(), s, o); err != nil {
			t.Fatal(err)
		}
		if w.slots[n+5] != dark {
			t.Errorf("alone, its light is %v", w.slots[n+5])
		}
	})
}
