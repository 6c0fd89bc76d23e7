package score

import (
	"strings"
	"testing"

	"lampblack/si"

	"pgregory.net/rapid"
)

const keptIn = `looks:
  dawn:          # the first
    purpose: morning
    parts:
      - {system: front, colour: "#ffb060", lux: 8, on: backdrop}   # warm
      - {system: uv, emitters: {uv: 80 %, green: 10 %}}
  dusk: {like: dawn}
  plain: {colour: "#ffa000", level: 60 %}
  flat:
    parts: [{units: [a, b], level: 50 %}]
cues:
  - {cue: 1, at: 0:00, look: dawn}
`

// What is kept stands in the part that it replaces, or behind all others, and what else the
// file says stays.
func TestKeep(t *testing.T) {
	none := func(*Part) bool { return false }
	for _, c := range []struct {
		look string
		kept Kept
		want string
	}{
		{"dawn", Kept{System: "front", Colour: "#0000ff", Level: .4, Overlaps: none}, `- {system: front, colour: "#0000ff", level: 40 %}   # warm`},
		{"dawn", Kept{System: "uv", Emitters: []string{"uv"}, Level: .25}, `- {system: uv, emitters: {uv: 25 %, green: 10 %}}`},
		{"dawn", Kept{System: "front", Level: 1}, "green: 10 %}}\n      - {system: front, level: 100 %}\n  dusk"},
		{"dusk", Kept{Units: []string{"left one", "b"}, Colour: "4000 K", Level: .125}, `dusk: {like: dawn, parts: [{units: [left one, b], colour: 4000 K, level: 12.5 %}]}`},
		{"flat", Kept{Units: []string{"a", "b"}, Colour: "#123456", Level: .5}, `parts: [{units: [a, b], level: 50 %, colour: "#123456"}]`},
		{"flat", Kept{Units: []string{"b"}, Level: .5}, `parts: [{units: [a, b], level: 50 %}, {units: [b], level: 50 %}]`},
		{"plain", Kept{System: "all", Colour: "#0000ff", Level: .2}, `plain: {colour: "#0000ff", level: 20 %}`},
		{"plain", Kept{Units: []string{"b"}, Level: .2}, `plain: {colour: "#ffa000", level: 60 %, parts: [{units: [b], level: 20 %}]}`},
	} {
		out, err := Keep("score.yaml", []byte(keptIn), c.look, []Kept{c.kept})
		if err != nil {
			t.Errorf("%+v: %v", c.kept, err)
			continue
		}
		if !strings.Contains(string(out), c.want) {
			t.Errorf("%+v: no %s in\n%s", c.kept, c.want, out)
		}
		if _, faults := Read("score.yaml", out); faults.Err() != nil {
			t.Errorf("%+v: %v", c.kept, faults)
		}
	}
	if _, err := Keep("score.yaml", []byte(keptIn), "noon", []Kept{{System: "front"}}); err == nil {
		t.Error("a look that is not there took light")
	}
}

// Whatever is kept, again and again, the file reads, and the last part that has the light says
// what was kept last.
func TestKeepOften(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		data := []byte(keptIn)
		for range rapid.IntRange(1, 12).Draw(t, "n") {
			k := Kept{Level: float64(rapid.IntRange(0, 10000).Draw(t, "level")) / 10000}
			k.Colour = rapid.SampledFrom([]string{"", "#00ff80", "x 0.31 y 0.33", "4000 K"}).Draw(t, "colour")
			if rapid.Bool().Draw(t, "system") {
				k.System = rapid.SampledFrom([]string{"front", "uv", "all", "odd: name"}).Draw(t, "whom")
			} else {
				k.Units = rapid.SliceOfNDistinct(rapid.SampledFrom([]string{"a", "b", "par 3", "# 4"}), 1, 3, rapid.ID).Draw(t, "units")
			}
			if rapid.Bool().Draw(t, "dark") {
				k.Emitters, k.Colour = []string{"uv"}, ""
			}
			look := rapid.SampledFrom([]string{"dawn", "dusk", "flat", "plain"}).Draw(t, "look")
			out, err := Keep("score.yaml", data, look, []Kept{k})
			if err != nil {
				t.Fatalf("%v\n%s", err, data)
			}
			s, faults := Read("score.yaml", out)
			if faults.Err() != nil {
				t.Fatalf("%v\n%s", faults, out)
			}
			parts := s.Looks.Get(look).Parts
			found := false
			for i := range parts {
				p := &parts[i]
				if !k.same(p) {
					continue
				}
				found = found || len(k.Emitters) > 0 && *p.Emitters.Get("uv") > si.Ratio(k.Level-1e-7) && *p.Emitters.Get("uv") < si.Ratio(k.Level+1e-7) ||
					len(k.Emitters) == 0 && p.Level != nil && *p.Level > si.Ratio(k.Level-1e-7) && *p.Level < si.Ratio(k.Level+1e-7) && (p.Colour == nil) == (k.Colour == "")
			}
			if !found {
				t.Fatalf("%+v is not in\n%s", k, out)
			}
			data = out
		}
	})
}
