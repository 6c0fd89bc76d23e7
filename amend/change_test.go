package amend

import (
	"encoding/json"
	"errors"
	"maps"
	"slices"
	"strings"
	"testing"

	"lampblack/source"
)

// memory are texts that are not on a disk.
type memory map[string]string

func (m memory) Read(name string) []byte {
	if text, ok := m[name]; ok {
		return []byte(text)
	}
	return nil
}
func (m memory) Names() []string              { return slices.Sorted(maps.Keys(m)) }
func (m memory) Put(name string, data []byte) { m[name] = string(data) }

const written = `# the score
looks:
  lagoon:
    parts:   # back first
      - {system: back, colour: "#123a7c", level: 20 %}
      - {units: [left, right], colour: 3000 K, level: 5 %}
  reef:
    like: lagoon
cues:
  # the fish
  - {cue: 5, at: 0:12.400, look: lagoon, up: 3 s}   # slowly
  - cue: 10
    on: hit 0:31.20
    look: reef
    follows: 5
on stage:
  fish: cues 5 to 10
  boat: [from cue 10, until 0:05]
`

const rigged = "units:\n  - {unit: left, address: 1, circuit: wall}\n  - {unit: right, address: 17, fed by: left}\ncircuits:\n  wall: {breaker: C16}\n"

func texts() memory { return memory{"score.yaml": written, "rig.yaml": rigged} }

// asked reads changes as a page asks for them.
func asked(t *testing.T, text string) []Change {
	t.Helper()
	var out []Change
	if err := json.Unmarshal([]byte(text), &out); err != nil {
		t.Fatalf("%s: %v", text, err)
	}
	return out
}

// Each change alters what it says, and nothing else, and says so in words.
func TestChanges(t *testing.T) {
	for _, c := range []struct{ ask, old, new, said string }{
		{`{"file":"score.yaml","do":"set","at":["cues",{"cue":"5"},"up"],"was":"3 s","to":"4 s"}`, "up: 3 s", "up: 4 s", "cue 5, up: 4 s (was 3 s)"},
		{`{"file":"score.yaml","do":"set","at":["cues",{"cue":"5"},"hold"],"was":null,"to":"1 s"}`, "up: 3 s}", "up: 3 s, hold: 1 s}", "cue 5, hold: 1 s"},
		{`{"file":"score.yaml","do":"set","at":["cues",{"cue":"10"},"on"],"was":"hit 0:31.20","to":"turn 1:04"}`, "on: hit 0:31.20", "on: turn 1:04", "cue 10, on: turn 1:04 (was hit 0:31.20)"},
		{`{"file":"score.yaml","do":"set","at":["looks","lagoon","parts",0,"level"],"to":"30 %"}`, "level: 20 %", "level: 30 %", "look lagoon, part 1, level: 30 % (was 20 %)"},
		{`{"file":"score.yaml","do":"set","at":["cues",{"cue":"5"},"up"],"was":"3 s","to":null}`, ", up: 3 s}", "}", "cue 5, up taken away"},
		{`{"file":"score.yaml","do":"add","at":["cues",{"cue":"5"}],"to":{"cue":"7","at":"0:20.000","look":"reef"}}`, "# slowly\n", "# slowly\n  - {cue: 7, at: 0:20.000, look: reef}\n", "cue 7 new"},
		{`{"file":"score.yaml","do":"add","at":["cues"],"to":{"cue":"20"}}`, "follows: 5\n", "follows: 5\n  - {cue: 20}\n", "cue 20 new"},
		{`{"file":"score.yaml","do":"add","at":["cues","first"],"to":{"cue":"1"}}`, "  - {cue: 5", "  - {cue: 1}\n  - {cue: 5", "cue 1 new"},
		{`{"file":"score.yaml","do":"cut","at":["cues",{"cue":"10"}]}`, "  - cue: 10\n    on: hit 0:31.20\n    look: reef\n    follows: 5\n", "", "cue 10 taken away"},
		{`{"file":"score.yaml","do":"set","at":["looks","dusk"],"was":null,"to":{"like":"reef"}}`, "like: lagoon\n", "like: lagoon\n  dusk: {like: reef}\n", "look dusk: {like: reef}"},
		{`{"file":"rig.yaml","do":"set","at":["units",{"unit":"right"},"address"],"was":"17","to":33}`, "address: 17", "address: 33", "unit right, address: 33 (was 17)"},
		{`{"file":"score.yaml","do":"rename","at":["looks","lagoon"],"to":"sea: deep"}`, "lagoon", `"sea: deep"`, "look lagoon is sea: deep"},
		{`{"file":"rig.yaml","do":"rename","at":["circuits","wall"],"to":"foyer"}`, "wall", "foyer", "circuit wall is foyer"},
	} {
		m := texts()
		said, err := Apply(m, asked(t, "["+c.ask+"]"))
		if err != nil || said != c.said {
			t.Errorf("%s: said %q, %v; want %q", c.ask, said, err, c.said)
			continue
		}
		want := texts()
		for name, text := range want {
			want[name] = strings.ReplaceAll(text, c.old, c.new)
		}
		if !maps.Equal(m, want) {
			t.Errorf("%s: got\n%s\n%s", c.ask, m["score.yaml"], m["rig.yaml"])
		}
	}
}

