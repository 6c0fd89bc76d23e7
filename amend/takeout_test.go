package amend

import (
	"errors"
	"strings"
	"testing"
)

const lit = `looks:
  lagoon:
    parts:
      - {system: back, level: 20 %}
      - {units: [left, right], colour: 3000 K, level: 5 %}   # both
      - {units: [left], level: 9 %}
      - {units: right, level: 8 %}
  alone: {units: [far], level: 3 %}
`

const chained = `# the rig
units:
  - {unit: left, address: 1, circuit: wall}   # by the door
  - {unit: right, address: 17, fed by: left}
  - {unit: far, address: 33, fed by: right}
lines:
  stage: {order: [left, right, far], terminated: yes}
`

func chain() memory { return memory{"score.yaml": lit, "rig.yaml": chained} }

// A unit that is taken out is nowhere spoken of: what it fed is fed by what fed it, its line goes on without it, and parts
// of looks that were of it alone go. All else stays as it is written.
func TestTakeOut(t *testing.T) {
	m := chain()
	said, err := Apply(m, asked(t, `[{"file":"rig.yaml","do":"take out","at":["units",{"unit":"left"}],"was":{"unit":"left","address":"1","circuit":"wall"}}]`))
	if err != nil || said != "unit left taken out, with the part of a look that was of it alone" {
		t.Fatal(said, err)
	}
	want := memory{"rig.yaml": strings.NewReplacer("  - {unit: left, address: 1, circuit: wall}   # by the door\n", "", "fed by: left", "circuit: wall", "[left, right, far]", "[right, far]").Replace(chained),
		"score.yaml": strings.NewReplacer("[left, right]", "[right]", "      - {units: [left], level: 9 %}\n", "").Replace(lit)}
	for name := range want {
		if m[name] != want[name] {
			t.Errorf("%s is\n%s\nwant\n%s", name, m[name], want[name])
		}
	}
	m = chain()
	if _, err := Apply(m, asked(t, `[{"file":"rig.yaml","do":"take out","at":["units",{"unit":"right"}]}]`)); err != nil || !strings.Contains(m["rig.yaml"], "{unit: far, address: 33, fed by: left}") || strings.Contains(m["score.yaml"], "right") {
		t.Errorf("%v\n%s%s", err, m["rig.yaml"], m["score.yaml"])
	}
}

func TestNotTakenOut(t *testing.T) {
	for ask, says := range map[string]string{
		`{"file":"rig.yaml","do":"take out","at":["units",{"unit":"far"}]}`:                        "look alone is of unit far alone",
		`{"file":"rig.yaml","do":"take out","at":["lines","stage"]}`:                               "units are taken out",
		`{"file":"rig.yaml","do":"take out","at":["units",{"unit":"near"}]}`:                       "not there any more",
		`{"file":"rig.yaml","do":"take out","at":["units",{"unit":"left"}],"was":{"unit":"left"}}`: "somebody changed it meanwhile",
	} {
		if _, err := Apply(chain(), asked(t, "["+ask+"]")); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%s: %v", ask, err)
		}
	}
	var conflict *Conflict
	if _, err := Apply(chain(), asked(t, `[{"file":"rig.yaml","do":"take out","at":["units",{"unit":"left"}],"was":null}]`)); !errors.As(err, &conflict) {
		t.Errorf("what is there was seen as not there: %v", err)
	}
}

// A unit and a line that have other names have them wherever they are spoken of.
func TestRenameOnLines(t *testing.T) {
	m := chain()
	m["rig.yaml"] = strings.Replace(m["rig.yaml"], "address: 17,", "address: 17, line: stage,", 1)
	if _, err := Apply(m, asked(t, `[{"file":"rig.yaml","do":"rename","at":["units",{"unit":"right"}],"to":"by the stairs"},{"file":"rig.yaml","do":"rename","at":["lines","stage"],"to":"deck"}]`)); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"order: [left, by the stairs, far]", "fed by: by the stairs", "  deck: {", "line: deck"} {
		if !strings.Contains(m["rig.yaml"], want) {
			t.Errorf("%s is not there:\n%s", want, m["rig.yaml"])
		}
	}
}
