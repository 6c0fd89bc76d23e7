package hang_test

import (
	"context"
	"fmt"
	"maps"
	"math"
	"strings"
	"testing"
	"testing/fstest"

	"lampblack/check/finding"
	"lampblack/check/hang"
	"lampblack/check/subject"
	"lampblack/rig"
	"lampblack/room"
	"lampblack/show"
)

const lamp = `name: lamp
beam: {half: 40°}
size: [0.3 m, 0.2 m, 0.2 m]
weight: 3 kg
keeps clear: 0.5 m
lights from: 1 m
gets hot: 75 °C
housing: IP20
emitters:
  white: {like: phosphor 6500 K, output: 100 lm}
modes:
  one slot: {1: {drives: white}}
`

const hall = `size: [8 m, 10 m, 4 m]
stage front: 6 m
surfaces:
  drape: {material: black velvet, centre: [0 m, 3 m, 1.5 m], width: 4 m, height: 3 m, faces: [0 m, -1 m, 0 m]}
  wall: {material: concrete, centre: [3 m, 1 m, 1.5 m], width: 2 m, height: 3 m, faces: [-1 m, 0 m, 0 m]}
boxes:
  crate: {material: wood floor, centre: [-3 m, 1 m, 0.5 m], size: [1 m, 1 m, 1 m]}
paths:
  aisle: {points: [[0 m, -4 m, 0 m], [0 m, -1 m, 0 m]], width: 1.2 m}
audience:
  - {name: front, at: [1.5 m, -2 m, 1.2 m]}
`

// found are the findings of a rig in the hall, and what was not said.
func found(t *testing.T, text string) (list []finding.Finding, lacks string) {
	t.Helper()
	f, faults := show.Read(fstest.MapFS{
		"show.yaml": {Data: []byte("title: x\n")}, "fixtures/lamp.yaml": {Data: []byte(lamp)}, "room.yaml": {Data: []byte(hall)},
		"rig.yaml": {Data: []byte(text)}, "score.yaml": {Data: []byte("looks:\n  on: {level: 50 %}\n")}})
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	s, faults := show.New(context.Background(), f, nil)
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	tells := maps.Clone(hang.Family.Tells)
	tells[finding.NotJudged] = "what nobody said"
	r := &subject.Run{Subject: subject.Of(s), Show: s, Ctx: context.Background(), Report: finding.NewReport(tells)}
	hang.Family.Measure(r)
	for _, f := range r.List() {
		for _, l := range f.Lacks {
			lacks += l.Fact + ";"
		}
	}
	return r.List(), lacks
}

// at is what is told of a place, empty where nothing is.
func at(list []finding.Finding, id, place string) finding.Finding {
	for _, f := range list {
		if f.ID == id && f.Place == place {
			return f
		}
	}
	return finding.Finding{}
}

