package check

import (
	"context"
	"maps"
	"math"
	"strings"
	"testing"
	"testing/fstest"

	"lampblack/check/finding"
	"lampblack/room"
	"lampblack/show"
)

// cave is a place of two zones of one lamp each: a cave that begins with a beam and gives
// ultraviolet for 30 s of the 40 s that it takes, and an arch.
var cave = map[string]string{
	"show.yaml":          "title: cave\n",
	"fixtures/lamp.yaml": "name: lamp\nbeam: {half: 25°}\nsupply: {max: 400 W, factor: 0.9}\nemitters: {white: {like: phosphor 4000 K, output: 900 lm}, uv: {peak: 385 nm, width: 12 nm, output: 1 W}}\nmodes: {two: {1: {drives: white}, 2: {drives: uv}}}\n",
	"rig.yaml":           "circuits: {wall: {breaker: B16, voltage: 230 V}}\nunits:\n  - {unit: in the cave, type: lamp, address: 1, at: [0 m, 0 m, 3 m], aim: [0 m, 2 m, 1 m], systems: cave, circuit: wall}\n  - {unit: on the arch, type: lamp, address: 3, at: [2 m, 0 m, 3 m], aim: [2 m, 2 m, 1 m], systems: arch, circuit: wall}\n",
	"room.yaml":          "size: [9 m, 14 m, 4 m]\nstage front: 9 m\naudience: [{name: bench, at: [0 m, -3 m, 1.2 m]}]\nperformers: [{name: guard, at: [0 m, 3 m, 1.6 m], looks at: [0 m, 0 m, 2 m]}]\n",
	"score.yaml":         "looks:\n  rest: {parts: [{system: cave, emitters: {white: 10 %}}]}\n  glow: {parts: [{system: cave, emitters: {uv: 100 %}}]}\n  arch: {parts: [{system: arch, emitters: {white: 50 %}}]}\ncues: [{cue: 1, at: 0:00, look: rest}]\n",
	"zones.yaml":         "zones:\n  cave: {systems: [cave], order: cave.yaml, repeats: yes}\n  arch: {systems: [arch], order: arch.yaml, repeats: yes}\n",
	"cave.yaml":          "order:\n  - {standing: rest, look: rest, until: trigger in, at most: 12 h}\n  - {piece: glow, cues: glow.yaml}\n",
	"glow.yaml":          "cues:\n  - {cue: 1, at: 0:00, look: glow}\n  - {cue: 2, at: 0:30, look: rest, up: 0 s}\n  - {cue: 3, at: 0:40, look: rest}\n",
	"arch.yaml":          "order: [{standing: arch, look: arch, until: after 1 h, at most: 1 h}]\n",
	"triggers.yaml":      "triggers: {in: {source: page}}\n",
	"calendar.yaml":      "time zone: Europe/Berlin\nhours: {monday to friday: 10:00 to 18:00, saturday: [10:00 to 13:00, 14:00 to 23:00]}\n",
}

func placeOf(t *testing.T, change map[string]string) (*show.Place, show.Files, []finding.Finding) {
	t.Helper()
	files := fstest.MapFS{}
	all := maps.Clone(cave)
	maps.Copy(all, change)
	for name, text := range all {
		if text != "" {
			files[name] = &fstest.MapFile{Data: []byte(text)}
		}
	}
	f, faults := show.Read(files)
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	s, faults := show.New(context.Background(), f, nil)
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	p, faults := s.Place(f.Zones, nil)
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	found, err := Place(context.Background(), p, Options{Hours: f.Calendar, Triggers: f.Triggers})
	if err != nil {
		t.Fatal(err)
	}
	return p, f, found
}

// Who works in a place is there on its longest day, the 12 h of saturday, while the cave
// begins again and again: three quarters of that under its lamp. Times by hand; the
// irradiance is the room's own, which has its tests.
func TestDosesOfAPlace(t *testing.T) {
	p, _, found := placeOf(t, nil)
	rate := func(kind room.Kind) float64 {
		for e, place := range p.Transport.Eyes {
			if p.Transport.Places[place].Kind == kind {
				return p.Transport.MostRow(e, room.UVA)[1] * p.Transport.Spread[1].High
			}
		}
		return 0
	}
	want := map[string]float64{
		"performer guard": rate(room.KindPerson) * .75 * 12 * 3600,
		"seat bench":      rate(room.KindSeat) * (30 + .75*3600), // a stay in the cave, and an hour under the arch while the cave goes on
	}
	for _, f := range found {
		if f.ID != "uv-dose" {
			continue
		}
		w, ok := want[f.Place]
		if !ok || math.Abs(f.Value/w-1) > .01 {
			t.Errorf("%s has %v J/m², want %v: %s", f.Place, f.Value, w, f.Text)
		}
		delete(want, f.Place)
	}
	if len(want) > 0 {
		t.Errorf("not told: %v", want)
	}
}

