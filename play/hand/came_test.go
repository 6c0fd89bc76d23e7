package hand

import (
	"encoding/json"
	"math/rand/v2"
	"testing"
	"time"
)

// A hand whose process died in the middle of anything goes on under another as if it had not: with
// what it was told by way of JSON, every frame after it is that of a hand that lived.
func TestGoesOnUnderAnother(t *testing.T) {
	s := hallWith(t, nil)
	looks := []string{"", "warm", "lit", "sea"}
	systems := []string{"front", "foot", "uv"}
	for seed := range uint64(60) {
		r := rand.New(rand.NewPCG(seed, 14))
		x := newStand(t, s)
		var kept []byte
		x.hand.o.Goes = func(list []Came) { kept, _ = json.Marshal(list) }
		for range 1 + r.IntN(8) {
			o := []Order{
				{Do: Set, System: systems[r.IntN(2)], Colour: []string{"", "#ff0000", "#00ff00"}[r.IntN(3)], Level: float64(r.IntN(10)) / 10},
				{Do: Set, System: "uv", Dark: true, Level: float64(r.IntN(10)) / 10},
				{Do: TrimTo, System: systems[r.IntN(3)], Level: float64(r.IntN(15)) / 10},
				{Do: Bring, Look: looks[r.IntN(4)]},
				{Do: OneAlone, Units: []string{"left"}},
				{Do: OnePulse, Units: []string{"right"}},
				{Do: Unfocused},
				{Do: LetGo},
				{Do: TakeOut, Units: []string{"middle"}},
				{Do: Drop},
			}[r.IntN(10)]
			o.Over = []float64{0, 0, 5}[r.IntN(3)]
			if x.order(o) != nil { // foot has no red
				continue
			}
			for range 1 + r.IntN(30) {
				x.now = x.now.Add(time.Second / 44)
				x.at(5*time.Second, 0)
			}
		}
		if kept == nil {
			continue
		}
		y := newStand(t, s)
		y.now = x.now
		o := Options{Clock: y.hand.o.Clock}
		if err := json.Unmarshal(kept, &o.Came); err != nil {
			t.Fatal(err)
		}
		var err error
		if y.hand, y.changes, err = New(s.Alone(nil), o.Came[len(o.Came)-1].State, o); err != nil {
			t.Fatal(err)
		}
		for len(y.changes) > 0 {
			y.mixer.Take(y.now, <-y.changes)
		}
		for i := range 400 {
			x.now = x.now.Add(time.Second / 44)
			y.now = x.now
			x.at(5*time.Second, 0)
			y.at(5*time.Second, 0)
			for d := range x.frame.Levels {
				if off := x.frame.Levels[d] - y.frame.Levels[d]; off > 1e-3 || off < -1e-3 {
					t.Fatalf("seed %d, frame %d, drive %d: %g, and under another hand %g; %s", seed, i, d, x.frame.Levels[d], y.frame.Levels[d], kept)
				}
			}
		}
	}
}

// Black light that a hand has asked for, and nothing else, is put off; what has none stays.
func TestUnlit(t *testing.T) {
	s := hallWith(t, nil)
	held := []Held{{Units: []string{"left"}, Level: .5}, {Units: []string{"flood"}, Dark: true, Level: .4}, {Units: []string{"left"}, Dark: true}}
	for _, c := range []struct {
		focus, want Focus
		held        []Held
		set         bool
	}{
		{held: held[:1]},
		{held: held[2:]},
		{held: held, set: true},
		{focus: Focus{Alone, "flood"}, want: Focus{Does: WorkLight}, set: true},
		{focus: Focus{Pulse, "bar"}, want: Focus{Pulse, "bar"}},
		{focus: Focus{Does: AllOff}, want: Focus{Does: AllOff}},
	} {
		before := State{Look: "sea", Held: c.held, Focus: c.focus}
		got, set := before.Unlit(s.Rig)
		if set != c.set || got.Focus != c.want || got.Look != "sea" || len(got.Held) != len(c.held) {
			t.Errorf("%+v becomes %+v, %v", before, got, set)
		}
		for i, h := range got.Held {
			if h.Dark && h.Level != 0 || !h.Dark && h.Level != c.held[i].Level {
				t.Errorf("%+v becomes %+v", c.held[i], h)
			}
		}
	}
	if held[1].Level != .4 {
		t.Error("the state before is another")
	}
}