// A cue or a unit that has another name has it wherever it is spoken of.
func TestRename(t *testing.T) {
	m := texts()
	if _, err := Apply(m, asked(t, `[{"file":"score.yaml","do":"rename","at":["cues",{"cue":"5"}],"to":"4.5"},{"file":"rig.yaml","do":"rename","at":["units",{"unit":"left"}],"to":"stage left"}]`)); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"{cue: 4.5, at", "follows: 4.5\n", "fish: cues 4.5 to 10\n", "[from cue 10, until 0:05]", "units: [stage left, right]"} {
		if !strings.Contains(m["score.yaml"], want) {
			t.Errorf("%s is not there:\n%s", want, m["score.yaml"])
		}
	}
	if want := "fed by: stage left"; !strings.Contains(m["rig.yaml"], want) || strings.Contains(m["rig.yaml"], "unit: left") {
		t.Errorf("the rig is\n%s", m["rig.yaml"])
	}
}

// What is not as it was seen is not changed, and what it is now is said.
func TestConflicts(t *testing.T) {
	for ask, said := range map[string]string{
		`{"file":"score.yaml","do":"set","at":["cues",{"cue":"5"},"up"],"was":"2 s","to":"4 s"}`:       "cue 5, up is 3 s by now",
		`{"file":"score.yaml","do":"set","at":["cues",{"cue":"5"},"up"],"was":null,"to":"4 s"}`:        "cue 5, up is 3 s by now",
		`{"file":"score.yaml","do":"set","at":["cues",{"cue":"6"},"up"],"was":"3 s","to":"4 s"}`:       "cue 6, up is not there any more",
		`{"file":"score.yaml","do":"cut","at":["cues",{"cue":"5"}],"was":{"cue":"5","look":"lagoon"}}`: "cue 5 is {cue: 5, at: 0:12.400",
		`{"file":"score.yaml","do":"cut","at":["looks","dusk"]}`:                                       "look dusk is not there any more",
		`{"file":"pieces/none.yaml","do":"set","at":["cues",{"cue":"5"},"up"],"was":"3 s","to":"4 s"}`: "cue 5, up is not there any more",
		`{"file":"score.yaml","do":"rename","at":["looks","dusk"],"to":"dawn"}`:                        "look dusk is not there any more",
	} {
		m := texts()
		_, err := Apply(m, asked(t, "["+ask+"]"))
		var conflict *Conflict
		if !errors.As(err, &conflict) || !strings.HasPrefix(err.Error(), said) {
			t.Errorf("%s: %v, want %s", ask, err, said)
		}
		if !maps.Equal(m, texts()) {
			t.Errorf("%s changed something", ask)
		}
	}
}

// What makes no sense is refused.
func TestRefused(t *testing.T) {
	for _, ask := range []string{
		`{"file":"score.yaml","do":"set","at":[],"to":"x"}`,
		`{"file":"score.yaml","do":"toggle","at":["cues"],"to":"x"}`,
		`{"file":"score.yaml","do":"set","at":["nowhere","else"],"to":"x"}`,
		`{"file":"score.yaml","do":"rename","at":["looks","lagoon"],"to":"reef"}`,
		`{"file":"score.yaml","do":"rename","at":["cues",{"cue":"5"}],"to":"10"}`,
		`{"file":"score.yaml","do":"rename","at":["on stage","fish"],"to":"x"}`,
		`{"file":"score.yaml","do":"rename","at":["looks","lagoon"],"to":""}`,
		`{"file":"score.yaml","do":"add","at":["looks"],"to":"x"}`,
		`{"file":"score.yaml","do":"cut","at":["cues",7]}`,
	} {
		if said, err := Apply(texts(), asked(t, "["+ask+"]")); err == nil {
			t.Errorf("%s: said %q", ask, said)
		}
	}
	var p Path
	for _, text := range []string{`[1.5]`, `[-1]`, `[{"a":"b","c":"d"}]`, `[{"a":1}]`, `[{}]`, `[null]`, `{}`} {
		if json.Unmarshal([]byte(text), &p) == nil {
			t.Errorf("%s is a path", text)
		}
	}
	if _, err := Apply(texts(), nil); err == nil {
		t.Error("no change is an edit")
	}
	if _, err := Apply(memory{"score.yaml": "a: [\n"}, []Change{{File: "score.yaml", Do: Set, At: Path{"a"}, To: source.TextOf("x")}}); err == nil {
		t.Error("a file that does not read was changed")
	}
}

// A list of a file that is not there yet begins with what is added to it; nothing else does.
func TestBeginFile(t *testing.T) {
	m := texts()
	said, err := Apply(m, asked(t, `[{"file": "spotting.yaml", "do": "add", "at": ["decisions"], "to": {"moment": "hit 0:31.200", "verdict": "reject"}},
		{"file": "spotting.yaml", "do": "add", "at": ["decisions"], "to": {"moment": "turn 1:04", "verdict": "accept"}}]`))
	const want = "decisions:\n  - {moment: hit 0:31.200, verdict: reject}\n  - {moment: turn 1:04, verdict: accept}\n"
	if err != nil || m["spotting.yaml"] != want || said != "moment hit 0:31.200 new; moment turn 1:04 new" {
		t.Errorf("%q, %v; it is\n%s", said, err, m["spotting.yaml"])
	}
	for _, c := range []string{
		`[{"file": "other.yaml", "do": "add", "at": ["a", "b"], "to": "x"}]`, `[{"file": "other.yaml", "do": "set", "at": ["a"], "to": "x"}]`, `[{"file": "other.yaml", "do": "cut", "at": ["a"]}]`,
	} {
		var other *Conflict
		if _, err := Apply(m, asked(t, c)); !errors.As(err, &other) || m["other.yaml"] != "" {
			t.Errorf("%s: %v", c, err)
		}
	}
}