// The circuit must carry all zones at once, though no step of any has both.
func TestSupplyOfAllZonesAtOnce(t *testing.T) {
	few := strings.Replace(cave["fixtures/lamp.yaml"], "400 W", "2200 W", 1)
	_, _, found := placeOf(t, map[string]string{"fixtures/lamp.yaml": few})
	n := 0
	for _, f := range found {
		if f.ID == "supply-load" && f.Severity == finding.Stop {
			n++
		}
	}
	if n != 1 {
		t.Errorf("two lamps of 2200 W on one circuit of 16 A are told %d times", n)
	}
}

func TestWays(t *testing.T) {
	for name, c := range map[string]struct {
		change map[string]string
		id     string
		says   string
	}{
		"as it is":                 {},
		"a time outside the hours": {map[string]string{"arch.yaml": "order: [{standing: arch, look: arch, until: 3:30, at most: 12 h}]\n"}, "no-way-out", "3:30"},
		"a time inside":            {map[string]string{"arch.yaml": "order: [{standing: arch, look: arch, until: 22:30, at most: 12 h}]\n"}, "", ""},
		"nobody there":             {map[string]string{"arch.yaml": "order: [{standing: arch, look: arch, at most: 12 h}]\n"}, "needs-a-person", "waits for go"},
		"too short a stay":         {map[string]string{"zones.yaml": strings.Replace(cave["zones.yaml"], "repeats: yes}", "repeats: yes, longest stay: 30 s}", 1), "cave.yaml": cave["cave.yaml"] + "  - {standing: after, look: rest, until: after 5 s}\n"}, "never-reached", "30 s"},
		"too long a dwell":         {map[string]string{"triggers.yaml": "triggers: {in: {source: pins /dev/ttyUSB0 carrier, dwell: 30 s}}\n"}, "no-way-out", "30 s"},
		"in and out by one beam":   {map[string]string{"glow.yaml": cave["glow.yaml"] + "waits: [{at: 0:20, until: trigger in, at most: 1 min}]\n"}, "doubled-start", "second of two people"},
		"over in the morning":      {map[string]string{"zones.yaml": strings.Replace(cave["zones.yaml"], "order: arch.yaml, repeats: yes", "order: arch.yaml", 1)}, "no-way-out", "until the place opens again"},
	} {
		_, _, found := placeOf(t, c.change)
		ids := map[string]string{}
		for _, f := range found {
			switch f.ID {
			case "no-way-out", "needs-a-person", "never-reached", "doubled-start":
				ids[f.ID] = f.Text
			}
		}
		if c.id == "" && len(ids) > 0 || c.id != "" && !strings.Contains(ids[c.id], c.says) {
			t.Errorf("%s: %v, want %s with %q", name, ids, c.id, c.says)
		}
	}
}

// Where another zone always gives light, a zone that goes dark leaves no path dark: the
// least that the others give counts.
func TestOtherZonesLightThePath(t *testing.T) {
	paths := cave["room.yaml"] + "paths: {way: {points: [[2 m, 2.8 m, 0 m], [2 m, 3.2 m, 0 m]], width: 0.4 m}}\n"
	dark := func(arch string) (n int) {
		_, _, found := placeOf(t, map[string]string{"room.yaml": paths, "arch.yaml": arch, "score.yaml": strings.ReplaceAll(cave["score.yaml"], "glow: {", "glow: {people move: yes, ")})
		for _, f := range found {
			if f.ID == "path-dark" && strings.Contains(f.Place, "zone cave") {
				n++
			}
		}
		return n
	}
	lit := cave["arch.yaml"]
	sometimes := "order:\n  - {standing: arch, look: arch, until: after 1 h, at most: 1 h}\n  - {standing: none, look: glow, until: after 1 h, at most: 1 h}\n"
	if a, b := dark(lit), dark(sometimes); a != 0 || b == 0 {
		t.Errorf("dark by the cave: %d times where the arch stands, %d where it goes dark now and then", a, b)
	}
}

