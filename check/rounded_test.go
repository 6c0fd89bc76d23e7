package check

import (
	"context"
	"strings"
	"testing"
	"testing/fstest"

	"lampblack/check/finding"
	"lampblack/show"
)

// unlike is a show of five unlike units, of 8 bits without a dimmer of their
// own but for the last, that light one cloth; SCORE stands for the looks.
var unlike = map[string]string{
	"show.yaml": "title: Unlike\nsoundtrack: none.wav\n",
	"rig.yaml": `
units:
  - {unit: one,   type: a, address: 1,  at: [-3 m, 0 m, 3 m], aim: [0 m, 4 m, 1 m], systems: front}
  - {unit: two,   type: b, address: 11, at: [-1 m, 0 m, 3 m], aim: [0 m, 4 m, 1 m], systems: front}
  - {unit: three, type: c, address: 21, at: [0 m, 0 m, 3 m],  aim: [0 m, 4 m, 1 m], systems: front}
  - {unit: four,  type: d, address: 31, at: [1 m, 0 m, 3 m],  aim: [0 m, 4 m, 1 m], systems: front}
  - {unit: five,  type: e, address: 41, at: [3 m, 0 m, 3 m],  aim: [0 m, 4 m, 1 m], systems: front}
`,
	"room.yaml": `
size: [9 m, 10 m, 4 m]
stage front: 6 m
audience: [{name: middle, at: [0 m, -3 m, 1.2 m]}]
`,
}

func unlikeShow(t *testing.T, score string, bits int) *show.Show {
	t.Helper()
	dir := fstest.MapFS{"score.yaml": {Data: []byte(score)}}
	for name, text := range unlike {
		dir[name] = &fstest.MapFile{Data: []byte(text)}
	}
	for i, name := range []string{"a", "b", "c", "d", "e"} {
		peaks := []string{"620 nm", "625 nm", "632 nm", "629 nm", "640 nm"}
		watts := []string{"1 W", "2.3 W", "4 W", "9 W", "3 W"}
		table := "{1: {drives: red}, 2: {drives: green}, 3: {drives: blue}}"
		if bits == 16 {
			table = "{1-2: {drives: red}, 3-4: {drives: green}, 5-6: {drives: blue}}"
		}
		if name == "e" && bits == 8 {
			table = "{1: {dims: all}, 2: {drives: red}, 3: {drives: green}, 4: {drives: blue}}"
		}
		dir["fixtures/"+name+".yaml"] = &fstest.MapFile{Data: []byte(`
name: ` + name + `
beam: {half: 30°}
emitters:
  red:   {peak: ` + peaks[i] + `, width: 16 nm, output: ` + watts[i] + `}
  green: {peak: 525 nm, width: 33 nm, output: ` + watts[(i+2)%5] + `}
  blue:  {peak: 458 nm, width: 20 nm, output: ` + watts[(i+3)%5] + `}
modes: {one: ` + table + `}
`)}
	}
	f, faults := show.Read(dir)
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	s, faults := show.New(context.Background(), f, nil)
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	return s
}

// Unlike units that are asked for one colour in very low light show several
// once it is cut into 8 bits: that is told, and not where there is more light,
// nor with 16 bits. What cannot even make its first step is told to be dark.
func TestRoundedSlotsAreJudged(t *testing.T) {
	const score = `
looks:
  day: {parts: [{system: front, colour: "#ffd8b0", level: 40 %}]}
  dusk: {parts: [{system: front, colour: "#ffd8b0", level: 1 %}]}
  night: {parts: [{system: front, colour: "#ffd8b0", level: 0.2 %}]}
cues: [{cue: 1, at: 0:01, look: day}, {cue: 2, at: 0:02, look: dusk}, {cue: 3, at: 0:03, look: night}]
`
	for bits, want := range map[int]string{8: "colour-apart look dusk,unit-dark look night", 16: ""} {
		list, err := Run(context.Background(), unlikeShow(t, score, bits), Options{Only: []string{"colour-apart", "unit-dark"}})
		if err != nil {
			t.Fatal(err)
		}
		var got []string
		for _, f := range list {
			t.Logf("%d bits: %s (%.4f %s)", bits, f.Text, f.Value, f.Unit)
			got = append(got, f.ID+" "+f.Place)
		}
		if strings.Join(got, ",") != want {
			t.Errorf("%d bits: %v, want %s", bits, got, want)
		}
	}
}

// A fade whose light leaps, here by a dimmer curve that does, is told; one
// whose does not is not, up or down, straight or even to the eye.
func TestJumpsAreTold(t *testing.T) {
	score := `
looks:
  dusk: {fades: even to the eye, parts: [{system: front, colour: "#ffd8b0", level: 40 %}]}
  night: {fades: even to the eye, parts: [{system: front, colour: "#4060ff", level: 3 %}]}
  switched: {parts: [{units: [two], emitters: {red: 90 %}}]}
  dark: {}
cues:
  - {cue: 1, at: 0:01, look: dusk, up: 4 s}
  - {cue: 2, at: 0:10, look: night, up: 1 s, down: 6 s}
  - {cue: 3, at: 0:20, look: dusk, up: 6 s, down: 1 s}
  - {cue: 4, at: 0:30, look: dark, up: 5 s}
  - {cue: 5, at: 0:40, look: switched, up: 5 s}
`
	run := func() []finding.Finding {
		list, err := Run(context.Background(), unlikeShow(t, score, 8), Options{Only: []string{"fade-jumps"}})
		if err != nil {
			t.Fatal(err)
		}
		return list
	}
	if list := run(); len(list) != 0 {
		t.Errorf("smooth fades: %v", list)
	}
	rig := unlike["rig.yaml"]
	defer func() { unlike["rig.yaml"] = rig }()
	unlike["fixtures/f.yaml"] = strings.ReplaceAll(`
name: leaping
beam: {half: 30°}
emitters:
  red:   {peak: 620 nm, width: 16 nm, output: 1 W}
  green: {peak: 525 nm, width: 33 nm, output: 1 W}
  blue:  {peak: 458 nm, width: 20 nm, output: 1 W}
modes: {one: {1: {drives: red, CURVE}, 2: {drives: green, CURVE}, 3: {drives: blue, CURVE}}}
`, "CURVE", "curve: {dark to: 127, full from: 128}")
	defer delete(unlike, "fixtures/f.yaml")
	unlike["rig.yaml"] = strings.Replace(rig, "type: b", "type: f", 1)
	list := run()
	if len(list) == 0 || !strings.Contains(list[0].Text, "two leaps") {
		t.Errorf("a unit that only switches: %v", list)
	}
}
