package play

import (
	"testing"
	"testing/synctest"
	"time"

	"lampblack/evening"
	"lampblack/play/output"
)

// A frozen light stands slot for slot, through cues and into the next step, while the order
// goes on; given back, it goes to where the show is without a leap. Lights up come over it.
func TestFreezeLight(t *testing.T) {
	s, e := threeSteps(t)
	synctest.Test(t, func(t *testing.T) {
		commands := make(chan Command)
		for at, do := range map[time.Duration]Action{
			2 * time.Second: Go, 25 * time.Second: Freeze, 40 * time.Second: LightsUp, 45 * time.Second: LightsUp, 46 * time.Second: Go,
			130 * time.Second: Unfreeze, 140 * time.Second: Freeze, 150 * time.Second: Unfreeze, 151 * time.Second: Freeze, 160 * time.Second: Quit,
		} {
			time.AfterFunc(at, func() { commands <- Command{Do: do} })
		}
		start, w := time.Now(), &wire{}
		var states []evening.State
		_, err := Run(t.Context(), s, Options{Evening: e, Open: silent, Commands: commands, Rate: 20, Sinks: []output.Sink{w}, Report: func(st Status) { states = append(states, st.State) }})
		if err != nil {
			t.Fatal(err)
		}
		at := func(seconds float64) [2]byte {
			for i, sent := range w.at {
				if sent.Sub(start).Seconds() > seconds {
					return w.slots[i]
				}
			}
			return [2]byte{}
		}
		frozen := at(24.9)
		for _, c := range []struct {
			at   float64
			want [2]byte
		}{{25.1, frozen}, {39.9, frozen}, {44.9, [2]byte{255, 0}}, {45.9, frozen}, {60, frozen}, {129.9, frozen}, {133, at(139)}, {141, at(139)}, {149, at(139)}} {
			if got := at(c.at); got != c.want {
				t.Errorf("%v s: %v, want %v", c.at, got, c.want)
			}
		}
		if frozen == at(139) || at(131) == frozen || at(131) == at(139) {
			t.Errorf("frozen at %v, half way at %v, then %v", frozen, at(131), at(139))
		}
		if a, b := at(151.5), at(159); a != b || a == at(139) && a == frozen {
			t.Errorf("frozen again on the way: %v, then %v", a, b)
		}
		steps := map[int]bool{}
		for _, st := range states {
			if st.Frozen {
				steps[st.Step] = true
			}
		}
		if len(steps) < 2 {
			t.Errorf("the order stood in %v under a frozen light", steps)
		}
	})
}