func TestHang(t *testing.T) {
	type want struct {
		id       string
		severity finding.Severity
		support  string
	}
	cases, units, supports, n := map[string]want{}, "units:\n", "supports:\n", 0
	for name, c := range map[string]struct {
		unit, support, id string
		severity          finding.Severity // "" for none
	}{
		"too heavy for its bar":           {"at: [2 m, -3 m, 3 m], on: s", "bar, carries: 2 kg", "hang-load", finding.Stop},
		"what its bar carries":            {"at: [2 m, -3 m, 3 m], on: s", "bar, carries: 3 kg", "hang-load", ""},
		"no second suspension":            {"at: [2 m, -3 m, 3 m], safety bond: no", "", "hang-bond", finding.Stop},
		"a second suspension":             {"at: [2 m, -3 m, 3 m], safety bond: yes", "", "hang-bond", ""},
		"nobody said":                     {"at: [2 m, -3 m, 3 m]", "", "hang-bond", ""},
		"it stands on the floor":          {"at: [2 m, -3 m, 0.3 m], safety bond: no", "", "hang-bond", ""},
		"low over the aisle":              {"at: [0 m, -3 m, 2 m]", "", "hang-head", finding.Warn},
		"high over the aisle":             {"at: [0 m, -3 m, 2.3 m]", "", "hang-head", ""},
		"low beside the aisle":            {"at: [-2 m, -3 m, 2 m]", "", "hang-head", ""},
		"on the floor of the aisle":       {"at: [0.5 m, -3 m, 0.2 m]", "", "hang-way", finding.Warn},
		"on the floor beside it":          {"at: [1 m, -3 m, 0.2 m]", "", "hang-way", ""},
		"a stand whose feet reach in":     {"at: [1 m, -3 m, 2 m], on: s", "stand, base: 1 m", "hang-way", finding.Warn},
		"near the drape":                  {"at: [0 m, 2.6 m, 1 m]", "", "burn-things", finding.Stop},
		"far from the drape":              {"at: [0 m, 2.2 m, 1 m]", "", "burn-things", ""},
		"near a crate":                    {"at: [-2.1 m, 1 m, 0.5 m]", "", "burn-things", finding.Stop},
		"it lights a crate from 0.5 m":    {"at: [-2 m, 1 m, 0.5 m], aim: [-3 m, 1 m, 0.5 m]", "", "burn-lit", finding.Stop},
		"it lights a crate from 1.2 m":    {"at: [-1.3 m, 1 m, 0.5 m], aim: [-3 m, 1 m, 0.5 m]", "", "burn-lit", ""},
		"near concrete":                   {"at: [2.7 m, 1 m, 1 m]", "", "burn-things", ""},
		"it lights the drape from 0.9 m":  {"at: [0 m, 2.1 m, 1 m], aim: [0 m, 3 m, 1 m]", "", "burn-lit", finding.Stop},
		"it lights the drape from 1.1 m":  {"at: [0 m, 1.9 m, 1 m], aim: [0 m, 3 m, 1 m]", "", "burn-lit", ""},
		"its beam passes the drape":       {"at: [0 m, 2.1 m, 1 m], aim: [-4 m, 2.2 m, 1 m]", "", "burn-lit", ""},
		"hot beside a seat":               {"at: [1.5 m, -2.5 m, 1 m]", "", "burn-touch", finding.Warn},
		"hot over a seat":                 {"at: [1.5 m, -2.5 m, 3 m]", "", "burn-touch", ""},
		"rain on a housing for indoors":   {"at: [2 m, -3 m, 3 m], outdoors: yes", "", "wet-housing", finding.Stop},
		"a roof over one for indoors":     {"at: [2 m, -3 m, 3 m]", "", "wet-housing", ""},
		"a stand that stands wide":        {"at: [2 m, -3 m, 1.5 m], on: s", "stand, weight: 8 kg, base: 1.2 m, height: 1.5 m", "hang-tip", finding.Note},
		"a stand that a knock turns over": {"at: [2 m, -3 m, 3 m], on: s", "stand, weight: 3 kg, base: 0.6 m, height: 3 m", "hang-tip", finding.Stop},
		"a stand that is a little narrow": {"at: [2 m, -3 m, 2 m], on: s", "stand, weight: 3 kg, base: 0.6 m, height: 2 m", "hang-tip", finding.Warn},
		"a stand in the wind":             {"at: [2 m, -3 m, 2 m], on: s, outdoors: yes", "stand, weight: 3 kg, base: 0.9 m, height: 2 m", "hang-tip", finding.Stop},
		"the same in a hall":              {"at: [2 m, -3 m, 2 m], on: s", "stand, weight: 3 kg, base: 0.9 m, height: 2 m", "hang-tip", finding.Warn},
		"a weighted stand in the wind":    {"at: [2 m, -3 m, 2 m], on: s, outdoors: yes", "stand, weight: 3 kg, base: 1.2 m, height: 2 m, ballast: 15 kg", "hang-tip", finding.Note},
		"higher than its stand":           {"at: [-2 m, -1 m, 3 m], on: s", "stand, height: 2 m", "hang-place", finding.Warn},
		"on an arm over its stand":        {"at: [-2 m, -1.3 m, 2.4 m], on: s", "stand, height: 2 m", "hang-place", ""},
		"in the middle of the aisle":      {"at: [0 m, -3 m, 0.2 m], on: s", "stand, base: 1 m", "hang-way", finding.Stop},
	} {
		units += fmt.Sprintf("  - {unit: %s, type: lamp, address: %d, %s}\n", name, n+1, strings.Replace(c.unit, "on: s", "on: "+name, 1))
		if n++; c.support != "" {
			supports += fmt.Sprintf("  %s: {kind: %s}\n", name, c.support)
		}
		cases[name] = want{c.id, c.severity, c.support}
	}
	list, _ := found(t, units+supports)
	for name, w := range cases {
		place := "unit " + name
		if w.id == "hang-load" || w.id == "hang-tip" || w.id == "hang-way" && w.support != "" {
			kind, _, _ := strings.Cut(w.support, ",")
			place = kind + " " + name
		}
		if got := at(list, w.id, place); got.Severity != w.severity {
			t.Errorf("%s: %q, want %q: %s", name, got.Severity, w.severity, got.Text)
		}
	}
}

