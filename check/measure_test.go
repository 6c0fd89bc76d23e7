package check

import (
	"testing"
	"time"

	"lampblack/check/checktest"
	"lampblack/check/finding"
	"lampblack/check/subject"
	"lampblack/show"
)

// blinker is light that no score has written: full for a tenth of every fifth
// of a second, from 1 s to 3 s.
type blinker struct{ subject.Subject }

func (b blinker) Length() time.Duration { return 4 * time.Second }
func (b blinker) Moving() [][2]time.Duration {
	return [][2]time.Duration{{time.Second, 3 * time.Second}}
}
func (b blinker) Turns() []time.Duration                        { return nil }
func (b blinker) Playing(time.Duration, time.Duration) []string { return []string{"the hand"} }
func (b blinker) Standing(time.Duration) []string               { return nil }

func (b blinker) Light(dst *show.Frame, t time.Duration) {
	clear(dst.Flash)
	on := t >= time.Second && t < 3*time.Second && t%(200*time.Millisecond) < 100*time.Millisecond
	for d := range dst.Levels {
		dst.Levels[d] = 0
		if on {
			dst.Levels[d] = 1
		}
	}
}

func (b blinker) At(dst *show.Frame, t time.Duration) { b.Light(dst, t) }

// What is no show is measured by all that does not judge a written score: five
// times up and down in a second, and again, are five flashes of one lamp (a
// flash is a pair of changes, WCAG 2.2), more than the four of HSE HSG195.
func TestMeasure(t *testing.T) {
	s := checktest.Solved(t, bench("  - {cue: 1, at: 0 s, look: out, up: 0 s}\n", "  out:\n    parts:\n      - {system: uv, emitters: {uv: 0 %}}\n"))
	list, err := Measure(t.Context(), blinker{subject.Of(s)}, Options{})
	if err != nil {
		t.Fatal(err)
	}
	found := map[string]finding.Finding{}
	for _, f := range list {
		found[f.ID] = f
	}
	if f := found["flash-union"]; f.Value != 5 || f.Severity != finding.Stop || len(f.Cues) != 1 || f.Cues[0] != "the hand" {
		t.Errorf("%+v", f)
	}
	// Half of two seconds at full, 1.8644 W/sr for each of at most 5 W, 2 m away.
	if f, told := found["uv-irradiance"]; !told {
		t.Error("no ultraviolet is found")
	} else {
		checktest.Within(t, "irradiance", f.Value, 1.8644*5/4, .02)
	}
	checktest.Within(t, "dose of a show and an hour like it", found["uv-dose"].Value, 1.8644*5/4*(2*1+3600), .02)
	for _, id := range []string{"cue-unreached", "goal-missed", "escape-light"} {
		if f, told := found[id]; told {
			t.Errorf("it judges a score that is not there: %+v", f)
		}
	}
}
