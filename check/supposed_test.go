package check

import (
	"fmt"
	"strings"
	"testing"
	"testing/fstest"

	"lampblack/check/checktest"
	"lampblack/check/finding"
)

// unwatched takes everybody out of a room.
func unwatched(dir fstest.MapFS) fstest.MapFS {
	room := string(dir["room.yaml"].Data)
	room, _, _ = strings.Cut(room, "audience:")
	dir["room.yaml"] = &fstest.MapFile{Data: []byte(room)}
	return dir
}

// Where nobody said where eyes are, what would stop a run for an eye that is known is a warning, at the worst of some
// places; what would do no harm there is not told.
func TestSupposedEyes(t *testing.T) {
	checktest.Coarse(t)
	blinks := ""
	for i := range 12 {
		blinks += fmt.Sprintf("  - {cue: %d, at: %g s, look: %s, up: 0 s}\n", i+1, 10+float64(i)/10, []string{"full", "out"}[i%2])
	}
	for _, c := range []struct {
		name, emitter, cues string
		want                []string
	}{
		{"black light for hours", "{peak: 370 nm, width: 8 nm, output: 4 W}", onForAnHour, []string{"uv-dose"}},
		{"five flashes in a second", "{peak: 530 nm, width: 20 nm, output: 300 W}", blinks, []string{"flash-rate"}},
		{"a little light", "{peak: 530 nm, width: 20 nm, output: 0.1 W}", onForAnHour, nil},
	} {
		light := func() fstest.MapFS { // walls that flash with the lamp
			dir := lampBench(c.emitter, c.cues, fullAndOut)
			dir["room.yaml"] = &fstest.MapFile{Data: []byte(strings.ReplaceAll(string(dir["room.yaml"].Data), "black velvet", "painted plaster white"))}
			return dir
		}
		known := foundIn(t, light(), ofEyes...)
		found := ran(t, checktest.Solved(t, unwatched(light())), ofEyes...)
		got := byID(found)
		for _, id := range c.want {
			f, ok := got[id]
			if known[id].Severity != finding.Stop {
				t.Errorf("%s: %s does not stop a run where an eye is known", c.name, id)
			}
			if !ok || f.Severity != finding.Warn || !strings.Contains(f.Place, "supposed at x ") || !strings.Contains(f.Assumed, "guessed: where eyes are") {
				t.Errorf("%s: %s is %+v", c.name, id, f)
			}
		}
		if c.want == nil && len(found) > 0 {
			t.Errorf("%s: it tells %v", c.name, keys(found))
		}
		for _, f := range found {
			if f.Severity == finding.Stop {
				t.Errorf("%s: %s stops a run for an eye that is supposed", c.name, f.ID)
			}
		}
	}
}
