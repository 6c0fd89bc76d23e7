package desk

import (
	"context"
	"slices"
	"strings"
	"testing"
	"time"

	"lampblack/check"
	"lampblack/check/finding"
)

const whole = "slots: 40\nfade: {kind: each scene, longest: 9 s}"

// On a desk that can hold it all, the played show is the show: the same slots on
// the line and the same light while looks stand, and the cues at their times.
func TestPlayedShowOfAnAbleDesk(t *testing.T) {
	s := tinyShow(t, "at: 0:30, look: sea", "at: 0:30, look: sea, up: 4 s", "{cue: 4", "{cue: 5, at: 0:40, look: open}\n  - {cue: 4")
	played := fit(t, s, strings.Replace(five, "slots: 5", whole, 1)).Played()
	want, got := s.NewFrame(), played.NewFrame()
	for _, at := range []time.Duration{5 * time.Second, 12 * time.Second, 20500 * time.Millisecond, 25 * time.Second, 37 * time.Second, 40500 * time.Millisecond} {
		s.At(want, at)
		played.At(got, at)
		if want.Universes[0] != got.Universes[0] {
			t.Errorf("at %v the line carries\n%v, the show's own\n%v", at, got.Universes[0].Slots[:33], want.Universes[0].Slots[:33])
		}
		for d := range want.Levels {
			if diff := want.Levels[d] - got.Levels[d]; diff > .003 || diff < -.003 {
				t.Errorf("at %v drive %d gives %.3f, in the show %.3f", at, d, got.Levels[d], want.Levels[d])
			}
		}
	}
	// Cue 2 snaps at 0:10, on the show's line, to within a tick.
	for at, lit := range map[time.Duration]bool{9998 * time.Millisecond: false, 10002 * time.Millisecond: true} {
		played.At(got, at)
		if flood, _ := s.Rig.UnitDrives(3); got.Levels[flood] > 0 != lit || got.Universes[0].Slots[30] > 0 != lit {
			t.Errorf("at %v the flood is at %.2f", at, got.Levels[flood])
		}
	}
	// A desk fades what its slots hold: from 0:30 on, 51 of the master and 255 of
	// green, both half of the way at 0:32, are 25.5/255 × 127.5/255 = 5 % of light
	// where a fade in light has 10 %.
	s.At(want, 32*time.Second)
	played.At(got, 32*time.Second)
	from, _ := s.Rig.UnitDrives(0)
	if l := got.Levels[from+1]; want.Levels[from+1] < .095 || l < .045 || l > .055 {
		t.Errorf("halfway green gives %.3f, in the show %.3f", l, want.Levels[from+1])
	}
	for i := range s.Cues {
		if a, b := &s.Cues[i], &played.Cues[i]; i > 0 && (a.Number != b.Number || (a.Peak-b.Peak).Abs() > 2*time.Millisecond) {
			t.Errorf("cue %s peaks at %v, on the desk cue %s at %v", a.Number.Name, a.Peak, b.Number.Name, b.Peak)
		}
	}
	played.LightsUp(got, 1)
	if up := s.Looks[0].Levels; !slices.Equal(got.Levels, up) {
		t.Errorf("lights up gives %v, the look %v", got.Levels, up)
	}
}

func findings(t *testing.T, p *Plan) map[string]finding.Finding {
	t.Helper()
	list, err := check.Run(context.Background(), p.Played(), check.Options{})
	if err != nil {
		t.Fatal(err)
	}
	out := map[string]finding.Finding{}
	for _, f := range list {
		out[f.ID] = f
	}
	return out
}

// The checks see what the desk makes of a show: a path that only the washes
// light is dark where the desk has no slots for them.
func TestPathDarkOnTheDeskAlone(t *testing.T) {
	s := tinyShow(t, "audience:", "paths:\n  way: {points: [[-1 m, 1 m, 0 m], [1 m, 1 m, 0 m]], width: 0.6 m}\naudience:",
		"sea:", "sea:\n    people move: yes", "{red: 12 %, green: 20 %}", "{red: 100 %, green: 100 %}")
	own, err := check.Run(context.Background(), s, check.Options{Only: []string{"path-dark"}})
	if err != nil || len(own) > 0 {
		t.Fatalf("the show itself has %v, %v", own, err)
	}
	if f, ok := findings(t, fit(t, s, five))["path-dark"]; !ok || f.Value > .01 || !slices.Contains(f.Cues, "4") {
		t.Errorf("on the desk: %+v", f)
	}
	if f, ok := findings(t, fit(t, s, strings.Replace(five, "slots: 5", whole, 1)))["path-dark"]; ok {
		t.Errorf("on a desk that holds it all: %+v", f)
	}
}

