package show

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"lampblack/room"
	"lampblack/score"
)

// whole is the hall with some of its files changed.
func whole(t testing.TB, changes map[string]string) *Show {
	t.Helper()
	f, faults := Read(hallWith(changes))
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	s, faults := New(t.Context(), f, nil)
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	return s
}

// without is a show with another score and with units out.
func without(t interface{ Fatalf(string, ...any) }, s *Show, text string, names ...string) *Show {
	sc, faults := score.Read("score.yaml", []byte(text))
	if faults.Err() != nil {
		t.Fatalf("%v", faults)
	}
	o := s.on(sc, nil)
	o.out = (&Files{Out: names}).isOut(s.Rig)
	if o.perform(&faults); faults.Err() != nil {
		t.Fatalf("%v", faults)
	}
	return o
}

// likes are five like pars on a row.
func likes() map[string]string {
	rig := "units:\n"
	for i := range 5 {
		rig += fmt.Sprintf("  - {unit: par %d, type: par, address: %d, at: [%g m, -1 m, 3 m], aim: [%g m, 2 m, 1 m], systems: front}\n", i+1, 1+10*i, float64(i)-2, (float64(i)-2)/2)
	}
	return map[string]string{"rig.yaml": rig, "score.yaml": asked("level: 50 %")}
}

// asked is a score of one look.
func asked(ask string) string {
	return "looks:\n  asked:\n    parts: [{system: front, colour: \"#ffb060\", " + ask + "}]\ncues: [{cue: 1, at: 0:00, look: asked}]\n"
}

// A unit that is out is dark in every look. A goal in lux is met by its likes to within 5 %,
// where they can: what they cannot is told as a miss.
func TestOutGoals(t *testing.T) {
	all := whole(t, likes())
	for _, lux := range []string{"2", "8", "20", "60", "200"} {
		for out := 1; out <= 5; out++ {
			s := without(t, all, asked("lux: "+lux+", on: backdrop"), fmt.Sprint("par ", out))
			l := &s.Looks[0]
			from, to := s.Rig.UnitDrives(out - 1)
			for d := from; d < to; d++ {
				if l.Levels[d] != 0 {
					t.Errorf("par %d is out, and drive %d burns", out, d)
				}
			}
			want := 0.0
			fmt.Sscan(lux, &want)
			got := float64(s.Transport.Lux("backdrop", l.Levels))
			full := 0.0
			for d := range s.Rig.Drives {
				if l.Levels[d] > 0 && l.Levels[d] >= .999 {
					full++
				}
			}
			if math.Abs(got-want) > .05*want && len(l.Misses) == 0 {
				t.Errorf("%s lx with par %d out: %.2f lx, and no word of it", lux, out, got)
			}
			if math.Abs(got-want) > .05*want && full == 0 {
				t.Errorf("%s lx with par %d out: %.2f lx, though no lamp is at its limit", lux, out, got)
			}
		}
	}
}

// Where a look asks for a level, the likes of a unit that is out bring what it brought, to the
// surface and each in its colour, as far as they reach; nothing of any other part changes.
func TestOutLevels(t *testing.T) {
	all := whole(t, likes())
	rapid.Check(t, func(rt *rapid.T) {
		level := rapid.IntRange(1, 100).Draw(rt, "level")
		out := rapid.SliceOfNDistinct(rapid.IntRange(1, 5), 1, 3, rapid.ID).Draw(rt, "out")
		var names []string
		for _, u := range out {
			names = append(names, fmt.Sprint("par ", u))
		}
		text := asked(fmt.Sprintf("level: %d %%", level))
		whole, s := without(rt, all, text), without(rt, all, text, names...)
		row := whole.Transport.MeanRow("backdrop", room.Photopic)
		before, after := dotLevels(row, whole.Looks[0].Levels), dotLevels(row, s.Looks[0].Levels)
		bound := false
		for d, v := range s.Looks[0].Levels {
			unit := s.Rig.Drives[d].Unit
			gone := strings.Contains(strings.Join(names, ","), s.Rig.Units[unit].Name.Name)
			if gone && v != 0 || v < 0 || v > 1 {
				rt.Fatalf("drive %d at %g", d, v)
			}
			bound = bound || v > .98
		}
		if after < before*.95 && !bound {
			rt.Fatalf("%v out at %d %%: %.2f lx where it was %.2f, and no lamp is at its limit", names, level, after, before)
		}
		if after > before*1.05 {
			rt.Fatalf("%v out at %d %%: %.2f lx, more than the %.2f before", names, level, after, before)
		}
		if after < .3*before {
			rt.Fatalf("%v out at %d %%: %.2f lx of %.2f: the likes did not come", names, level, after, before)
		}
	})
}

// What lacks is told, and only that: with one of five at a low level nothing does, with four
// of five at full it does.
func TestLacks(t *testing.T) {
	all := whole(t, likes())
	if got := without(t, all, asked("level: 20 %"), "par 2").Lacks(); len(got) != 0 {
		t.Errorf("the likes bring all, and it says %+v", got)
	}
	got := without(t, all, asked("level: 100 %"), "par 1", "par 2", "par 3", "par 4").Lacks()
	if len(got) != 1 || got[0].Look != "asked" || got[0].Share < .6 || got[0].On == "" {
		t.Errorf("one of five is left, and it says %+v", got)
	}
	if got := all.Lacks(); got != nil {
		t.Errorf("no unit is out, and it says %+v", got)
	}
}
