package check

import (
	"strings"
	"testing"
	"testing/fstest"

	"lampblack/check/checktest"
	"lampblack/check/finding"
)

// shed is a small theatre in a shed: two lamps, a lantern that glows, and who carries it.
func shed() map[string]string {
	return map[string]string{
		"show.yaml": "title: shed\nalarm input: yes\noutputs:\n  - {to: \"e131 127.0.0.1\", universes: [1]}\ndays:\n  - {day: friday, shows: 2, rehearsal: 30 min}\n",
		"room.yaml": `size: [4 m, 6 m, 3 m]
stage front: 3 m
ceiling: dark wood
surfaces:
  cloth: {material: black velvet, centre: [0 m, 2.5 m, 1.3 m], width: 3.6 m, height: 2.6 m, faces: [0 m, -1 m, 0 m]}
objects:
  lantern: {paint: fluorescent yellow-green, centre: [0 m, 1.5 m, 1.3 m], width: 0.4 m, height: 0.4 m, faces: [0 m, -1 m, 0 m], background: cloth, carried by: hand}
audience:
  - {name: bench, at: [0 m, -2 m, 1.2 m]}
performers:
  - {name: hand, at: [0 m, 2 m, 1.6 m], wears: black cloth}
marks:
  side: [1.2 m, 2 m, 1.6 m]
`,
		"rig.yaml": `supports:
  beam: {kind: bar, carries: 20 kg, height: 2.5 m}
units:
  - {unit: par, type: par, address: 1, at: [-1 m, 0 m, 2.5 m], aim: [0 m, 1.5 m, 1 m], systems: [front], on: beam}
  - {unit: flood, type: flood, address: 5, at: [0.5 m, 0 m, 0.2 m], aim: [0 m, 1.5 m, 1.3 m], systems: [uv], mask: 50°}
`,
		"fixtures/par.yaml":   "name: Par\nsize: [0.2 m, 0.2 m, 0.2 m]\nkeeps clear: 0.3 m\nbeam: {half: 30°}\nsupply: {max: 40 W}\non data loss: dark\nemitters:\n  red: {peak: 624 nm, width: 18 nm, output: 170 lm}\n  green: {peak: 522 nm, width: 34 nm, output: 360 lm}\n  blue: {peak: 458 nm, width: 22 nm, output: 80 lm}\nmodes:\n  three:\n    1: {drives: red}\n    2: {drives: green}\n    3: {drives: blue}\n",
		"fixtures/flood.yaml": "name: Flood\nsize: [0.2 m, 0.1 m, 0.1 m]\nbeam: {half: 40°}\nsupply: {max: 30 W}\non data loss: dark\nemitters:\n  uv: {peak: 395 nm, width: 12 nm, output: 2 W}\nmodes:\n  one:\n    1: {drives: uv}\n",
		"score.yaml": `looks:
  day:
    parts:
      - {system: front, colour: "3000 K", level: 50 %}
  spark:
    parts:
      - {system: front, colour: "3000 K", level: 90 %}
  night:
    parts:
      - {system: uv, glow: {object: lantern, over background: 5, luminance: 0.5 cd/m2}}
  up:
    purpose: lights up
    parts:
      - {system: front, colour: "4000 K", level: 100 %}
cues:
  - {cue: 1, at: 0:00, look: day, up: 2 s, lands: starts}
  - {cue: 2, at: 0:20, look: spark, up: 0.3 s, hold: 2 s, returns: 1 s, lands: starts}
  - {cue: 3, at: 0:30, look: spark, up: 0.3 s, returns: 1 s, lands: starts}
  - {cue: 4, at: 0:40, look: night, up: 3 s, lands: starts}
  - {cue: 5, at: 2:00, look: up, up: 3 s, lands: starts}
crosses:
  hand:
    - {at: 1:00, to: side, takes: 20 s}
waits:
  - {at: 1:30, usually: 10 s, at most: 1 min}
`,
	}
}

