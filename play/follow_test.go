package play

import (
	"context"
	"slices"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"lampblack/calendar"
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

// leadsFrom is a run of the same test, as a pair tells of it.
type leadsFrom struct {
	mu    sync.Mutex
	zones []course.Told
	gone  bool
}

func (l *leadsFrom) tell(zones []course.Told, _ bool) {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.zones = slices.Clone(zones)
}

func (l *leadsFrom) Told(time.Time) ([]course.Told, bool) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.zones, !l.gone && l.zones != nil
}
func (l *leadsFrom) Ended() bool { return false }

// A machine that stands by has the light of the hours too: the looks before opening and after
// closing, of a self-test and of a place that is shut, and the fades between them; and one that goes
// on alone, and one that comes back, has it from its first frame.
func TestFollowKeepsHours(t *testing.T) {
	s := tenCues(t)
	c, faults := calendar.Read("calendar.yaml", []byte("time zone: UTC\nhours: {every day: 0:10 to 0:20}\nstart-up: {look: look 5, before opening: 5 min}\nclose-down: {look: look 8, after closing: 5 min}\nself-test: {at: \"0:01\", for: 2 min, look: look 3}\ntriggers asleep outside hours: yes\n"), nil)
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	synctest.Test(t, func(t *testing.T) { // its clock begins at midnight, 1 January 2000
		begun := time.Now()
		const rate = 5
		l := &leadsFrom{}
		a, b := &wire{}, &wire{}
		options := Options{Place: s.Alone(nil), Hours: c, Rate: rate, Rests: true}
		main, follows := options, options
		main.Sinks, main.Tell, main.For = []output.Sink{a}, l.tell, 26*time.Minute
		follows.Sinks = []output.Sink{b}
		followed := make(chan struct{})
		go func() {
			defer close(followed)
			_, _ = Follow(t.Context(), s, follows, l)
		}()
		if _, err := Run(t.Context(), s, main); err != nil {
			t.Fatal(err)
		}
		l.mu.Lock()
		l.gone = true
		l.mu.Unlock()
		<-followed
		at := func(w *wire, in time.Duration) [2]byte {
			i, _ := slices.BinarySearchFunc(w.at, begun.Add(in), time.Time.Compare)
			return w.slots[min(i, len(w.slots)-1)]
		}
		looks := map[[2]byte]bool{}
		for in := 2 * time.Second; in < 26*time.Minute; in += 500 * time.Millisecond {
			want, got := at(a, in), at(b, in)
			looks[want] = true
			// Two frames: one that is on its way, and one that is told later.
			if !between(got, at(a, in-2*time.Second/rate), at(a, in+2*time.Second/rate)) {
				t.Fatalf("after %v the light is %v, and that of the main machine %v", in, got, want)
			}
		}
		if len(looks) < 8 {
			t.Errorf("only %v were seen", looks)
		}

		// Gone in the middle of what stands: whoever goes on from there has the same light.
		for _, x := range []struct {
			in   time.Duration
			want byte
		}{{24 * time.Hour, 0}, {24*time.Hour + 2*time.Minute, 77}, {24*time.Hour + 6*time.Minute, 128}} {
			in, want := x.in, x.want
			time.Sleep(time.Until(begun.Add(in)))
			again := &wire{}
			alone := options
			alone.Sinks, alone.For, alone.Starts = []output.Sink{again}, time.Second, course.Starts(l.zones)
			if _, err := Run(t.Context(), s, alone); err != nil {
				t.Fatal(err)
			}
			if d := int(again.slots[0][0]) - int(want); d < -1 || d > 1 {
				t.Errorf("after %v it begins with %v, want %d", in, again.slots[0], want)
			}
		}
	})
}

// between tells whether slots lie between those of two frames.
func between(x, a, b [2]byte) bool {
	for i := range x {
		if x[i] < min(a[i], b[i]) || x[i] > max(a[i], b[i]) {
			return false
		}
	}
	return true
}
