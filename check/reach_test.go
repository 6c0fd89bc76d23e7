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
  held shutter: {1: {drives: white}, 2: {set: 0, 0-9: closed, 10-249: flash 1 Hz to 20 Hz, 250-255: open}}
  held program: {1: {drives: white}, 2: {set: 128, 0-15: open, 16-255: never}}
  held fan: {1: {drives: white}, 2: {set: 0, 0-20: fan off, 21-255: fan}}
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
	checktest.Coarse(t)
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
		"a shutter that is set closed":      {"rig.yaml", "mode: one slot", "mode: held shutter", "slot-closed", finding.Stop, "unit a slot 2"},
		"a slot that is set to a program":   {"rig.yaml", "mode: one slot", "mode: held program", "slot-never", finding.Stop, "unit a slot 2"},
		"a fan that is set off":             {"rig.yaml", "mode: one slot", "mode: held fan", "slot-fan", finding.Warn, "unit a"},
		"a program without data":            {"fixtures/lamp.yaml", "beam:", "on data loss: runs a program\nbeam:", "line-loss", finding.Warn, "fixture type lamp"},
		"it holds without data":             {"fixtures/lamp.yaml", "beam:", "on data loss: hold\nbeam:", "line-loss", "", ""},
		"a unit that its line leaves out":   {"rig.yaml", "systems: [all], circuit: c}\nc", "systems: [all], circuit: c, line: left}\n  - {unit: d, type: lamp, mode: one slot, address: 3, line: left, systems: [all], circuit: c}\nc", "line-order", finding.Warn, "unit d"},
		"two phases on one line":            {"rig.yaml", "systems: [all], circuit: c}\ncircuits:\n  c: {", "systems: [all], circuit: e}\ncircuits:\n  e: {phase: L2}\n  c: {phase: L1, ", "line-isolation", "", ""},
		"the brief is warned of the dark":   {"score.yaml", "cues:\n", "brief: {shortest blackout warned of: 5 s}\ncues:\n", "blackout", finding.Warn, "room"},
		"a short dark without a brief":      {"score.yaml", "cues:\n", "brief: {cues per minute: 10}\ncues:\n", "blackout", finding.Note, "room"},
		"a look that nothing brings":        {"score.yaml", "  storm:", "  # why\n  storm:", "look-unused", finding.Note, "look storm"},
		"looks that are brought":            {"score.yaml", "at: 0:20, look: on", "at: 0:20, look: storm", "look-unused", "", ""},
		"a cord that burns first":           {"rig.yaml", "section: 2.5 mm2", "section: 0.75 mm2", "supply-breaker", finding.Stop, "circuit c"},
		"a cord that is a little weak":      {"rig.yaml", "section: 2.5 mm2", "section: 1.25 mm2", "supply-breaker", finding.Warn, "circuit c"},
		"connectors that burn first":        {"rig.yaml", "connector: 16 A", "connector: 6 A", "supply-breaker", finding.Stop, "circuit c"},
		"couplers of 10 A":                  {"rig.yaml", "connector: 16 A", "connector: 10 A", "supply-breaker", "", ""},
		"no device where others have one":   {"rig.yaml", "circuits:\n", "circuits:\n  d: {breaker: C16, residual current device: 30 mA}\n", "supply-device", "", ""},
		"a cable on its reel":               {"rig.yaml", "section: 2.5 mm2,", "section: 2.5 mm2, reel: wound,", "supply-reel", finding.Warn, "circuit c"},
		"a thin cable on its reel":          {"rig.yaml", "section: 2.5 mm2,", "section: 1.25 mm2, reel: wound,", "supply-reel", finding.Stop, "circuit c"},
		"a cable off its reel":              {"rig.yaml", "section: 2.5 mm2,", "section: 2.5 mm2, reel: unwound,", "supply-reel", "", ""},
		"what else is on a long cable":      {"rig.yaml", "length: 5 m, section: 2.5 mm2, connector: 16 A}", "length: 100 m, section: 2.5 mm2, connector: 16 A}, other load: 2 kVA", "supply-drop", finding.Warn, "unit b"},
		"so little that a step is twice it": {"score.yaml", "on: {system: all, emitters: {white: 50 %}}", "on: {system: all, emitters: {white: 0.2 %}}", "unit-steps", finding.Warn, "look on"},
		"a step that it has":                {"score.yaml", "on: {system: all, emitters: {white: 50 %}}", "on: {system: all, emitters: {white: 0.4 %}}", "unit-steps", "", ""},
		"connectors too small":              {"rig.yaml", "connector: 16 A", "connector: 5 A", "supply-connector", finding.Stop, "circuit c"},
		"connectors that will do":           {"rig.yaml", "connector: 16 A", "connector: 6 A", "supply-connector", "", ""},
		"no voltage, elsewhere":             {"rig.yaml", "voltage: 230 V, ", "", "supply-voltage", "", ""},
		"a lamp near the exit":              {"rig.yaml", "unit: a,", "unit: spot at exit,", "exit-sign", finding.Note, "unit spot at exit"},
		"an exit sign":                      {"rig.yaml", "unit: a,", "unit: exit sign,", "exit-sign", finding.Stop, "unit exit sign"},
		"an emergency light, in German":     {"rig.yaml", "unit: a,", "unit: Notlicht,", "exit-sign", finding.Stop, "unit Notlicht"},
		"a line that does not reach":        {"rig.yaml", "left: {universe: 1, order: [a], from: port 1}", "left: {universe: 1, order: [a, b], from: port 1, length: 0.1 m}", "line-short", finding.Warn, "line left"},
		"a line that reaches":               {"rig.yaml", "left: {universe: 1, order: [a], from: port 1}", "left: {universe: 1, order: [a, b], from: port 1, length: 0.3 m}", "line-short", "", ""},
		"a lead that does not reach":        {"rig.yaml", "[0 m, -0.5 m, 0.7 m], systems: [all], circuit: c}\ncircuits", "[0 m, -0.5 m, 0.7 m], systems: [all], fed by: a, lead: {length: 0.1 m}}\ncircuits", "supply-lead", finding.Warn, "unit b"},
		"a lead that reaches":               {"rig.yaml", "[0 m, -0.5 m, 0.7 m], systems: [all], circuit: c}\ncircuits", "[0 m, -0.5 m, 0.7 m], systems: [all], fed by: a, lead: {length: 0.3 m}}\ncircuits", "supply-lead", "", ""},
		"a cable that does not reach":       {"rig.yaml", "c: {breaker: C16", "c: {at: [40 m, 0 m, 0 m], breaker: C16", "supply-lead", finding.Warn, "unit b"},
		"more plugs than sockets":           {"rig.yaml", "c: {breaker: C16", "c: {sockets: 1, breaker: C16", "supply-sockets", finding.Warn, "circuit c"},
		"as many sockets as plugs":          {"rig.yaml", "c: {breaker: C16", "c: {sockets: 2, breaker: C16", "supply-sockets", "", ""},
		"more light than power":             {"fixtures/lamp.yaml", "output: 1 W", "output: 700 W", "lamp-power", finding.Warn, "fixture type lamp"},
		"as much light as can be":           {"fixtures/lamp.yaml", "output: 1 W", "output: 599 W", "lamp-power", "", ""},
		"a way that nobody walks":           {"room.yaml", "stage front: 1 m\n", "stage front: 1 m\npaths: {way: {points: [[0 m, 0 m, 0 m], [0.4 m, 0 m, 0 m]], width: 0.5 m}}\n", "way-narrow", finding.Warn, "path way"},
		"between two phases":                {"rig.yaml", "voltage: 230 V", "voltage: 400 V", "supply-voltage", finding.Stop, "circuit c"},
		"two lamps in one place":            {"rig.yaml", "at: [0.2 m, 0.5 m, 0.7 m]", "at: [0 m, 0.5 m, 0.7 m]", "hang-place", finding.Warn, "unit b"},
		"two lamps side by side":            {"rig.yaml", "at: [0.2 m, 0.5 m, 0.7 m]", "at: [0.1 m, 0.5 m, 0.7 m]", "hang-place", "", ""},
		"an alarm that is silent for long":  {"show.yaml", "title: small\n", "title: small\nalarm inputs: {panel: {source: osc 9000 /alarm, every: 10 min}}\n", "alarm-open", finding.Warn, "alarm input panel"},
		"one that says so often":            {"show.yaml", "title: small\n", "title: small\nalarm inputs: {panel: {source: osc 9000 /alarm, every: 10 s}}\n", "alarm-open", "", ""},
		"a way for one":                     {"room.yaml", "stage front: 1 m\n", "stage front: 1 m\npaths: {way: {points: [[0 m, 0 m, 0 m], [0.4 m, 0 m, 0 m]], width: 0.6 m}}\n", "way-narrow", "", ""},
		"an alarm that a cut wire silences": {"show.yaml", "title: small\n", "title: small\nalarm inputs: {panel: {source: pins /dev/ttyUSB0 carrier}}\n", "alarm-open", finding.Warn, "alarm input panel"},
		"an alarm that a cut wire gives":    {"show.yaml", "title: small\n", "title: small\nalarm inputs: {panel: {source: pins /dev/ttyUSB0 carrier normally closed}}\n", "alarm-open", "", ""},
		"left in black light":               {"show.yaml", "title: small\n", "title: small\nwhen the run fails: {light stands: 2 min, ultraviolet stands: 2 min}\n", "alone-dark", finding.Warn, "show.yaml"},
		"not left for long":                 {"show.yaml", "title: small\n", "title: small\nwhen the run fails: {light stands: 2 min, ultraviolet stands: 1 min}\n", "alone-dark", "", ""},
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