// What people get wrong by a slip of the pen, each beside what looks like it and is right.
func TestSlips(t *testing.T) {
	checktest.Coarse(t)
	type edit struct{ file, old, new string }
	order := "order:\n  - {standing: doors, look: day, until: 21:30, usually: 5 min, at most: 20 min}\n  - {piece: one}\n  - {standing: after, look: up, until: TIME, usually: 5 min, at most: 20 min}\n"
	waits := edit{"score.yaml", "at: 1:30, usually", "at: 1:30, until: trigger gate, usually"}
	for _, c := range []struct {
		id, place   string
		grave       finding.Severity
		slip, right []edit
	}{
		{"cue-unreached", "cue 3", finding.Warn, []edit{{"score.yaml", "hold: 2 s", "hold: 12 s"}}, []edit{{"score.yaml", "hold: 2 s", "hold: 9 s"}}},
		{"look-twice", "look day", finding.Warn,
			[]edit{{"score.yaml", "level: 50 %}\n", "level: 50 %}\n      - {units: [par], colour: \"#2050a0\", level: 80 %}\n"}},
			[]edit{{"score.yaml", "level: 50 %}\n", "level: 50 %}\n      - {system: uv, level: 80 %}\n"}}},
		{"glow-carrier", "performer hand", finding.Warn, []edit{{"room.yaml", "wears: black cloth", "wears: optical white cloth"}}, []edit{{"room.yaml", ", carried by: hand", ""}, {"room.yaml", "wears: black cloth", "wears: optical white cloth"}}},
		{"unit-flagged", "unit flood", finding.Warn, []edit{{"rig.yaml", "mask: 50°", "mask: -20°"}}, []edit{{"rig.yaml", "mask: 50°", "mask: 25°"}}},
		{"burn-things", "unit par", finding.Warn, []edit{{"rig.yaml", "0 m, 2.5 m]", "0 m, 2.7 m]"}}, []edit{{"rig.yaml", "0 m, 2.5 m]", "0 m, 2.7 m]"}, {"room.yaml", "dark wood", "dark grey"}}},
		{"way-held", "performer hand", finding.Note, []edit{{"score.yaml", "at: 1:30, usually", "at: 1:10, usually"}}, []edit{{"score.yaml", "at: 1:30, usually", "at: 1:00, usually"}}},
		{"day-full", "day friday", finding.Warn, []edit{{"show.yaml", "shows: 2, rehearsal: 30 min", "shows: 100, rehearsal: 13 h"}}, []edit{{"show.yaml", "shows: 2, rehearsal: 30 min", "shows: 60, rehearsal: 13 h"}}},
		{"time-past", "after", finding.Warn, []edit{{"order.yaml", "", strings.Replace(order, "TIME", "21:31", 1)}}, []edit{{"order.yaml", "", strings.Replace(order, "TIME", "0:15", 1)}}},
		{"trigger-own", "trigger gate", finding.Warn, []edit{{"triggers.yaml", "", "triggers:\n  gate: {source: e131 universe 1 slot 2 above 128 below 100}\n"}, waits}, []edit{waits, {"triggers.yaml", "", "triggers:\n  gate: {source: e131 universe 2 slot 2 above 128 below 100}\n"}}},
		{"trigger-own", "alarm input bell", finding.Warn, []edit{{"show.yaml", "alarm input: yes", "alarm inputs:\n  bell: {source: e131 universe 1 slot 400 above 128 below 100}"}}, []edit{{"show.yaml", "alarm input: yes", "alarm inputs:\n  bell: {source: e131 universe 7 slot 400 above 128 below 100}"}}},
		{"hang-way", "seat bench", finding.Warn, []edit{{"room.yaml", "marks:", "paths:\n  way: {points: [[0.3 m, -2.9 m, 0 m], [0.3 m, 0 m, 0 m]], width: 0.8 m}\nmarks:"}}, []edit{{"room.yaml", "marks:", "paths:\n  way: {points: [[0.5 m, -2.9 m, 0 m], [0.5 m, 0 m, 0 m]], width: 0.8 m}\nmarks:"}}},
		{"hang-way", "seat bench", finding.Warn, []edit{{"room.yaml", "marks:", "paths:\n  way: {points: [[0 m, -2.9 m, 0 m], [0 m, 0 m, 0 m]], width: 0.8 m}\nmarks:"}}, []edit{{"room.yaml", "-2 m, 1.2 m]", "-2 m, 1.6 m]"}, {"room.yaml", "marks:", "paths:\n  way: {points: [[0 m, -2.9 m, 0 m], [0 m, 0 m, 0 m]], width: 0.8 m}\nmarks:"}}},
		{"lens-in-eye", "performer hand", finding.Warn, []edit{{"room.yaml", "at: [0 m, 2 m, 1.6 m]", "at: [-0.6 m, 0.6 m, 2 m], looks at: [-1 m, 0 m, 2.5 m]"}}, []edit{{"room.yaml", "at: [0 m, 2 m, 1.6 m]", "at: [-0.6 m, 0.6 m, 2 m], looks at: [-1 m, 0 m, 1.5 m]"}}},
		{"glow-low", "look night", finding.Warn, []edit{{"room.yaml", "width: 0.4 m, height: 0.4 m", "width: 0.004 m, height: 0.004 m"}}, []edit{{"room.yaml", "width: 0.4 m, height: 0.4 m", "width: 0.2 m, height: 0.2 m"}}},
		{"glow-low", "look night", finding.Warn, []edit{{"room.yaml", "audience:", "stray light:\n  - {lux: 60 lx}\naudience:"}}, []edit{{"room.yaml", "audience:", "stray light:\n  - {lux: 0.3 lx}\naudience:"}}},
	} {
		told := func(edits []edit) (out []finding.Finding) {
			texts := shed()
			for _, e := range edits {
				if !strings.Contains(texts[e.file], e.old) {
					t.Fatalf("%s: %q is not in %s", c.id, e.old, e.file)
				}
				texts[e.file] = strings.Replace(texts[e.file], e.old, e.new, 1)
			}
			dir := fstest.MapFS{}
			for name, text := range texts {
				dir[name] = &fstest.MapFile{Data: []byte(text)}
			}
			for _, f := range findingsHeard(t, dir, nil) {
				if f.ID == "file" {
					t.Errorf("%s: %s", c.id, f.Text)
				}
				if f.ID == c.id && strings.HasPrefix(f.Place, c.place) {
					out = append(out, f)
				}
			}
			return out
		}
		if got := told(c.slip); len(got) != 1 || got[0].Severity != c.grave || got[0].Line == 0 {
			t.Errorf("%s at %s is told as %+v", c.id, c.place, got)
		}
		if got := told(c.right); len(got) > 0 {
			t.Errorf("%s at %s is told of what is right: %s", c.id, c.place, got[0].Text)
		}
	}
}