// A stand of 8 kg, 2 m high, its three feet on a circle of 1 m, with 3 kg at its top: all weight is
// (8 kg · 2/3 m + 3 kg · 2 m)/11 kg = 1.0303 m high, and the nearest edge of the triangle 0.25 m away, so that
// it tips at atan(0.25/1.0303) = 13.64°, by a pull of 11 kg · 9.80665 m/s² · 0.25 m / 2 m = 13.48 N.
func TestTipping(t *testing.T) {
	f, _ := found(t, "units:\n  - {unit: a, type: lamp, address: 1, at: [2 m, -3 m, 2 m], on: s}\nsupports: {s: {kind: stand, weight: 8 kg, base: 1 m, height: 2 m}}\n")
	got := at(f, "hang-tip", "stand s")
	if math.Abs(got.Value-13.64) > .01 || !strings.Contains(got.Text, "13 N") {
		t.Errorf("%v: %s", got.Value, got.Text)
	}
	// Four feet on the same circle reach 0.3536 m out.
	f, _ = found(t, "units:\n  - {unit: a, type: lamp, address: 1, at: [2 m, -3 m, 2 m], on: s}\nsupports: {s: {kind: stand, weight: 8 kg, base: 1 m, height: 2 m, feet: 4}}\n")
	if got := at(f, "hang-tip", "stand s").Value; math.Abs(got-18.94) > .01 {
		t.Errorf("four feet: %v", got)
	}
}

// The ballast that is told brings the stand to where it holds.
func TestBallast(t *testing.T) {
	const text = "units:\n  - {unit: a, type: lamp, address: 1, at: [2 m, -3 m, 3 m], on: s}\nsupports: {s: {kind: stand, weight: 3 kg, base: 0.6 m, height: 3 m%}}\n"
	f, _ := found(t, strings.Replace(text, "%", "", 1))
	hint := at(f, "hang-tip", "stand s").Hint
	_, rest, _ := strings.Cut(hint, "lay ")
	kg, _, ok := strings.Cut(rest, " kg")
	if !ok {
		t.Fatal(hint)
	}
	if f, _ = found(t, strings.Replace(text, "%", ", ballast: "+kg+" kg", 1)); at(f, "hang-tip", "stand s").Severity != finding.Note {
		t.Errorf("with %s kg: %s", kg, at(f, "hang-tip", "stand s").Text)
	}
}

// What nobody said is told as that, and never as well.
func TestUnsaid(t *testing.T) {
	f, lacks := found(t, "units:\n  - {unit: a, type: colour par, address: 1, at: [2 m, -3 m, 3 m], on: s, outdoors: yes}\nsupports: {s: {kind: bar}}\n")
	for _, want := range []string{"what the units weigh", "what bars and stands carry", "what the housings outdoors keep out"} {
		if !strings.Contains(lacks, want) {
			t.Errorf("not told: %s (%s, %v)", want, lacks, f)
		}
	}
}

// The check lists ask what this rig gives cause for, and no more.
func TestQuestions(t *testing.T) {
	if got := hang.Questions(&rig.Rig{}, &room.Room{}); got != nil {
		t.Errorf("of nothing: %q", got)
	}
	r, faults := rig.Read("rig.yaml", []byte("units:\n  - {unit: a, type: colour par, address: 1, at: [0 m, 0 m, 3 m], aim: [0 m, 1 m, 0 m], outdoors: yes}\nsupports: {s: {kind: stand}}\ncircuits: {c: {breaker: C16}}\n"), nil)
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	got := strings.Join(hang.Questions(r, &room.Room{}), "\n")
	for text, want := range map[string]bool{"second suspension": true, "feet of all stands": true, "outdoors": true, "off its reel": true, "way out": false, "data and sound": false} {
		if strings.Contains(got, text) != want {
			t.Errorf("%q: %v\n%s", text, !want, got)
		}
	}
}
