package seen_test

import (
	"math"
	"testing"
	"time"

	"lampblack/check/checktest"
	"lampblack/check/flash"
	"lampblack/check/seen"
	"lampblack/show"
)

// hiddenLamp is the booth with a board before the lamp and a pane beside it, in which the eye sees the lens
// if it mirrors.
func hiddenLamp(pane string) *show.Show {
	return checktest.BoothWith(`materials:
  glass: {reflects: 0, gloss: mirror}
  nothing: {reflects: 0}
boxes: {board: {centre: [0 m, 0 m, 0.7 m], size: [0.2 m, 0.02 m, 0.4 m], material: nothing}}
surfaces: {pane: {material: `+pane+`, centre: [-0.2 m, 0 m, 0.7 m], width: 0.6 m, height: 0.6 m, faces: [1 m, 0 m, 0 m]}}
`, "looks: {dark: {}}\ncues: [{cue: 1, at: 0:00, look: dark}]\n")
}

// A lens that flashes is seen to flash in a mirror as well: by who sees it nowhere else, and by what counts frames as they
// go out.
func TestFlashesInAMirror(t *testing.T) {
	var light seen.Light
	for at := time.Duration(0); at < 2*time.Second; at += 200 * time.Millisecond {
		for i, white := range []float32{0, 1, 1, 0} {
			light.Times = append(light.Times, at+time.Duration(i)*50*time.Millisecond)
			light.Levels = append(light.Levels, []float32{0, white})
			light.Rates = append(light.Rates, []float32{0})
		}
	}
	for pane, want := range map[string]int{"nothing": 0, "glass": 5} {
		s := hiddenLamp(pane)
		eyes := seen.New(s.Transport, s.Rig)
		w, area := eyes.Over(&light).Worst(0, seen.GeneralBT)
		if w.Count != want {
			t.Errorf("%s: the eye sees %d flashes in a second, want %d", pane, w.Count, want)
		}
		if want > 0 {
			// The image is at the lamp's place turned about the pane, [-0.4 m, 0.5 m]: 0.4 m across and 1 m along from
			// the eye, a face of 0.1 m by 0.1 m seen at a slant, Ω = A cos θ / d².
			d := math.Hypot(.4, 1)
			if solid := .01 / d / (d * d); math.Abs(area/solid-1) > .01 {
				t.Errorf("the image fills %.5f sr, want %.5f sr", area, solid)
			}
		}
		counter := eyes.Counter()
		over := 0
		for i := range light.Times {
			o := counter.See(light.Times[i], light.Levels[i], 0, math.MaxInt32, flash.BT.Most)
			if o.Any() {
				over++
			}
			counter.Take()
		}
		if (over > 0) != (want > 0) {
			t.Errorf("%s: %d frames are too many", pane, over)
		}
	}
}