// Two zones that flash three times now and then, each within the rule by itself, may meet in
// one eye (WCAG 2.2, 2.3.1: no more than three in a second): six is told, with how often. Where
// one of them stands still, nothing is.
func TestZonesThatMeetInOneEye(t *testing.T) {
	bright := strings.Replace(cave["fixtures/lamp.yaml"], "900 lm", "20000 lm", 1)
	rig := strings.NewReplacer("at: [0 m, 0 m, 3 m], aim: [0 m, 2 m, 1 m]", "at: [0 m, 0 m, 2 m], aim: [0 m, 6 m, 2 m]", "at: [2 m, 0 m, 3 m], aim: [2 m, 2 m, 1 m]", "at: [1 m, 0 m, 2 m], aim: [0 m, 6 m, 2 m]").Replace(cave["rig.yaml"])
	room := "size: [9 m, 14 m, 4 m]\nstage front: 7 m\nwalls: white\nmaterials: {white: {reflects: 80 %}}\naudience: [{name: bench, at: [0 m, -3 m, 1.2 m]}]\n"
	score := "looks:\n  rest: {parts: [{system: cave, emitters: {white: 0 %}}]}\n  glow: {parts: [{system: cave, emitters: {white: 100 %}}]}\n  arch: {parts: [{system: arch, emitters: {white: 100 %}}]}\n  none: {parts: [{system: arch, emitters: {white: 0 %}}]}\ncues: [{cue: 1, at: 0:00, look: rest}]\n"
	flashes := func(dark, light string) string {
		text := "cues:\n  - {cue: 1, at: 0:00, look: " + dark + "}\n"
		for i := range 3 {
			text += "  - {cue: " + string(rune('2'+i)) + ", at: " + []string{"1.0", "1.3", "1.6"}[i] + " s, look: " + light + ", hold: 0.1 s, returns: 0 s}\n"
		}
		return text + "  - {cue: 9, at: 0:20, look: " + dark + "}\n"
	}
	change := map[string]string{"fixtures/lamp.yaml": bright, "rig.yaml": rig, "room.yaml": room, "score.yaml": score, "glow.yaml": flashes("rest", "glow"),
		"arch.yaml": "order:\n  - {standing: rest, look: none, until: trigger in, at most: 12 h}\n  - {piece: arch, cues: archcues.yaml}\n", "archcues.yaml": flashes("none", "arch")}
	meets := func() (out []finding.Finding) {
		_, _, found := placeOf(t, change)
		for _, f := range found {
			if f.ID == "flash-meeting" {
				out = append(out, f)
			} else if strings.HasPrefix(f.ID, "flash") && f.Severity == finding.Stop {
				t.Errorf("by itself: %s", f.Text)
			}
		}
		return out
	}
	switch found := meets(); {
	case len(found) != 1:
		t.Errorf("%d findings", len(found))
	case found[0].Value < 6 || found[0].Value > 12 || !strings.Contains(found[0].Text, "there can be"):
		t.Errorf("%v: %s", found[0].Value, found[0].Text)
	}
	change["archcues.yaml"] = "cues: [{cue: 1, at: 0:00, look: arch}, {cue: 2, at: 0:20, look: arch}]\n"
	if found := meets(); len(found) != 0 {
		t.Errorf("beside a zone that stands: %s", found[0].Text)
	}
}

// Whoever walks past a black-light lamp is measured: 1 W of it into a cone of 25 degrees at half
// (a solid angle of 0.15 sr at 12.5 degrees from its axis) and 1 m away is a few watts on a square
// metre, and ten minutes of it are most of a child's day.
func TestPathsCountAsEyes(t *testing.T) {
	of := func(x string) (found []finding.Finding) {
		paths := cave["room.yaml"] + "paths: {way: {points: [[" + x + " m, 1 m, 0 m], [" + x + " m, 3 m, 0 m]], width: 0.4 m}}\n"
		_, _, all := placeOf(t, map[string]string{"room.yaml": paths})
		for _, f := range all {
			if f.ID == "uv-path" {
				found = append(found, f)
			}
		}
		return found
	}
	near, far := of("0"), of("-4")
	if len(near) != 1 || len(far) != 1 {
		t.Fatalf("%d and %d findings", len(near), len(far))
	}
	// The lamp hangs at 3 m and aims 45 degrees down: at y 2, 1 m over the floor, the eye is in
	// its axis, the root of 8 m away. I = 1 W / 0.15 sr at the least, E = I / 8 m2.
	if v := near[0].Value; v < .5/.15/8*600 || v > 10/.15/8*600 {
		t.Errorf("ten minutes in its axis give %v J/m²: %s", v, near[0].Text)
	}
	if far[0].Value > near[0].Value/5 || far[0].Severity != finding.Note {
		t.Errorf("4 m beside it there are %v J/m², in its axis %v", far[0].Value, near[0].Value)
	}
}
