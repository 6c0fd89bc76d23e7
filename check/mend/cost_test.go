package mend

import (
	"fmt"
	"io/fs"
	"strings"
	"testing"
	"testing/fstest"

	"lampblack/check"
	"lampblack/check/checktest"
	"lampblack/check/finding"
)

// Eyes above and behind the fish, which a flag can shade; and eyes before it, in the light that it glows by.
const (
	behind = "[0 m, 2.6 m, 1.8 m]"
	within = "[0.15 m, 1.5 m, 1.53 m]"
)

// den is a show of one black light, of a fish that glows in it, of a hand whose eyes are there, and of a
// rehearsal so long.
func den(eyes, rehearsal, on string) fstest.MapFS {
	dir := fstest.MapFS{}
	for name, text := range map[string]string{
		"show.yaml":           "days:\n  - {day: dress, shows: 1, rehearsal: " + rehearsal + "}\nalarm input: yes\n",
		"fixtures/flood.yaml": "name: flood\nbeam: {half: 25°}\nemitters:\n  uv: {peak: 385 nm, width: 12 nm, output: 8 W}\nmodes:\n  one slot: {1: {drives: uv}}\non data loss: dark\n",
		"rig.yaml": "units:\n  - {unit: flood, type: flood, address: 1, at: [0 m, 0 m, 2.5 m], aim: [0 m, 2 m, 1.2 m], systems: uv" + on + "}\n" +
			"supports:\n  truss: {kind: bar, height: 2.5 m}\n",
		"room.yaml": fmt.Sprintf(`
size: [5 m, 7 m, 3.2 m]
stage front: 3 m
walls: black velvet
floor: black velvet
ceiling: black velvet
surfaces:
  backdrop: {material: black velvet, centre: [0 m, 3.5 m, 1.5 m], width: 4 m, height: 2.8 m, faces: [0 m, -1 m, 0 m]}
objects:
  fish: {paint: fluorescent orange, centre: [0 m, 2 m, 1.2 m], width: 50 cm, height: 40 cm, faces: [0 m, -1 m, 0 m], background: backdrop}
performers:
  - {name: hand, at: %s}
`, eyes),
		"score.yaml": "looks:\n  fish: {purpose: it glows, parts: [{system: uv, glow: {object: fish, over background: 2, luminance: 70 cd/m2, evenness: 60 %}}]}\n  dark: {purpose: nothing}\n" +
			"cues:\n  - {cue: 1, at: 0:00, look: fish, up: 1 s}\n  - {cue: 2, at: 2:00, look: dark, up: 2 s}\n",
	} {
		dir[name] = &fstest.MapFile{Data: []byte(text)}
	}
	return dir
}

// overdose is the search for what helps a hand that takes too much.
func overdose(t *testing.T, dir fs.FS) *mending {
	t.Helper()
	s := checktest.Solved(t, dir)
	list, err := check.Run(t.Context(), s, check.Options{})
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range list {
		if f.ID == "uv-dose" && f.Severity == finding.Stop {
			return &mending{ctx: t.Context(), dir: dir, show: s, finding: f, before: list}
		}
	}
	t.Fatalf("nobody takes too much: %v", list)
	return nil
}

// Where a flag does, the rehearsal stays: what it would take from the show is ten times as much.
func TestFlagBeforeTime(t *testing.T) {
	checktest.Coarse(t)
	dir := den(behind, "7 h", "")
	m := overdose(t, dir)
	over := m.finding.Value / m.finding.Limit
	found := Find(t.Context(), dir, m.show, m.finding)
	if found.Change == nil || !strings.Contains(found.Change.What, "a flag that lets no light rise above -") {
		t.Fatalf("of %.1f times the limit: %+v", over, found)
	}
	if found.Change.Cost.Share() > cheap {
		t.Errorf("the flag costs %v", found.Change.Cost)
	}
	for _, a := range m.lessRehearsal() {
		if c, ok := m.passes(a); ok {
			if c.Cost.Share() < 5*cheap {
				t.Errorf("%s costs %v: the test shows nothing", c.What, c.Cost)
			}
			return
		}
	}
}

// Where the light that makes the fish glow is the light in the eyes, nothing but less of it or less time helps. What
// would take more than half of the show is told, and not made.
func TestTooDear(t *testing.T) {
	checktest.Coarse(t)
	dir := den(within, "20 h", "")
	m := overdose(t, dir)
	found := Find(t.Context(), dir, m.show, m.finding)
	if found.Change != nil || found.TooDear == nil {
		t.Fatalf("of %.1f times the limit: %+v", m.finding.Value/m.finding.Limit, found)
	}
	if found.TooDear.Cost.Share() <= dearest {
		t.Errorf("too dear at %v", found.TooDear.Cost)
	}
}

// What is made is the first that costs a tenth or less, or else the cheapest of all that pass: every candidate is
// tried here, one after another.
func TestCheapest(t *testing.T) {
	checktest.Coarse(t)
	for _, c := range []struct {
		eyes, rehearsal string
	}{{behind, "7 h"}, {within, "20 min"}, {within, "24 min"}, {within, "30 min"}, {within, "80 min"}} {
		dir := den(c.eyes, c.rehearsal, "")
		m := overdose(t, dir)
		found := Find(t.Context(), dir, m.show, m.finding).Change
		least, first := (*Change)(nil), (*Change)(nil)
		for _, a := range m.candidates() {
			is, ok := m.passes(a)
			if !ok {
				continue
			}
			if least == nil || is.Cost.Share() < least.Cost.Share() {
				least = &is
			}
			if first == nil && is.Cost.Share() <= cheap {
				first = &is
			}
		}
		want := least
		if least != nil && least.Cost.Share() > dearest && found == nil {
			continue // told, not made
		}
		if first != nil {
			want = first
		}
		if want == nil || found == nil || found.What != want.What {
			t.Errorf("eyes at %s, %s: it makes %+v, want %+v", c.eyes, c.rehearsal, found, want)
			continue
		}
		t.Logf("eyes at %s, %s: %s costs %v", c.eyes, c.rehearsal, found.What, found.Cost)
	}
}
