package check

import (
	"maps"
	"math"
	"strings"
	"testing"
	"testing/fstest"

	"lampblack/check/checktest"
	"lampblack/check/finding"
)

// small is a show of two lamps in a booth, in pieces that a test changes.
var small = map[string]string{
	"show.yaml": "title: small\n",
	"fixtures/lamp.yaml": `name: lamp
beam: {half: 40°}
supply: {max: 600 W, factor: 0.9, leakage: 1 mA}
emitters:
  white: {like: phosphor 6500 K, output: 100 lm}
  amber: {peak: 590 nm, width: 15 nm, output: 1 W}
modes:
  one slot: {1: {drives: white}}
  shutter: {1: {drives: white}, 2: {0-9: closed, 10-249: flash 1 Hz to 20 Hz, 250-255: open}}
  two slots: {1: {drives: white}, 2: {drives: amber}}
`,
	"rig.yaml": `units:
  - {unit: a, type: lamp, mode: one slot, address: 1, at: [0 m, 0.5 m, 0.7 m], aim: [0 m, -0.5 m, 0.7 m], systems: [all], circuit: c}
  - {unit: b, type: lamp, mode: two slots, address: 11, universe: 2, at: [0.2 m, 0.5 m, 0.7 m], aim: [0 m, -0.5 m, 0.7 m], systems: [all], circuit: c}
circuits:
  c: {breaker: C16, voltage: 230 V, residual current device: 30 mA, cable: {length: 5 m, section: 2.5 mm2, connector: 16 A}}
lines:
  left: {universe: 1, order: [a], from: port 1}
  right: {universe: 2, order: [b], from: port 2}
`,
	"room.yaml": "size: [1 m, 1.5 m, 1.5 m]\nstage front: 1 m\n",
	"score.yaml": `looks:
  on: {system: all, emitters: {white: 50 %}}
  off: {system: all, emitters: {white: 0 %}}
  storm: {system: all, emitters: {white: 50 %}, flash: 2 Hz}
cues:
  - {cue: 1, at: 0:00, look: on}
  - {cue: 2, at: 0:10, look: off, up: 4 s}
  - {cue: 3, at: 0:20, look: on}
`,
}