// A line that is not isolated may not join the mains of two phases; which phase a unit is on follows its
// chain of supplies.
func TestJoinedPhases(t *testing.T) {
	for isolated, want := range map[string]bool{"isolated: no": true, "isolated: yes": false, "length: 9 m": false} {
		texts := maps.Clone(small)
		texts["rig.yaml"] = `units:
  - {unit: a, type: lamp, mode: one slot, address: 1, circuit: c}
  - {unit: b, type: lamp, mode: one slot, address: 2, fed by: a}
  - {unit: d, type: lamp, mode: one slot, address: 3, circuit: e}
circuits: {c: {phase: L1}, e: {phase: L2}}
lines: {left: {order: [b, d], ` + isolated + "}}\n"
		f, told := foundIn(t, folderOf(texts), "line-isolation")["line-isolation"]
		if told != want {
			t.Errorf("%s: %+v", isolated, f)
		}
	}
}

// Units that share all of their slots are asked for the same, however differently they hang: they are one
// unknown of what a look is solved for.
func TestTwinsAreOneUnknown(t *testing.T) {
	texts := maps.Clone(small)
	texts["rig.yaml"] = `units:
  - {unit: a, type: lamp, mode: one slot, address: 1, at: [0 m, 0.5 m, 0.3 m], aim: [0 m, -0.5 m, 0 m]}
  - {unit: b, type: lamp, mode: one slot, address: 1, at: [0.4 m, 0.5 m, 1.3 m], aim: [0.4 m, 0.4 m, 0 m]}
`
	texts["score.yaml"] = "looks:\n  on: {lux: 5, on: floor}\ncues:\n  - {cue: 1, at: 0:00, look: on}\n"
	got := foundIn(t, folderOf(texts), "address-shared", "address-overlap")
	if f := got["address-shared"]; f.Place != "unit b" || len(got) != 1 {
		t.Errorf("%+v", got)
	}
}