const flashes = "sea:\n    parts: [{units: [flood], emitters: {uv: 20 %}, flash: 1.5 Hz}]\n  lake:"

// A look that flashes is held as it is. A desk that fades its slots would carry
// the shutter through values that must never be entered: the scene comes in at
// once, losses.txt says why, and the others keep their fades.
func TestNoFadeThroughForbiddenValues(t *testing.T) {
	s := tinyShow(t, "sea:", flashes, "at: 0:30, look: sea", "at: 0:30, look: sea, up: 4 s", "at: 0:10, look: night", "at: 0:10, look: night, up: 3 s")
	p := fit(t, s, strings.Replace(five, "slots: 5", whole, 1))
	played := p.Played()
	frame := played.At(played.NewFrame(), 35*time.Second)
	if v := frame.Universes[0].Slots[31]; v < 200 || frame.Flash[3] != 1.5 {
		t.Errorf("the shutter stands at %d, the flood is asked for %v Hz", v, frame.Flash[3])
	}
	if f, ok := findings(t, p)["slot-never"]; ok {
		t.Errorf("slots stand where they must not: %+v", f)
	}
	sheet, _, losses := written(t, p)
	if !strings.Contains(losses, "its change of 4 s snaps, as a fade would take slots through values that must not be") || strings.Contains(losses, "3 s takes") {
		t.Errorf("the losses are\n%s", losses)
	}
	if strings.Count(sheet, "fade 3 s") != 1 {
		t.Errorf("the sheet is\n%s", sheet)
	}
	// With the fade put in by force, the checks see it.
	for i := range p.Recalls {
		if r := &p.Recalls[i]; p.Scenes[r.Scene].Name == "sea" {
			r.over = 4 * time.Second
		}
	}
	if f := findings(t, p)["slot-never"]; f.Severity != finding.Stop || !slices.Contains(f.Units, "flood") {
		t.Errorf("the checks say nothing of a shutter that goes through forbidden values: %+v", f)
	}
}

// The delay that the checks count with is the desk's own: one of 100 to 200 ms
// cannot lead the sound by 0 to 40 ms.
func TestDeskLatencyIsChecked(t *testing.T) {
	s := tinyShow(t, "soundtrack: none.wav", "soundtrack: none.wav\ntiming: {speaker to centre seat: 5 m, sound delay: 10 ms, light delay: 20 ms}")
	if f, ok := findings(t, fit(t, s, strings.Replace(five, "30 ms", "100 ms to 200 ms", 1)))["cue-seat"]; !ok || f.Severity != finding.Warn {
		t.Errorf("a latency of 100 to 200 ms: %+v", f)
	}
	if f, ok := findings(t, fit(t, s, five))["cue-seat"]; ok {
		t.Errorf("a latency of 30 ms: %+v", f)
	}
}

// What looks ask for is measured again in the desk's light: a backdrop that was
// to stay dark and is lit, a star that was to glow and does not.
func TestGoalsThroughTheDesk(t *testing.T) {
	s := tinyShow(t, "night:\n    parts: [{units: [flood], emitters: {uv: 100 %}}]", "night:\n    dark: [{on: backdrop, at most: 5 lx}]\n    parts: [{units: [flood], glow: {object: star, over background: 2}}]")
	own, err := check.Run(context.Background(), s, check.Options{Only: []string{"spill-on-black", "glow-low", "goal-missed"}})
	if err != nil || len(own) > 0 {
		t.Fatalf("the show itself: %v, %v", own, err)
	}
	p := fit(t, s, strings.Replace(five, "slots: 5", whole, 1))
	look := &s.Looks[s.Score.Looks.Index("night")]
	told := func(shown []float32) string {
		var out []string
		for _, m := range p.misses(look, shown) {
			out = append(out, m.Unit)
		}
		return strings.Join(out, ", ")
	}
	if got := told(look.Levels); got != "" {
		t.Errorf("the look's own light misses %s", got)
	}
	if got := told(make([]float32, len(look.Levels))); got != "times its background" {
		t.Errorf("the dark misses %q", got)
	}
	if got := told(s.Looks[s.Score.Looks.Index("knock")].Levels); got != "lx" {
		t.Errorf("red washes over it miss %q", got)
	}
	// And they come out as findings, on a desk that has no other scene for it.
	one := fit(t, s, strings.NewReplacer("slots: 5", "slots: 3", "to: 66", "to: 60").Replace(five))
	for i := range one.Scenes {
		clear(one.Scenes[i].shown)
	}
	if f := findings(t, one)["glow-low"]; f.Limit != 2 || f.Value > 1 || len(f.Cues) != 1 {
		t.Errorf("of a glow that the desk does not have: %+v", f)
	}
}
