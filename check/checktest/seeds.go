package checktest

// Seed is a fault to put into the demo. It is a fault as people make them, and what the
// checks must say of it; anything else that they then find anew fails the test.
type Seed struct {
	Name  string
	Edit  []Change
	Finds string   // identifier of the finding that must appear
	Where string   // part of its place
	Also  []string // what may appear with it, since it is the same fault seen from another side
}

// The files that faults are put into.
const (
	rigFile   = "rig.yaml"
	scoreFile = "score.yaml"
	billFile  = "show.yaml"
	smallPar  = "fixtures/par-rgb-small.yaml"
	largePar  = "fixtures/par-rgbw-uv.yaml"
)

// Seeds are faults put into the demo one at a time. Each changes as little as the fault
// allows. The regular expressions reach from the name of a unit to the value that is
// changed.
var Seeds = []Seed{
	// Addresses and data lines (check/lines).
	{"overlapping address", []Change{{rigFile, `(unit: front right,.*?)address: 11,`, `${1}address: 5,`}}, "address-overlap", "unit front right", nil},
	{"wrong mode, longer than its place", []Change{{rigFile, `(unit: bar right,.*?)mode: seven slots`, `${1}mode: by cells`}}, "address-overlap", "unit foot bar", []string{"glow-low", "lens-in-eye"}},
	{"past the last slot", []Change{{rigFile, `(unit: flood right,.*?)address: 113`, `${1}address: 512`}}, "file", "rig.yaml", nil},
	{"one address for two units", []Change{{rigFile, `(unit: house right,.*?)address: 31`, `${1}address: 21`}}, "address-shared", "unit house right", nil},
	{"no terminator", []Change{{rigFile, `(stage:\n(?:.*\n)*?.*)terminated: yes`, `${1}terminated: no`}}, "line-terminator", "line stage", nil},
	{"nobody knows of a terminator", []Change{{rigFile, `(front:\n(?:.*\n)*?) *terminated: yes\n`, `${1}`}}, "not-judged", "show", nil},
	{"350 m of data line", []Change{{rigFile, `length: 36 m`, `length: 350 m`}}, "line-length", "line stage", nil},
	{"microphone cable", []Change{{rigFile, `cable: data`, `cable: microphone`}}, "line-cable", "line front", nil},
	{"a Y in the line", []Change{{rigFile, `cable: data`, "cable: data\n    branches: yes"}}, "line-branch", "line front", nil},
	{"adaptors", []Change{{rigFile, `cable: data`, "cable: data\n    adaptors: 2"}}, "line-adaptors", "line front", nil},
	{"radio without a spare", []Change{{rigFile, `cable: data`, "cable: data\n    wireless: yes"}}, "line-wireless", "line front", nil},
	{"unit in another universe", []Change{{rigFile, `(unit: narrator,.*?)address`, `${1}universe: 2, address`}}, "line-universe", "unit narrator", []string{"output-missing"}},
	{"too many unit loads", []Change{{smallPar, `\non data loss`, "\nunit loads: 8\non data loss"}}, "line-loads", "line stage", nil},
	{"a unit that runs a program without data", []Change{{rigFile, `(unit: narrator,.*?)address`, `${1}on data loss: runs a program, address`}}, "line-loss", "unit narrator", nil},
	{"units that go dark without data", []Change{{smallPar, `on data loss: hold`, `on data loss: dark`}}, "line-loss", "fixture type par-rgb-small", nil},
	// The supply (check/supply).
	{"sound on the circuit of the lights", []Change{{rigFile, `breaker: C16`, "breaker: C16\n    carries: [sound]"}}, "supply-shared", "circuit left", nil},
	{"dimmed feed", []Change{{rigFile, `breaker: C16`, "breaker: C16\n    dimmed: yes"}}, "supply-dimmed", "circuit left", nil},
	{"an urn too many", []Change{{rigFile, `breaker: C16`, "breaker: C16\n    other load: 3.5 kVA"}}, "supply-load", "circuit left", []string{"supply-phase"}},
	{"80 % by the NEC", []Change{{rigFile, `breaker: C16`, "breaker: C16\n    other load: 2.7 kVA"}, {billFile, `wiring rules: IEC 60364`, `wiring rules: NEC`}, {billFile, `rehearsal: 30 min`, `rehearsal: 4 h`}}, "supply-load", "circuit left", []string{"uv-dose"}},
	{"leakage", []Change{{largePar, `leakage: [^,}]*`, `leakage: 5 mA`}}, "supply-leakage", "circuit left", nil},
	{"surge", []Change{{smallPar, `inrush: [^,}]*`, `inrush: 400 A for 300 us`}}, "supply-inrush", "circuit left", nil},
	{"more units linked than allowed", []Change{{smallPar, `link: \d+ units`, `link: 2 units`}}, "supply-link", "unit side left", nil},
	{"an inlet too weak for its chain", []Change{{smallPar, `through: [^,}]*`, `through: 0.4 A`}}, "supply-chain", "unit side left", nil},
	{"a fan that stands", []Change{{largePar, `9: \{idle: speed of the programs\}`, `9: {0-20: fan off, 21-255: fan, set: 5}`}}, "slot-fan", "unit ", nil},
	{"a long thin cable", []Change{{rigFile, `length: 15 m, section: 2.5 mm2`, `length: 200 m, section: 1.5 mm2`}}, "supply-drop", "unit ", nil},
	{"a cable weaker than its breaker", []Change{{rigFile, `length: 15 m, section: 2.5 mm2`, `length: 15 m, section: 1 mm2`}}, "supply-breaker", "circuit left", nil},
	{"units that feed one another", []Change{{rigFile, `(unit: front left,.*?)circuit: left`, `${1}fed by: house left`}}, "supply-loop", "unit front left", []string{"not-judged", "supply-chain"}},
	{"a unit without supply", []Change{{rigFile, `(unit: narrator,.*?)fed by: house left, `, `${1}`}}, "not-judged", "show", nil},
	{"a type without its power", []Change{{"fixtures/white-spot.yaml", `max: [^,}]*, `, ``}}, "not-judged", "show", nil},
	// Cues in time (check/cues).
	{"an accent off its hit", []Change{{scoreFile, `(cue: 42, )(?:on|at): [^,]*`, `${1}at: 2:22.25`}}, "cue-off", "cue 42", nil},
	{"a cue that another replaces", []Change{{scoreFile, `(cue: 67, )(?:on|at): [^,]*`, `${1}at: 3:38`}, {scoreFile, `(cue: 65, )(?:on|at): [^,]*`, `${1}at: 3:38`}}, "cue-unreached", "cue 65", []string{"blackout", "cue-calm"}},
	{"a cue after the end", []Change{{scoreFile, `(cue: 115, )(?:on|at): [^,]*`, `${1}at: 8:30`}}, "cue-unreached", "cue 115", nil},
	{"a bump while somebody speaks", []Change{{scoreFile, `from: 0:08.5, to: 0:26`, `from: 0:08.5, to: 0:56`}}, "cue-calm", "cue 15", nil},
	{"late light", []Change{{billFile, `light delay: 18 ms to 32 ms`, `light delay: 18 ms to 160 ms`}}, "cue-seat", "centre seat", nil},
	// Flashing (check/sight), and units that are asked to flash (check/looks).
	{"two lamps at 5 Hz", []Change{{scoreFile, `(lightning:\n(?:.*\n)*?.*system: front, colour: "7500 K", level: 55 %)`, `${1}, flash: 5 Hz`}}, "flash-union", "all units", []string{"flash-rate", "flash-long"}},
	{"red lamps at 5 Hz", []Change{{scoreFile, `(  under water:\n(?:.*\n)*?    parts:\n)`, "${1}      - {system: front, colour: \"#ff0000\", level: 100 %, flash: 5 Hz}\n"}}, "flash-red", "", []string{"flash-union", "flash-rate", "flash-long"}},
	{"four blows of lightning in a second", []Change{
		{scoreFile, `(cue: 51, )(?:on|at): [^,]*, look: lightning, up: 0.05 s, returns: [^,]*`, `${1}at: 2:48.25, look: lightning, up: 0.05 s, returns: 0.1 s`},
		{scoreFile, `(cue: 52, )(?:on|at): [^,]*, look: lightning, up: 0.05 s, returns: [^,]*`, `${1}at: 2:48.5, look: lightning, up: 0.05 s, returns: 0.1 s`},
		{scoreFile, `(cue: 53, )(?:on|at): [^,]*, look: lightning, up: 0.05 s, returns: [^,]*`, `${1}at: 2:48.75, look: lightning, up: 0.05 s, returns: 0.1 s`},
		{scoreFile, `(cue: 50, .*?returns: )[^,]*`, `${1}0.1 s`}},
		"flash-rate", "seat", []string{"flash-union", "cue-off"}},
	{"flashing faster than a unit can", []Change{{scoreFile, `(system: uv top, emitters: \{uv: 6 %\})`, `${1}, flash: 45 Hz`}}, "strobe-unable", "unit flood", []string{"flash-union", "flash-rate", "flash-long"}},
	{"flashing by a unit that cannot", []Change{{"fixtures/uv-flood.yaml", `2: \{0-7: open, 8-255: flash 1 Hz to 12 Hz\}`, `2: {idle: nothing}`}, {scoreFile, `(system: uv top, emitters: \{uv: 6 %\})`, `${1}, flash: 2 Hz`}}, "strobe-unable", "unit flood", nil},
	// Ultraviolet and blue light (check/dose); what people see by (check/dark).
	{"two days' rehearsal in one", []Change{{billFile, `rehearsal: 30 min`, `rehearsal: 20 h`}}, "uv-dose", "performer", []string{"uv-keep-out", "day-full"}},
	{"a bar at a child's eye", []Change{{rigFile, `(unit: bar left,.*?)at: \[-3.3 m, 1.4 m, 0.8 m\], aim: \[0.2 m, 1.8 m, 1.1 m\]`, `${1}at: [-2.6 m, -1.2 m, 0.85 m], aim: [-2.6 m, -1.8 m, 0.85 m]`}, {billFile, `shows: 2, children`, `shows: 8, rehearsal: 3 h, children`}}, "uv-dose", "seat front left child", []string{"uv-irradiance", "uv-keep-out", "lens-in-eye", "glow-low", "blue-gaze", "flash-rate", "goal-missed", "blue-room", "supply-lead"}},
	{"no alarm", []Change{{billFile, `alarm input: yes`, `alarm input: no`}}, "alarm-input", "show.yaml", nil},
	{"an exit sign in the rig", []Change{{rigFile, `systems: \[special\]`, `systems: [special, exit sign]`}}, "exit-sign", "unit narrator", nil},
	{"a long blackout", []Change{{scoreFile, `(cue: 65, )(?:on|at): [^,]*`, `${1}at: 3:43.9`}, {scoreFile, `(cue: 61, )(?:on|at): [^,]*`, `${1}at: 3:26`}}, "blackout", "room", []string{"cue-unreached", "cue-off", "path-dark", "cue-order", "fade-cut"}},
	// Slots (check/slots), and looks that cannot be had (check/looks).
	{"a fade through a program", []Change{{smallPar, `\{drives: red\}`, `{drives: red, 60-80: never}`}}, "fade-crosses", "slot", nil},
	{"a slot that stands in a program", []Change{{largePar, `\{idle: speed of the programs\}`, `{idle: speed, set: 50, 40-60: never}`}}, "slot-never", "unit front left slot 9", nil},
	{"a colour out of reach", []Change{{scoreFile, `\{units: \[narrator\], colour: "3000 K", lux: 60`, `{units: [narrator], colour: "#ff0000", lux: 60`}}, "colour-unmatched", "look night falls", []string{"goal-missed"}},
	{"more glow than there is", []Change{{scoreFile, `glow: \{object: lantern fish, over background: 25, luminance`, `glow: {object: lantern fish, over background: 90000, luminance`}}, "glow-low", "look lantern fish", nil},
	{"light on the black", []Change{{scoreFile, `(    purpose: black water; only the boat is there\n)`, `${1}    dark: [{on: backdrop, at most: 0.0001 lx}]` + "\n"}}, "spill-on-black", "look storm", []string{"glow-low"}},
	// What a person has signed for (check).
	{"a signature for nothing", []Change{{billFile, `\nwiring rules`, "\nsigned: [{finding: flash-rate, place: seat 1, person: A. Keeper, date: 2026-03-14, reason: tried, value: 4}]\nwiring rules"}}, "signature", "flash-rate", nil},
}
