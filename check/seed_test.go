package check

import (
	"context"
	"fmt"
	"io/fs"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"lampblack/show"
	"lampblack/soundtrack"
)

// change is one change to a file of a folder.
type change struct {
	file     string
	from, to string // a regular expression and its replacement, for the first match
}

// changed copies a folder with changes made. A change that finds nothing to
// change fails the test.
func changed(t testing.TB, dir fs.FS, changes ...change) fstest.MapFS {
	t.Helper()
	out := fstest.MapFS{}
	err := fs.WalkDir(dir, ".", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(path, ".yaml") {
			return err
		}
		data, err := fs.ReadFile(dir, path)
		out[path] = &fstest.MapFile{Data: data}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range changes {
		text := string(out[c.file].Data)
		form := regexp.MustCompile(c.from)
		at := form.FindStringSubmatchIndex(text)
		if at == nil {
			t.Fatalf("%s holds nothing like %q", c.file, c.from)
		}
		var with []byte
		with = form.ExpandString(with, c.to, text, at)
		out[c.file] = &fstest.MapFile{Data: []byte(text[:at[0]] + string(with) + text[at[1]:])}
	}
	return out
}

// heard is a track in which every moment is just where the demo's cues expect
// it.
func heard(whole *show.Files) *soundtrack.Track {
	track := &soundtrack.Track{Duration: 425e9, Rate: 48000, Channels: 2}
	for _, c := range whole.Score.Cues {
		if c.On == nil {
			continue
		}
		m := soundtrack.Moment{Kind: soundtrack.Kind(c.On.Kind), Time: c.On.Near, End: c.On.Near, Strength: .9, Bar: c.On.Bar, Beat: c.On.Beat}
		if c.On.End {
			m.Time -= 4e9
		}
		track.Moments = append(track.Moments, m)
	}
	return track
}

// findings reads, solves and checks a folder, as the command does: faults of
// the files end it.
func findings(t testing.TB, dir fs.FS) []Finding {
	t.Helper()
	original, _ := show.Read(demoFolder())
	f, faults := show.Read(dir)
	if faults.Err() != nil {
		return FromFaults(faults)
	}
	s, more := show.New(context.Background(), f, heard(&original))
	if more.Err() != nil {
		return FromFaults(more)
	}
	list, err := Run(context.Background(), s, Options{})
	if err != nil {
		t.Fatal(err)
	}
	return append(FromFaults(append(faults, more...)), list...)
}

// fresh returns the findings of list that before has not, or has less
// gravely.
func fresh(list, before []Finding) []Finding {
	return slices.DeleteFunc(slices.Clone(list), func(f Finding) bool {
		return slices.ContainsFunc(before, func(b Finding) bool {
			same := b.key() == f.key() || f.Severity == Note && b.ID == f.ID // a note stands at the worst place
			return same && b.Severity.rank() >= f.Severity.rank()
		})
	})
}

const (
	rigFile   = "rig.yaml"
	scoreFile = "score.yaml"
	billFile  = "show.yaml"
	smallPar  = "fixtures/par-rgb-small.yaml"
	largePar  = "fixtures/par-rgbw-uv.yaml"
)

// seeds are faults put into the demo one at a time. Finds is the finding that
// must appear, at a place that holds where; also lists what may appear with
// it because it is the same fault seen from another side.
var seeds = []struct {
	name  string
	edit  []change
	finds string
	where string
	also  []string
}{
	{"overlapping address", []change{{rigFile, `(unit: front right,.*?)address: 11,`, `${1}address: 5,`}}, "address-overlap", "unit front right", nil},
	{"wrong mode, longer than its place", []change{{rigFile, `(unit: bar right,.*?)mode: seven slots`, `${1}mode: by cells`}}, "address-overlap", "unit foot bar", []string{"glow-low", "lens-in-eye"}},
	{"past the last slot", []change{{rigFile, `(unit: flood right,.*?)address: 113`, `${1}address: 512`}}, "file", "rig.yaml", nil},
	{"one address for two units", []change{{rigFile, `(unit: house right,.*?)address: 31`, `${1}address: 21`}}, "address-shared", "unit house right", nil},
	{"no terminator", []change{{rigFile, `(stage:\n(?:.*\n)*?.*)terminated: yes`, `${1}terminated: no`}}, "line-terminator", "line stage", nil},
	{"nobody knows of a terminator", []change{{rigFile, `(front:\n(?:.*\n)*?) *terminated: yes\n`, `${1}`}}, "line-unknown", "line front", nil},
	{"350 m of data line", []change{{rigFile, `length: 36 m`, `length: 350 m`}}, "line-length", "line stage", nil},
	{"microphone cable", []change{{rigFile, `cable: data`, `cable: microphone`}}, "line-cable", "line front", nil},
	{"a Y in the line", []change{{rigFile, `cable: data`, "cable: data\n    branches: yes"}}, "line-branch", "line front", nil},
	{"adaptors", []change{{rigFile, `cable: data`, "cable: data\n    adaptors: 2"}}, "line-adaptors", "line front", nil},
	{"radio without a spare", []change{{rigFile, `cable: data`, "cable: data\n    wireless: yes"}}, "line-wireless", "line front", nil},
	{"unit in another universe", []change{{rigFile, `(unit: narrator,.*?)address`, `${1}universe: 2, address`}}, "line-universe", "unit narrator", nil},
	{"too many unit loads", []change{{smallPar, `\non data loss`, "\nunit loads: 8\non data loss"}}, "line-loads", "line stage", nil},
	{"a unit that runs a program without data", []change{{rigFile, `(unit: narrator,.*?)address`, `${1}on data loss: runs a program, address`}}, "line-loss", "unit narrator", nil},
	{"units that go dark without data", []change{{smallPar, `on data loss: hold`, `on data loss: dark`}}, "line-loss", "fixture type par-rgb-small", nil},
	{"sound on the circuit of the lights", []change{{rigFile, `breaker: C16`, "breaker: C16\n    carries: [sound]"}}, "supply-shared", "circuit left", nil},
	{"dimmed feed", []change{{rigFile, `breaker: C16`, "breaker: C16\n    dimmed: yes"}}, "supply-dimmed", "circuit left", nil},
	{"an urn too many", []change{{rigFile, `breaker: C16`, "breaker: C16\n    other load: 3.5 kVA"}}, "supply-load", "circuit left", []string{"supply-phase"}},
	{"80 % by the NEC", []change{{rigFile, `breaker: C16`, "breaker: C16\n    other load: 2.7 kVA"}, {billFile, `wiring rules: IEC 60364`, `wiring rules: NEC`}, {billFile, `rehearsal: 30 min`, `rehearsal: 4 h`}}, "supply-load", "circuit left", []string{"uv-dose"}},
	{"leakage", []change{{largePar, `leakage: [^,}]*`, `leakage: 5 mA`}}, "supply-leakage", "circuit left", nil},
	{"surge", []change{{smallPar, `inrush: [^,}]*`, `inrush: 400 A for 300 us`}}, "supply-inrush", "circuit left", nil},
	{"more units linked than allowed", []change{{smallPar, `link: \d+ units`, `link: 2 units`}}, "supply-link", "unit side left", nil},
	{"an inlet too weak for its chain", []change{{smallPar, `through: [^,}]*`, `through: 0.4 A`}}, "supply-chain", "unit side left", nil},
	{"a long thin cable", []change{{rigFile, `length: 15 m, section: 2.5 mm2`, `length: 200 m, section: 1.5 mm2`}}, "supply-drop", "unit ", nil},
	{"a cable weaker than its breaker", []change{{rigFile, `length: 15 m, section: 2.5 mm2`, `length: 15 m, section: 1 mm2`}}, "supply-breaker", "circuit left", nil},
	{"units that feed one another", []change{{rigFile, `(unit: front left,.*?)circuit: left`, `${1}fed by: house left`}}, "supply-loop", "unit front left", []string{"supply-unknown", "supply-chain"}},
	{"a unit without supply", []change{{rigFile, `(unit: narrator,.*?)fed by: house left, `, `${1}`}}, "supply-unknown", "unit narrator", nil},
	{"a type without its power", []change{{"fixtures/white-spot.yaml", `max: [^,}]*, `, ``}}, "supply-unknown", "circuit left", nil},
	{"an accent off its hit", []change{{scoreFile, `(cue: 42, )(?:on|at): [^,]*`, `${1}at: 2:22.25`}}, "cue-off", "cue 42", nil},
	{"a cue that another replaces", []change{{scoreFile, `(cue: 67, )(?:on|at): [^,]*`, `${1}at: 3:38`}, {scoreFile, `(cue: 65, )(?:on|at): [^,]*`, `${1}at: 3:38`}}, "cue-unreached", "cue 65", []string{"blackout", "cue-calm"}},
	{"a cue after the end", []change{{scoreFile, `(cue: 115, )(?:on|at): [^,]*`, `${1}at: 8:30`}}, "cue-unreached", "cue 115", nil},
	{"a bump while somebody speaks", []change{{scoreFile, `from: 0:08.5, to: 0:26`, `from: 0:08.5, to: 0:56`}}, "cue-calm", "cue 15", nil},
	{"late light", []change{{billFile, `light delay: 18 ms to 32 ms`, `light delay: 18 ms to 160 ms`}}, "cue-seat", "centre seat", nil},
	{"two lamps at 5 Hz", []change{{scoreFile, `(lightning:\n(?:.*\n)*?.*system: front, colour: "7500 K", level: 55 %)`, `${1}, flash: 5 Hz`}}, "flash-union", "all units", []string{"flash-rate", "flash-long"}},
	{"red lamps at 5 Hz", []change{{scoreFile, `(  under water:\n(?:.*\n)*?    parts:\n)`, "${1}      - {system: front, colour: \"#ff0000\", level: 100 %, flash: 5 Hz}\n"}}, "flash-red", "", []string{"flash-union", "flash-rate", "flash-long"}},
	{"four blows of lightning in a second", []change{
		{scoreFile, `(cue: 51, )(?:on|at): [^,]*, look: lightning, up: 0.05 s, returns: [^,]*`, `${1}at: 2:48.25, look: lightning, up: 0.05 s, returns: 0.1 s`},
		{scoreFile, `(cue: 52, )(?:on|at): [^,]*, look: lightning, up: 0.05 s, returns: [^,]*`, `${1}at: 2:48.5, look: lightning, up: 0.05 s, returns: 0.1 s`},
		{scoreFile, `(cue: 53, )(?:on|at): [^,]*, look: lightning, up: 0.05 s, returns: [^,]*`, `${1}at: 2:48.75, look: lightning, up: 0.05 s, returns: 0.1 s`},
		{scoreFile, `(cue: 50, .*?returns: )[^,]*`, `${1}0.1 s`}},
		"flash-rate", "seat", []string{"flash-union", "cue-off"}},
	{"flashing faster than a unit can", []change{{scoreFile, `(system: uv top, emitters: \{uv: 6 %\})`, `${1}, flash: 45 Hz`}}, "strobe-unable", "unit flood", []string{"flash-union", "flash-rate", "flash-long"}},
	{"flashing by a unit that cannot", []change{{"fixtures/uv-flood.yaml", `2: \{0-7: open, 8-255: flash 1 Hz to 12 Hz\}`, `2: {idle: nothing}`}, {scoreFile, `(system: uv top, emitters: \{uv: 6 %\})`, `${1}, flash: 2 Hz`}}, "strobe-unable", "unit flood", nil},
	{"two days' rehearsal in one", []change{{billFile, `rehearsal: 30 min`, `rehearsal: 20 h`}}, "uv-dose", "performer", []string{"uv-keep-out"}},
	{"a bar at a child's eye", []change{{rigFile, `(unit: bar left,.*?)at: \[-3.3 m, 1.4 m, 0.8 m\], aim: \[0.2 m, 1.8 m, 1.1 m\]`, `${1}at: [-2.6 m, -1.2 m, 0.85 m], aim: [-2.6 m, -1.8 m, 0.85 m]`}, {billFile, `shows: 2, children`, `shows: 8, rehearsal: 3 h, children`}}, "uv-dose", "seat front left child", []string{"uv-irradiance", "uv-keep-out", "lens-in-eye", "glow-low", "blue-gaze", "flash-rate", "goal-missed", "blue-room"}},
	{"no alarm", []change{{billFile, `alarm input: yes`, `alarm input: no`}}, "alarm-input", "show.yaml", nil},
	{"an exit sign in the rig", []change{{rigFile, `systems: \[special\]`, `systems: [special, exit sign]`}}, "exit-sign", "unit narrator", nil},
	{"a long blackout", []change{{scoreFile, `(cue: 65, )(?:on|at): [^,]*`, `${1}at: 3:43.9`}, {scoreFile, `(cue: 61, )(?:on|at): [^,]*`, `${1}at: 3:26`}}, "blackout", "room", []string{"cue-unreached", "cue-off"}},
	{"a fade through a program", []change{{smallPar, `\{drives: red\}`, `{drives: red, 60-80: never}`}}, "fade-crosses", "slot", nil},
	{"a slot that stands in a program", []change{{largePar, `\{idle: speed of the programs\}`, `{idle: speed, set: 50, 40-60: never}`}}, "slot-never", "unit front left slot 9", nil},
	{"a colour out of reach", []change{{scoreFile, `\{units: \[narrator\], colour: "3000 K", lux: 60`, `{units: [narrator], colour: "#ff0000", lux: 60`}}, "colour-unmatched", "look night falls", []string{"goal-missed"}},
	{"more glow than there is", []change{{scoreFile, `glow: \{object: lantern fish, over background: 25\}`, `glow: {object: lantern fish, over background: 90000}`}}, "glow-low", "look lantern fish", nil},
	{"light on the black", []change{{scoreFile, `(    purpose: black water; only the boat is there\n)`, `${1}    dark: [{on: backdrop, at most: 0.0001 lx}]` + "\n"}}, "spill-on-black", "look storm", []string{"glow-low"}},
	{"a signature for nothing", []change{{billFile, `\nwiring rules`, "\nsigned: [{finding: flash-rate, place: seat 1, person: A. Keeper, date: 2026-03-14, reason: tried, value: 4}]\nwiring rules"}}, "signature", "flash-rate", nil},
}

// Faults are put into the demo one at a time: each is found and located, and
// nothing else appears.
func TestSeededFaults(t *testing.T) {
	whole := os.Getenv("LAMPBLACK_LONG") != ""
	if testing.Short() {
		t.Skip("solves the demo's room once for each fault")
	}
	before, err := Run(context.Background(), demo(), Options{})
	if err != nil {
		t.Fatal(err)
	}
	if stops := Stops(before); len(stops) > 0 {
		t.Errorf("the untouched demo stops: %v", stops)
	}
	tried := 0
	for i, seed := range seeds {
		if !whole && i%16 != 0 {
			continue // all with LAMPBLACK_LONG=1
		}
		tried++
		t.Run(seed.name, func(t *testing.T) {
			list := fresh(findings(t, changed(t, demoFolder(), seed.edit...)), before)
			found := false
			for _, f := range list {
				switch {
				case f.ID == seed.finds && strings.Contains(f.Place, seed.where):
					found = true
					if f.File == "" && f.To == 0 && f.ID != "uv-dose" {
						t.Errorf("%s is neither at a line nor at a time", f.key())
					}
				case f.ID == seed.finds, slices.Contains(seed.also, f.ID):
				default:
					t.Errorf("also finds %s: %s", f.key(), f.Text)
				}
			}
			if !found {
				t.Errorf("does not find %s at %s; finds %s", seed.finds, seed.where, keys(list))
			}
		})
	}
	t.Logf("%d faults of %d seeded", tried, len(seeds))
}

func keys(list []Finding) string {
	var out []string
	for _, f := range list {
		out = append(out, fmt.Sprintf("%s %s", f.Severity, f.key()))
	}
	return strings.Join(out, "; ")
}