// Ways in which a rig cannot light, or a score is not called as it stands: each change brings its
// finding at that severity and place, and what is innocent beside it brings none.
func TestCannotLight(t *testing.T) {
	for name, c := range map[string]struct {
		file, old, new string
		id             string
		severity       finding.Severity // "" for none
		place          string
	}{
		"a universe that is not sent":       {"show.yaml", "title: small\n", "title: small\noutputs: [{to: e131 multicast, universes: [1]}]\n", "output-missing", finding.Stop, "universe 2"},
		"all universes are sent":            {"show.yaml", "title: small\n", "title: small\noutputs: [{to: e131 multicast}]\n", "output-missing", "", ""},
		"each by an output of its own":      {"show.yaml", "title: small\n", "title: small\noutputs: [{to: e131 10.0.0.2, universes: [1]}, {to: e131 10.0.0.3, universes: [2]}]\n", "output-missing", "", ""},
		"sent twice":                        {"show.yaml", "title: small\n", "title: small\noutputs: [{to: artnet 10.0.0.2}, {to: artnet 10.0.0.2, universes: [2]}]\n", "output-twice", finding.Warn, "output artnet 10.0.0.2"},
		"sent to one and to all":            {"show.yaml", "title: small\n", "title: small\noutputs: [{to: e131 10.0.0.2}, {to: e131 multicast}]\n", "output-twice", finding.Warn, "output e131 multicast"},
		"sent to two receivers":             {"show.yaml", "title: small\n", "title: small\noutputs: [{to: artnet 10.0.0.2}, {to: artnet 10.0.0.3}]\n", "output-twice", "", ""},
		"sent and kept in a file":           {"show.yaml", "title: small\n", "title: small\noutputs: [{to: e131 multicast}, {to: file out.bin}]\n", "output-twice", "", ""},
		"a unit on two lines":               {"rig.yaml", "order: [b]", "order: [a, b]", "line-twice", finding.Stop, "unit a"},
		"two lines from one port":           {"rig.yaml", "port 2", "port 1", "line-port", finding.Warn, "line right"},
		"two lines from two ports":          {"rig.yaml", "port 2", "port 3", "line-port", "", ""},
		"no slot for it, and others have":   {"score.yaml", "on: {system: all, emitters: {white: 50 %}}", "on: {system: all, emitters: {amber: 50 %}}", "slot-none", finding.Warn, "look on"},
		"no slot for it, and none has":      {"score.yaml", "on: {system: all, emitters: {white: 50 %}}", "on: {units: [a], emitters: {amber: 50 %}}", "slot-none", finding.Stop, "look on"},
		"a slot for it":                     {"score.yaml", "on: {system: all, emitters: {white: 50 %}}", "on: {units: [b], emitters: {amber: 50 %}}", "slot-none", "", ""},
		"a shutter with an open value":      {"rig.yaml", "mode: one slot", "mode: shutter", "slot-closed", "", ""},
		"a shutter without one":             {"fixtures/lamp.yaml", "one slot: {1: {drives: white}}", "one slot: {1: {drives: white}, 2: {0-9: closed, 10-255: flash 1 Hz to 20 Hz}}", "slot-closed", finding.Stop, "unit a slot 2"},
		"an idle value that closes":         {"fixtures/lamp.yaml", "one slot: {1: {drives: white}}", "one slot: {1: {drives: white}, 2: {idle: gate, set: 0, 0-99: closed, 100-255: never}}", "slot-closed", finding.Stop, "unit a slot 2"},
		"an idle value that does not":       {"fixtures/lamp.yaml", "one slot: {1: {drives: white}}", "one slot: {1: {drives: white}, 2: {idle: gate, set: 120, 0-99: closed, 100-255: nothing}}", "slot-closed", "", ""},
		"numbers out of order":              {"score.yaml", "{cue: 3, at: 0:20", "{cue: 1.5, at: 0:20", "cue-order", finding.Warn, "cue 1.5"},
		"numbers with points":               {"score.yaml", "{cue: 3, at: 0:20", "{cue: 2.5, at: 0:20", "cue-order", "", ""},
		"a fade that is cut off":            {"score.yaml", "{cue: 3, at: 0:20", "{cue: 3, at: 0:11", "fade-cut", finding.Warn, "cue 2"},
		"a fade that is nearly done":        {"score.yaml", "{cue: 3, at: 0:20", "{cue: 3, at: 0:13.5", "fade-cut", "", ""},
		"it flashes into a calm span":       {"score.yaml", "look: on}\n  - {cue: 2", "look: storm}\n  - {cue: 2", "cue-calm", "", ""},
		"it flashes into a calm span, said": {"score.yaml", "cues:\n  - {cue: 1, at: 0:00, look: on}", "calm: [{from: 0:05, to: 0:08}]\ncues:\n  - {cue: 1, at: 0:00, look: storm}", "cue-calm", finding.Warn, "cue 1"},
		"it stands in a calm span":          {"score.yaml", "cues:\n", "calm: [{from: 0:05, to: 0:08}]\ncues:\n", "cue-calm", "", ""},
		"a device against fire":             {"rig.yaml", "device: 30 mA", "device: 300 mA", "supply-device", finding.Warn, "circuit c"},
		"a device for people":               {"rig.yaml", "device: 30 mA", "device: 10 mA", "supply-device", "", ""},
		"connectors too small":              {"rig.yaml", "connector: 16 A", "connector: 5 A", "supply-connector", finding.Stop, "circuit c"},
		"connectors that will do":           {"rig.yaml", "connector: 16 A", "connector: 6 A", "supply-connector", "", ""},
		"no voltage, elsewhere":             {"rig.yaml", "voltage: 230 V, ", "", "supply-voltage", "", ""},
		"a lamp near the exit":              {"rig.yaml", "unit: a,", "unit: spot at exit,", "exit-sign", finding.Note, "unit spot at exit"},
		"an exit sign":                      {"rig.yaml", "unit: a,", "unit: exit sign,", "exit-sign", finding.Stop, "unit exit sign"},
		"an emergency light, in German":     {"rig.yaml", "unit: a,", "unit: Notlicht,", "exit-sign", finding.Stop, "unit Notlicht"},
	} {
		texts := maps.Clone(small)
		if strings.Count(texts[c.file], c.old) != 1 {
			t.Fatalf("%s: %q is there %d times", name, c.old, strings.Count(texts[c.file], c.old))
		}
		texts[c.file] = strings.Replace(texts[c.file], c.old, c.new, 1)
		if c.file == "rig.yaml" && strings.Contains(c.old, "unit: a,") {
			texts["rig.yaml"] = strings.Replace(texts["rig.yaml"], "order: [a]", "order: []", 1)
		}
		f, told := foundIn(t, folderOf(texts), c.id)[c.id]
		switch {
		case told != (c.severity != ""):
			t.Errorf("%s: told %v: %+v", name, told, f)
		case told && (f.Severity != c.severity || f.Place != c.place || f.Line == 0):
			t.Errorf("%s: %s at %s, line %d: %s", name, f.Severity, f.Place, f.Line, f.Text)
		}
	}
}

// A unit that flashes by itself above the limit is a stop however dim it is.
func TestDimStrobe(t *testing.T) {
	for _, level := range []string{"100 %", "5 %", "1 %"} {
		texts := maps.Clone(small)
		texts["fixtures/lamp.yaml"] = strings.Replace(texts["fixtures/lamp.yaml"], "one slot: {1: {drives: white}}", "one slot: {1: {drives: white}, 2: {0-9: open, 10-255: flash 1 Hz to 20 Hz}}", 1)
		texts["score.yaml"] = strings.Replace(texts["score.yaml"], "on: {system: all, emitters: {white: 50 %}}", "on: {units: [a], emitters: {white: "+level+"}, flash: 10 Hz}", 1)
		if f := foundIn(t, folderOf(texts), "flash-union")["flash-union"]; f.Severity != finding.Stop || math.Abs(f.Value-10) > 1 {
			t.Errorf("at %s: %+v", level, f)
		}
	}
}

func folderOf(texts map[string]string) fstest.MapFS {
	dir := fstest.MapFS{}
	for name, text := range texts {
		dir[name] = &fstest.MapFile{Data: []byte(text)}
	}
	return dir
}

// Where the rules are those of the United States, a circuit that says no voltage has 120 V: the
// same units draw 1200 W / 0.9 / 120 V = 11.1 A.
func TestVoltageOfTheRules(t *testing.T) {
	texts := maps.Clone(small)
	texts["show.yaml"] += "wiring rules: NEC\n"
	texts["rig.yaml"] = strings.Replace(texts["rig.yaml"], "voltage: 230 V, ", "", 1)
	texts["rig.yaml"] = strings.Replace(texts["rig.yaml"], "connector: 16 A", "connector: 10 A", 1)
	got := foundIn(t, folderOf(texts), "supply-voltage", "supply-connector")
	if got["supply-voltage"].Severity != finding.Warn {
		t.Errorf("%+v", got["supply-voltage"])
	}
	checktest.Within(t, "current", got["supply-connector"].Value, 1200/.9/120, 1e-6)
}