// The odd one of a system is told, with what it lacks.
func TestUnlikeUnits(t *testing.T) {
	texts := maps.Clone(small)
	texts["fixtures/half.yaml"] = "name: half\nbeam: {half: 40°}\nemitters:\n  white: {like: phosphor 6500 K, output: 80 lm}\nmodes:\n  one slot: {1: {drives: white}}\n"
	texts["rig.yaml"] = `units:
  - {unit: a, type: lamp, mode: one slot, address: 1, systems: [front]}
  - {unit: b, type: lamp, mode: one slot, address: 2, systems: [front]}
  - {unit: d, type: half, mode: one slot, address: 3, systems: [front]}
`
	f := foundIn(t, folderOf(texts), "unit-unlike")["unit-unlike"]
	// 80 lm against 100 lm, and 1 W of amber, which is 517 lm (0.757 × 683 lm/W at 590 nm, CIE 1924).
	if f.Place != "unit d" || !strings.Contains(f.Text, "no amber") || !strings.Contains(f.Text, "13 % of the light") {
		t.Errorf("%+v", f)
	}
	texts["rig.yaml"] = strings.Replace(texts["rig.yaml"], "  - {unit: b, type: lamp, mode: one slot, address: 2, systems: [front]}\n", "", 1)
	if f, told := foundIn(t, folderOf(texts), "unit-unlike")["unit-unlike"]; told {
		t.Errorf("one of two: %+v", f)
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
