package compare_test

import (
	"fmt"
	"strings"
	"testing"
	"testing/fstest"

	"lampblack/check/checktest"
	"lampblack/show"
	"lampblack/show/compare"
)

// hall is a show whose floor asks for lux of one lamp, and whose backdrop has another at a level, of
// so many times the output.
func hall(t *testing.T, times float64) *show.Show {
	t.Helper()
	dir := fstest.MapFS{}
	for name, text := range map[string]string{
		"room.yaml":          strings.ReplaceAll(boothRoom, "black cloth", "black velvet") + "walls: black velvet\nfloor: black velvet\nceiling: black velvet\n",
		"fixtures/lamp.yaml": strings.ReplaceAll(fmt.Sprintf(lampType, 300.), "40°", "20°"), "fixtures/other.yaml": strings.ReplaceAll(fmt.Sprintf(lampType, 300*times), "40°", "20°"),
		"rig.yaml": "units:\n  - {unit: down, type: lamp, address: 1, at: [0 m, 1 m, 2.8 m], aim: [0 m, 1 m, 0 m], systems: top}\n" +
			"  - {unit: across, type: other, address: 2, at: [0 m, 0.5 m, 2 m], aim: [0 m, 2.5 m, 1.5 m], systems: back}\n",
		"score.yaml": "looks:\n  night: {parts: [{system: top, lux: 20, on: floor}, {system: back, emitters: {white: 30 %}}]}\ncues:\n  - {cue: 1, at: 0:00, look: night}\n",
	} {
		dir[name] = &fstest.MapFile{Data: []byte(text)}
	}
	return checktest.Solved(t, dir)
}

// What is asked for in lux stays, what is at a level becomes three times as bright: the balance is
// told as that, and nothing is lost.
func TestBalance(t *testing.T) {
	l := compare.Shows(hall(t, 1), hall(t, 3))[0]
	if kept, asked := l.Kept(); kept != 1 || asked != 1 || len(l.Held) != 1 || l.Held[0] != "floor" {
		t.Fatalf("%d of %d are kept, held against %v", kept, asked, l.Held)
	}
	for i := range l.Light {
		if p := &l.Light[i]; p.On == "backdrop" {
			checktest.Within(t, "backdrop", p.After/p.Before, 3, .03)
		}
	}
	lines := l.Lines()
	if len(lines) == 0 || lines[0].Kind != compare.Balance || !strings.HasPrefix(lines[0].Text, "backdrop is 3 times as bright: ") || !strings.HasSuffix(lines[0].Text, "; beside floor it is 3 times brighter") {
		t.Errorf("it says %+v", lines)
	}
	if back := compare.Shows(hall(t, 3), hall(t, 1))[0].Lines(); len(back) == 0 || !strings.Contains(back[0].Text, "67 % darker") {
		t.Errorf("the other way round it says %+v", back)
	}
}
