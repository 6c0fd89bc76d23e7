package sheet

import (
	"context"
	"fmt"
	"strings"
	"testing"
	"testing/fstest"

	"lampblack/sheet/typeset"
	"lampblack/show"
	"lampblack/si"
)

type siLength = si.Length

// solved reads and solves a show's texts.
func solved(t testing.TB, texts map[string]string) *show.Show {
	t.Helper()
	dir := fstest.MapFS{}
	for name, text := range texts {
		dir[name] = &fstest.MapFile{Data: []byte(text)}
	}
	files, faults := show.Read(dir)
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	s, faults := show.New(context.Background(), files, nil)
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	return s
}

// least is a show of which next to nothing is said: three units, no room, no sound, no cues.
func least() map[string]string {
	return map[string]string{
		"show.yaml":  "title: Least\n",
		"rig.yaml":   "units:\n  - {unit: a, type: colour par, address: 1}\n  - {unit: b, type: colour par, address: 11}\n  - {unit: c, type: black light flood, address: 21}\n",
		"room.yaml":  "floor: wood floor\n",
		"score.yaml": "looks:\n  on: {colour: white, level: 50 %}\n",
	}
}

// most is a large rig with the longest names, and many cues.
func most(units, cues int) map[string]string {
	long := func(what string, i int) string {
		text := fmt.Sprintf("%s %d %s", what, i, strings.Repeat("unterbrechungslosewörter", 6))
		return string([]rune(text)[:120])
	}
	var rig, score strings.Builder
	rig.WriteString("units:\n")
	for i := range units {
		fmt.Fprintf(&rig, "  - {unit: %q, type: colour par, mode: 3 slots, universe: %d, address: %d, at: [%g m, 1 m, 3 m], aim: [0 m, 2 m, 1 m], systems: [%q]}\n", long("lamp", i), i/50+1, i%50*10+1, float64(i%20)*.3-3, long("system", i%12))
	}
	score.WriteString("looks:\n")
	for i := range 12 {
		fmt.Fprintf(&score, "  %q: {system: %q, colour: white, level: %d %%, purpose: %q}\n", long("look", i), long("system", i), 5+i*8, long("what it is for", i))
	}
	score.WriteString("cues:\n")
	for i := range cues {
		fmt.Fprintf(&score, "  - {cue: %d, at: %d s, look: %q, up: 1 s, why: %q}\n", i+1, i*5, long("look", i%12), long("because", i))
	}
	return map[string]string{
		"show.yaml": "title: " + long("Most", 1) + "\n", "rig.yaml": rig.String(), "score.yaml": score.String(),
		"room.yaml": "size: [8 m, 10 m, 4 m]\nstage front: 6 m\nsurfaces:\n  " + strings.ReplaceAll(long("drape", 1), " ", "-") + ": {material: black cloth, centre: [0 m, 3 m, 1.5 m], width: 6 m, height: 3 m, faces: [0 m, -1 m, 0 m]}\n",
	}
}

// The layout and the writing of papers, solving and checks apart: pages a second.
func BenchmarkPapers(b *testing.B) {
	s := solved(b, most(100, 1000))
	sub := subjectOf(s)
	names := []string{"patch list", "instrument schedule", "cue sheet", "cue synopsis", "call script", "stopwatch sheet", "unit labels", "hook-up", "prompt book"}
	for _, step := range []string{"make", "set", "pdf", "svg"} {
		b.Run(step, func(b *testing.B) {
			docs, err := Make(b.Context(), sub, names...)
			if err != nil {
				b.Fatal(err)
			}
			pages := typeset.Set(typeset.A4, Foot(s, day), docs...)
			b.ResetTimer()
			for b.Loop() {
				switch step {
				case "make":
					_, err = Make(b.Context(), sub, names...)
				case "set":
					typeset.Set(typeset.A4, Foot(s, day), docs...)
				case "pdf":
					err = pages.PDF(discard{})
				case "svg":
					err = pages.SVG(discard{})
				}
				if err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(float64(len(pages.List)*b.N)/b.Elapsed().Seconds(), "pages/s")
		})
	}
}

type discard struct{}

func (discard) Write(p []byte) (int, error) { return len(p), nil }
