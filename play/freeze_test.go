package play

import (
	"testing"
	"testing/synctest"
	"time"

	"lampblack/evening"
	"lampblack/play/output"
	"lampblack/play/trigger"
)

// A frozen light stands slot for slot, through cues and into the next step, while the order
// goes on; given back, it goes to where the show is without a leap. Lights up come over it.
func TestFreezeLight(t *testing.T) {
	s, e := threeSteps(t)
	synctest.Test(t, func(t *testing.T) {
		commands := make(chan Command)
		for at, do := range map[time.Duration]Action{
			2 * time.Second: Go, 25 * time.Second: Freeze, 40 * time.Second: LightsUp, 45 * time.Second: LightsDown, 46 * time.Second: Go,
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

// In a place a zone is frozen by itself, and all are where none is named; a frozen light of
// one zone leaves the others alone.
func TestFreezeAZone(t *testing.T) {
	f, s := walkOf(t, true)
	p, faults := s.Place(f.Zones, nil)
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	synctest.Test(t, func(t *testing.T) {
		commands, triggers := make(chan Command), make(chan trigger.Fired)
		at := func(seconds float64, do func()) { time.AfterFunc(time.Duration(seconds*1e9), do) }
		at(10, func() { triggers <- trigger.Fired{Name: "door"} })
		at(12, func() { commands <- Command{Do: Freeze, Zone: "grotto"} })
		at(20, func() { commands <- Command{Do: Unfreeze} })
		at(22.5, func() { commands <- Command{Do: Freeze} })
		at(26, func() { commands <- Command{Do: Unfreeze, Zone: "gate"} })
		at(30, func() { commands <- Command{Do: Quit} })
		w := runOf(t, s, Options{Place: p, Commands: commands, Triggers: triggers, Rate: 20})
		slots := func(seconds float64) [4]byte {
			for i, due := range w.film.due {
				if due.Sub(w.film.due[0]).Seconds() >= seconds {
					return w.film.slots[i]
				}
			}
			return [4]byte{}
		}
		first, then, all := slots(12.2), slots(19.9), slots(22.7)
		if [2]byte(first[:2]) != [2]byte(then[:2]) || [2]byte(first[2:]) == [2]byte(then[2:]) {
			t.Errorf("the grotto frozen: %v, then %v", first, then)
		}
		if back := slots(22.2); [2]byte(back[:2]) == [2]byte(then[:2]) {
			t.Errorf("given back the grotto is at %v, as it was frozen", back)
		}
		if got := slots(25.9); got != all {
			t.Errorf("all frozen: %v, then %v", all, got)
		}
		if got := slots(29.5); [2]byte(got[:2]) != [2]byte(all[:2]) {
			t.Errorf("the gate is given back, and the grotto goes from %v to %v", all, got)
		}
		for zone, want := range map[string]int{"grotto": 3, "gate": 3} {
			n := 0
			for _, e := range w.events[zone] {
				if e.Kind == evening.Froze || e.Kind == evening.Unfroze {
					n++
				}
			}
			if zone == "grotto" && n != want || zone == "gate" && n != 2 {
				t.Errorf("%s was frozen and given back %d times", zone, n)
			}
		}
	})
}

// A skip of sound that runs is asked for twice within 3 s: later it is asked for anew, and what
// would jump elsewhere by then as well.
func TestSkipIsAskedForTwice(t *testing.T) {
	s := tenCues(t)
	for name, c := range map[string]struct {
		again []time.Duration // after the first, at 15 s
		want  time.Duration   // a second after the last
	}{
		"in time":              {[]time.Duration{2900 * time.Millisecond}, 21 * time.Second},
		"too late":             {[]time.Duration{3100 * time.Millisecond}, 19100 * time.Millisecond},
		"too late, then twice": {[]time.Duration{3100 * time.Millisecond, 4 * time.Second}, 21 * time.Second},
		"past the next cue":    {[]time.Duration{4 * time.Second, 5100 * time.Millisecond}, 21100 * time.Millisecond},
	} {
		synctest.Test(t, func(t *testing.T) {
			commands := make(chan Command)
			last := time.Duration(0)
			go func() {
				for _, at := range append([]time.Duration{0}, c.again...) {
					time.Sleep(at - last)
					last = at
					commands <- Command{Do: Skip}
				}
				time.Sleep(time.Second)
				commands <- Command{Do: Quit}
			}()
			notices := map[string]bool{}
			sum, err := Run(t.Context(), s, Options{Start: evening.State{In: 15 * time.Second}, Commands: commands, Report: func(st Status) { notices[st.Notice] = true }})
			if err != nil || (sum.End-c.want).Abs() > time.Millisecond || !notices["skip jumps the sound to 0:20.000: again to do it"] {
				t.Errorf("%s: at %v, want %v (%v); it said %v", name, sum.End, c.want, err, notices)
			}
		})
	}
}

// A person is told of ultraviolet in a light that is frozen, as it stays on: of each light
// anew, and not when it is the show's again.
func TestFrozenUltravioletIsTold(t *testing.T) {
	f, s := walkOf(t, true)
	p, faults := s.Place(f.Zones, nil)
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	synctest.Test(t, func(t *testing.T) {
		commands, triggers := make(chan Command), make(chan trigger.Fired)
		for at, do := range map[time.Duration]Action{5: Freeze, 8: Unfreeze, 14: Freeze, 17: Unfreeze, 20: Quit} { // the grotto glows from 13 s on
			time.AfterFunc(at*time.Second, func() { commands <- Command{Do: do, Zone: "grotto"} })
		}
		time.AfterFunc(10*time.Second, func() { triggers <- trigger.Fired{Name: "door"} })
		start := time.Now()
		frozen, violet := 0, 0
		_, err := Run(t.Context(), s, Options{Place: p, Commands: commands, Triggers: triggers, Rate: 20, Report: func(st Status) {
			since := time.Since(start).Seconds()
			for _, z := range st.Zones {
				want := z.Zone == "grotto" && since > 14 && since < 17
				if z.Violet != want && since != 14 && since != 17 {
					t.Errorf("at %v s %s says %v of ultraviolet", since, z.Zone, z.Violet)
				}
				if z.State.Frozen {
					frozen++
				}
				if z.Violet {
					violet++
				}
			}
		}})
		if err != nil || violet < 20 || frozen < 2*violet-10 {
			t.Errorf("frozen in %d reports, %d of them with ultraviolet: %v", frozen, violet, err)
		}
	})
}
