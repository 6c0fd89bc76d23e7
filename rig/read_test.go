package rig

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"lampblack/si"
	"lampblack/source"
)

// lines are the faults as a person reads them.
func lines(faults source.Faults) []string {
	var out []string
	for _, f := range faults {
		out = append(out, f.Error())
	}
	return out
}

func sameLines(t *testing.T, what string, faults source.Faults, want ...string) {
	t.Helper()
	if got := lines(faults); !slices.Equal(got, want) {
		t.Errorf("%s\n got %s\nwant %s", what, strings.Join(got, "\n     "), strings.Join(want, "\n     "))
	}
}

// bar has all that a fixture type may say.
const bar = `name: Bar
size: [1 m, 9 cm, 12 cm]
cells: 3
beam: {half: 40°, tenth: 72°, shape: gaussian}
supply: {max: 62 W, factor: 0.92, inrush: 25 A for 300 us, leakage: 0.6 mA, link: 8 units, through: 10 A}
on data loss: hold
unit loads: 0.25
notes: bought used
emitters:
  red: {peak: 625 nm, width: 18 nm, output: 150 lm}
  uv: {peak: 397 nm, width: 13 nm, output: 3 W ± 40 %, beam: {half: 60°}}
  white: {like: phosphor 6500 K, output: 620 lm}
modes:
  whole:
    1: {dims: all}
    2: {drives: red}
    3: {drives: uv}
    4-5: {drives: white}
  by cell:
    1: {drives: red, cell: 1}
    2: {drives: red, cell: 2}
    3: {drives: red, cell: 3}
    4: {drives: uv}
    7: {idle: speed}
`

// types reads fixture types by name, without faults.
func types(t testing.TB, texts map[string]string) source.Named[*Type] {
	t.Helper()
	var out source.Named[*Type]
	for name, text := range texts {
		k, faults := ReadType(name, name+".yaml", []byte(text))
		if len(faults) > 0 {
			t.Fatal(faults)
		}
		out = append(out, source.Entry[*Type]{Name: name, Value: k})
	}
	return out
}

const hung = `units:
  - {unit: left, type: bar, mode: whole, address: 1, at: [-2 m, 0 m, 3 m], aim: [0 m, 2 m, 0 m], systems: [front, uv], circuit: stage, line: one, lead: {length: 2 m}, mask: 10°, note: bent}
  - {unit: right, type: bar, mode: by cell, universe: 3, address: 506, at: [2 m, 0 m, 3 m], aim: [0 m, 2 m, 0 m], turn: 90°, systems: [back, front], fed by: left, on data loss: dark}
  - {unit: spare, type: bar, mode: whole, address: 10, at: [0 m, 0 m, 3 m], aim: [0 m, 2 m, 0 m]}
circuits:
  stage: {breaker: C16, voltage: 230 V, residual current device: 30 mA, phase: L2, cable: {length: 20 m, section: 2.5 mm2, connector: 16 A}, carries: [sound], other load: 200 VA}
  hall: {breaker: 20 A, shares device of: stage, dimmed: yes}
lines:
  one: {universe: 1, order: [left, right], length: 30 m, terminated: yes, cable: data}
`

// What is read arrives where it is looked for, and all that is found by name or
// number is what stands there.
func TestRead(t *testing.T) {
	r, faults := Read("rig.yaml", []byte(hung), types(t, map[string]string{"bar": bar}))
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	if got := r.UnitNames(); !slices.Equal(got, []string{"left", "right", "spare"}) {
		t.Errorf("units %v", got)
	}
	for name, want := range map[string]int{"left": 0, "right": 1, "spare": 2, "other": -1, "": -1} {
		if got := r.Index(name); got != want {
			t.Errorf("%q is unit %d, want %d", name, got, want)
		}
	}
	if got := r.Systems(); !slices.Equal(got, []string{"front", "uv", "back"}) {
		t.Errorf("systems %v", got)
	}
	for name, want := range map[string][]int{"front": {0, 1}, "uv": {0}, "back": {1}, "other": nil} {
		if got := r.System(name); !slices.Equal(got, want) {
			t.Errorf("system %s has the units %v, want %v", name, got, want)
		}
	}
	if got := r.Universes(); !slices.Equal(got, []int{1, 3}) { // universe 1 when nothing is said
		t.Errorf("universes %v", got)
	}
	left, right := &r.Units[0], &r.Units[1]
	if left.Type != right.Type || left.Type.ID != "bar" || left.Mode != &left.Type.Modes[0].Value || right.Mode != &left.Type.Modes[1].Value {
		t.Errorf("types and modes: %+v, %+v", left, right)
	}
	if left.Mode.Footprint != 5 || right.Mode.Footprint != 7 || right.Address != 506 || right.OnLoss != LossDark || left.OnLoss != LossUnknown || left.Type.OnLoss != LossHold {
		t.Errorf("left %+v, right %+v", left, right)
	}
	if math.Abs(float64(right.Turn)-math.Pi/2) > 1e-12 || left.Lead.Length != 2 || left.Note != "bent" || right.FedBy.Name != "left" {
		t.Errorf("left %+v, right %+v", left, right)
	}
	// Drives by unit, then slot: the slots that drive, in their order.
	var got []string
	for d, v := range r.Drives {
		name := left.Type.Emitters[v.Emitter].Name
		got = append(got, fmt.Sprint(v.Unit, " ", name, " ", v.Cells, " ", v.Slot))
		if r.Emitter(d) != &left.Type.Emitters[v.Emitter].Value {
			t.Errorf("drive %d feeds another emitter", d)
		}
	}
	if want := []string{"0 red [0 1 2] 1", "0 uv [0 1 2] 2", "0 white [0 1 2] 3", "1 red [0] 0", "1 red [1] 1", "1 red [2] 2", "1 uv [0 1 2] 3",
		"2 red [0 1 2] 1", "2 uv [0 1 2] 2", "2 white [0 1 2] 3"}; !slices.Equal(got, want) {
		t.Errorf("drives %q", got)
	}
	for u, want := range [][2]int{{0, 3}, {3, 7}, {7, 10}} {
		if from, to := r.UnitDrives(u); from != want[0] || to != want[1] {
			t.Errorf("unit %d has the drives %d to %d, want %v", u, from, to, want)
		}
	}
	stage, hall := r.Circuits.Get("stage"), r.Circuits.Get("hall")
	if stage.Mains() != 230 || hall.Mains() != 230 || (&Circuit{Voltage: 120}).Mains() != 120 || stage.RCD != .03 || stage.Phase != "L2" || stage.Cable.Section.Section != 2.5 || stage.Other != 200 || !hall.Dimmed || hall.Shares.Name != "stage" {
		t.Errorf("circuits %+v, %+v", stage, hall)
	}
	line := r.Lines.Get("one")
	if !*line.Terminated || line.Isolated != nil || line.Cable != CableData || line.Length != 30 || !slices.Equal(line.Order, []string{"left", "right"}) {
		t.Errorf("line %+v", line)
	}
}

// One value of a type at a time past its bounds, and at them. Emitters: peak
// and width of LEDs from the ultraviolet to the deep red.
func TestTypeBounds(t *testing.T) {
	for _, c := range []struct{ old, new, want string }{
		{"cells: 3", "cells: 512", ""}, // the highest that a mode can reach
		{"cells: 3", "cells: 513", "1:1: 513 cells lie outside 1 to 512 and 2 more"},
		{"cells: 3", "cells: -1", "1:1: -1 cells lie outside 1 to 512 and 2 more"},
		{"[1 m, 9 cm, 12 cm]", "[20 m, 0 m, 12 cm]", ""},
		{"[1 m, 9 cm, 12 cm]", "[20.1 m, 9 cm, 12 cm]", "1:1: its size 20.1 m in place 1 lies outside 0 to 20 m"},
		{"[1 m, 9 cm, 12 cm]", "[1 m, 9 cm, -1 cm]", "1:1: its size -0.01 m in place 3 lies outside 0 to 20 m"},
		{"half: 40°, tenth", "half: 1°, tenth", ""},
		{"half: 40°, tenth: 72°", "half: 179°, tenth: 180°", ""},
		{"half: 40°, tenth", "half: 0.9°, tenth", "4:7: a beam of 0.9° lies outside 1° to 179° (the full angle at half of the peak intensity)"},
		{"half: 40°, tenth: 72°", "half: 179.5°", "4:7: a beam of 179.5° lies outside 1° to 179° (the full angle at half of the peak intensity)"},
		{"tenth: 72°", "tenth: 40°", "4:7: the field angle 40° must lie between the beam angle and 180° (the full angle at a tenth of the peak)"},
		{"tenth: 72°", "tenth: 181°", "4:7: the field angle 181° must lie between the beam angle and 180° (the full angle at a tenth of the peak)"},
		{"shape: gaussian", "shape: round", `4:38: "round" is none of the words that may stand here (there is cosine power, gaussian, flat)`},
		{"max: 62 W", "max: -62 W", "5:9: the supply has a negative value"},
		{"leakage: 0.6 mA", "leakage: -0.6 mA", "5:9: the supply has a negative value"},
		{"through: 10 A", "through: -10 A", "5:9: the supply has a negative value"},
		{"factor: 0.92", "factor: 1", ""},
		{"factor: 0.92", "factor: 0", ""},
		{"factor: 0.92", "factor: 1.01", "5:9: the power factor 1.01 lies outside 0 to 1 (watts over volt amperes, 0.5 to 0.99 for most)"},
		{"factor: 0.92", "factor: -0.01", "5:9: the power factor -0.01 lies outside 0 to 1 (watts over volt amperes, 0.5 to 0.99 for most)"},
		{"red: {peak: 625 nm, width: 18 nm,", "red: {", "10:8: emitter red needs one description of its spectrum, and has 0 (give peak and width, or like, or spectrum)"},
		{"like: phosphor 6500 K", "like: phosphor 6500 K, peak: 450 nm, width: 20 nm", "12:10: emitter white needs one description of its spectrum, and has 2 (give peak and width, or like, or spectrum)"},
		{"peak: 397 nm", "peak: 300 nm", "11:7: emitter uv: emitter peak 300 nm, width 13 nm: 47 % of the light is outside 300 to 780 nm"},
		{"peak: 625 nm", "peak: 780 nm", "10:8: emitter red: emitter peak 780 nm, width 18 nm: 48 % of the light is outside 300 to 780 nm"},
		{"peak: 397 nm", "peak: 299 nm", "11:7: the peak of emitter uv, 299 nm, lies outside 300 nm to 780 nm"},
		{"peak: 625 nm", "peak: 781 nm", "10:8: the peak of emitter red, 781 nm, lies outside 300 nm to 780 nm"},
		{"width: 18 nm", "width: 1 nm", ""},
		{"peak: 625 nm, width: 18 nm", "peak: 540 nm, width: 150 nm", ""},
		{"width: 18 nm", "width: 0.9 nm", "10:8: the width of emitter red, 0.9 nm, lies outside 1 nm to 200 nm (the full width at half maximum, 10 nm to 35 nm for most)"},
		{"width: 18 nm", "width: 201 nm", "10:8: the width of emitter red, 201 nm, lies outside 1 nm to 200 nm (the full width at half maximum, 10 nm to 35 nm for most)"},
		{"output: 150 lm", "output: -150 lm", "10:8: the output of emitter red is negative, or its spread reaches below zero"},
		{"output: 3 W ± 40 %", "output: 3 W ± 101 %", "11:7: the output of emitter uv is negative, or its spread reaches below zero"},
		{"output: 3 W ± 40 %", "output: 10000 W", ""},
		{"output: 3 W ± 40 %", "output: 10001 W", "11:7: the output of emitter uv is beyond any lamp"},
		{"output: 620 lm", "output: 10000001 lm", "12:10: the output of emitter white is beyond any lamp"},
		{"output: 3 W ± 40 %", "output: 30000 lm", "11:7: emitter uv would need"}, // lumens of black light
		{"like: phosphor 6500 K", "spectrum: [{at: 400 nm, power: 1}, {at: 500 nm, power: -1}]", "12:10: the spectrum of emitter white has a negative value at 500 nm"},
		{"like: phosphor 6500 K", "spectrum: [{at: 400 nm, power: 0}, {at: 500 nm, power: 0}]", "12:10: emitter white: the spectrum is empty between 300 nm and 780 nm"},
		{"like: phosphor 6500 K", "like: moonlight", "12:10: emitter white: "},
		{"{drives: uv}\n    4-5", "{drives: ultra}\n    4-5", `17:5: the type has no emitter "ultra" (there is red, uv, white)`},
		{"1: {dims: all}", "1: {dims: [red, blue]}", `15:5: the type has no emitter "blue" (there is red, uv, white)`},
		{"4-5: {drives: white}", "3-4: {drives: white}", "18:5: slot 3 of the mode is used twice (also on line 17)"},
		{"cell: 3", "cell: 4", "22:5: cell 4 lies outside 1 to 3"},
		{"cell: 3", "cell: -1", "22:5: cell -1 lies outside 1 to 3"},
		{"2: {drives: red}", "2: {drives: red, curve: {dark to: 254, full from: 255}}", ""},
		{"2: {drives: red}", "2: {drives: red, curve: {dark to: 12, full from: 12}}", "16:29: the curve is dark to 12 and full from 12 (dark to must be below full from, both inside 0-255)"},
		{"2: {drives: red}", "2: {drives: red, curve: {dark to: 12, full from: 256}}", "16:29: the curve is dark to 12 and full from 256 (dark to must be below full from, both inside 0-255)"},
		{"2: {drives: red}", "2: {drives: red, curve: {dark to: 255}}", "16:29: the curve is dark to 255 and full from 0 (dark to must be below full from, both inside 0-255)"},
		{"2: {drives: red}", "2: {drives: red, curve: {dark to: -1}}", "16:29: the curve is dark to -1 and full from 0 (dark to must be below full from, both inside 0-255)"},
	} {
		text := strings.Replace(bar, c.old, c.new, 1)
		if text == bar {
			t.Fatalf("%q does not stand in the type", c.old)
		}
		_, faults := ReadType("bar", "f", []byte(text))
		got := lines(faults)
		want, more, _ := strings.Cut(c.want, " and ")
		count, _, _ := strings.Cut(more, " more")
		follow, _ := strconv.Atoi(count)
		switch {
		case c.want == "" && len(got) > 0, c.want != "" && len(got) != 1+follow:
			t.Errorf("%s: got %q, want %q", c.new, got, c.want)
		case c.want != "" && !strings.HasPrefix(got[0], "f:"+want):
			t.Errorf("%s: got %q, want %q", c.new, got[0], c.want)
		}
	}
}

// A type without emitters, or without modes, cannot light.
func TestEmptyType(t *testing.T) {
	_, faults := ReadType("x", "f", []byte("name: x\nbeam: {half: 20°}\nemitters: {}\nmodes: {}\n"))
	sameLines(t, "an empty type", faults, "f:1:1: the fixture type has no emitter", "f:1:1: the fixture type has no mode")
	_, faults = ReadType("x", "f", []byte("# nothing\n"))
	sameLines(t, "an empty file", faults, "f:1:1: the file is empty")
	_, faults = ReadType("x", "f", []byte("name: x\nbeam: 20°\nemitters: {red: green}\nmodes: {one: {1: {drives: red}}}\n"))
	sameLines(t, "values of another form", faults, `f:2:7: this should be a mapping, not "20°" (it takes half, tenth, shape)`,
		`f:3:17: this should be a mapping, not "green" (it takes peak, width, like, spectrum, output, beam)`)
}

// Values that cannot be are replaced by ones that can, so that what follows
// computes with them and tells no second fault.
func TestForgotten(t *testing.T) {
	text := strings.NewReplacer("cells: 3", "cells: 9999", "half: 40°, tenth: 72°", "half: 200°, tenth: 20°", "factor: 0.92", "factor: 9", "max: 62 W", "max: -1 W",
		"peak: 625 nm", "peak: 30 nm", "width: 13 nm", "width: 500 nm", "output: 620 lm", "output: -1 lm", "cell: 3", "cell: 30000", "2: {drives: red}", "2: {drives: red, curve: {dark to: 900}}").Replace(bar)
	k, faults := ReadType("bar", "f", []byte(text))
	if len(faults) < 8 {
		t.Fatal(faults)
	}
	if k.CellCount() != 1 || math.Abs(float64(k.Beam.Half)-.7) > 1e-9 || k.Beam.Tenth != 0 || k.Supply.Factor != 0 || k.Supply.Max != 0 || k.Supply.Leakage != .0006 {
		t.Errorf("got %+v", k)
	}
	red, uv, white := k.Emitters.Get("red"), k.Emitters.Get("uv"), k.Emitters.Get("white")
	if red.Peak != 300 || uv.Width != 20 || white.Output != (Output{}) || k.Modes.Get("by cell").Slots[2].Cell != 0 || k.Modes.Get("whole").Slots[1].Curve.DarkTo != 0 {
		t.Errorf("red %+v, uv %+v, white %+v", red, uv, white)
	}
	if k, _ := ReadType("bar", "f", []byte(strings.Replace(bar, "peak: 625 nm", "peak: 900 nm", 1))); k.Emitters.Get("red").Peak != 780 {
		t.Errorf("a peak of 900 nm is taken as %v", k.Emitters.Get("red").Peak)
	}
}

// What an emitter gives: as many lumens, or watts, as its output says, with the
// interval as factors of it. 683 lm/W at 555 nm (SI brochure, definition of the
// candela); an ultraviolet LED of 397 nm gives under 2 lm/W, a red one of
// 625 nm some 200 (from memory).
func TestLight(t *testing.T) {
	k := types(t, map[string]string{"bar": strings.Replace(bar, "  red: {peak: 625 nm, width: 18 nm, output: 150 lm}", "  red: {peak: 625 nm, width: 18 nm, output: 150 lm ± 20 %}\n  green: {peak: 555 nm, width: 1 nm, output: 2 W}\n  twin: {spectrum: [{at: 554 nm, power: 0}, {at: 555 nm, power: 7}, {at: 556 nm, power: 0}], output: 1366 lm}", 1)})[0].Value
	for _, c := range []struct {
		name                string
		lumens, watts, near float64 // watts 0: not known so well
		low, high           float64
		blackLight          bool
	}{
		{"red", 150, 0, .001, .8, 1.2, false},
		{"green", 2 * 683, 2, .01, 1, 1, false},
		{"twin", 1366, 2, .01, 1, 1, false},
		{"uv", 3, 3, .9, .6, 1.4, true},
	} {
		l := &k.Emitters.Get(c.name).Light
		if off := l.Colour.Y/c.lumens - 1; math.Abs(off) > c.near {
			t.Errorf("%s gives %.4g lm, want %v", c.name, l.Colour.Y, c.lumens)
		}
		if c.watts > 0 && math.Abs(l.Watts/c.watts-1) > .01 || math.Abs(float64(l.Spectrum.Power())/l.Watts-1) > 1e-9 {
			t.Errorf("%s gives %.4g W, its spectrum %.4g W, want %v", c.name, l.Watts, float64(l.Spectrum.Power()), c.watts)
		}
		if math.Abs(l.Low-c.low) > 1e-9 || math.Abs(l.High-c.high) > 1e-9 || l.BlackLight() != c.blackLight {
			t.Errorf("%s: %v to %v, black light %v", c.name, l.Low, l.High, l.BlackLight())
		}
	}
	if efficacy := k.Emitters.Get("red").Light.Colour.Y / k.Emitters.Get("red").Light.Watts; efficacy < 170 || efficacy > 250 {
		t.Errorf("red gives %.0f lm/W", efficacy)
	}
	// An output in watts is none in lumens, and the other way round.
	if k.Emitters.Get("uv").Output.InLumens() || !k.Emitters.Get("red").Output.InLumens() {
		t.Error("lumens and watts are taken for one another")
	}
}

// Intensity on the axis. With I = I0 cos^n: half of it at half the beam angle,
// and the flux 2π I0 / (n+1). At 120° n is 1: 1/π of the flux (Lambert).
func TestPeak(t *testing.T) {
	k := types(t, map[string]string{"bar": strings.Replace(bar, "half: 40°, tenth: 72°, shape: gaussian", "half: 120°, shape: cosine power", 1)})[0].Value
	if got := k.Peak(k.Emitters.Get("red")); math.Abs(got*math.Pi-1) > .005 {
		t.Errorf("an open LED has %.4f cd/lm, want %.4f", got, 1/math.Pi)
	}
	// An emitter with a beam of its own: 60° is n = ln 0.5 / ln cos 30°.
	k.Emitters.Get("uv").Beam.Shape = "cosine power"
	n := math.Log(.5) / math.Log(math.Cos(math.Pi/6))
	if got, want := k.Peak(k.Emitters.Get("uv")), (n+1)/(2*math.Pi); math.Abs(got/want-1) > .005 {
		t.Errorf("60° has %.4f W/sr for a watt, want %.4f", got, want)
	}
	// A flat beam of 40° fills a cone of 2π(1 - cos 20°).
	flat := Beam{Half: si.Angle(40 * math.Pi / 180), Shape: "flat"}
	k.Emitters.Get("uv").Beam = &flat
	if got, want := k.Peak(k.Emitters.Get("uv")), 1/(2*math.Pi*(1-math.Cos(math.Pi/9))); math.Abs(got/want-1) > .1 {
		t.Errorf("a flat beam of 40° has %.4f, want about %.4f", got, want)
	}
	none := Beam{}
	d, err := none.Distribution()
	forty, _ := Beam{Half: si.Angle(40 * math.Pi / 180)}.Distribution()
	if err == nil || math.Abs(d.Peak()-forty.Peak()) > 1e-9 {
		t.Errorf("a beam of no width: %v, peak %v, want that of 40°, %v", err, d.Peak(), forty.Peak())
	}
}

// One thing of a rig at a time that does not hang together.
func TestRigFaults(t *testing.T) {
	two := types(t, map[string]string{"bar": bar, "par": strings.Replace(bar, "  by cell:\n    1: {drives: red, cell: 1}\n    2: {drives: red, cell: 2}\n    3: {drives: red, cell: 3}\n    4: {drives: uv}\n    7: {idle: speed}\n", "", 1)})
	slices.SortFunc(two, func(a, b source.Entry[*Type]) int { return strings.Compare(a.Name, b.Name) })
	for _, c := range []struct{ old, new, want string }{
		{"type: bar, mode: whole, address: 1,", "type: par, address: 1,", ""}, // one mode needs no name
		{"type: bar, mode: whole, address: 1,", "type: bar, address: 1,", "2:12: unit left does not say which mode of bar it is in (it has whole, by cell)"},
		{"type: bar, mode: whole, address: 1,", "type: bra, mode: whole, address: 1,", `2:24: there is no fixture type "bra" (did you mean "bar"?)`},
		{"mode: whole, address: 1,", "mode: hole, address: 1,", `2:35: fixture type bar has no mode "hole" (did you mean "whole"?)`},
		{"unit: spare", "unit: left", `4:12: two units have the name "left" (the first is on line 2)`},
		{"address: 506", "address: 507", "3:12: unit right at address 507 needs 7 slots and runs past 512 (the highest address that fits is 506)"},
		{"address: 506", "address: 513", "3:67: there is no address 513 (it runs from 1 to 512)"},
		{"universe: 3", "universe: 63999", ""},
		{"universe: 3", "universe: 64000", "3:55: there is no universe 64000 (it runs from 1 to 63999)"},
		{"at: [2 m, 0 m, 3 m], aim: [0 m, 2 m, 0 m]", "at: [0 m, 2 m, 0 m], aim: [0 m, 2 m, 0 m]", "3:12: unit right is aimed at itself (aim is the point that it is pointed at)"},
		{"at: [2 m, 0 m, 3 m]", "at: [1 km, 0 m, 3 m]", ""},
		{"at: [2 m, 0 m, 3 m]", "at: [1.001 km, 0 m, 3 m]", "3:12: unit right hangs or aims more than 1 km away"},
		{"at: [2 m, 0 m, 3 m], aim: [0 m, 2 m, 0 m]", "at: [2 m, 0 m, 3 m], aim: [0 m, -1.001 km, 0 m]", "3:12: unit right hangs or aims more than 1 km away"},
		{"circuit: stage, line", "circuit: stagee, line", `2:129: there is no circuit "stagee" (did you mean "stage"?)`},
		{"line: one", "line: none", `2:142: there is no data line "none" (did you mean "one"?)`},
		{"fed by: left", "fed by: lef", `3:158: there is no unit "lef" to be fed by (did you mean "left"?)`},
		{"order: [left, right]", "order: [left, rigt]", `9:3: data line one names a unit "rigt" that is not in the rig (did you mean "right"?)`},
		{"length: 30 m", "length: -30 m", "9:8: data line one has a negative value"},
		{"cable: data", "adaptors: -1", "9:8: data line one has a negative value"},
		{"voltage: 230 V", "voltage: 1000 V", ""},
		{"voltage: 230 V", "voltage: 1001 V", "6:10: circuit stage has 1001 V (230 V, or 120 V)"},
		{"voltage: 230 V", "voltage: -1 V", "6:10: circuit stage has -1 V (230 V, or 120 V)"},
		{"device: 30 mA", "device: -30 mA", "6:10: circuit stage has a negative value"},
		{"other load: 200 VA", "other load: -200 VA", "6:10: circuit stage has a negative value"},
		{"other load: 200 VA", "outlet: -16 A", "6:10: circuit stage has a negative value"},
		{"length: 20 m", "length: -20 m", "6:10: circuit stage has a negative value"},
		{"connector: 16 A", "connector: -16 A", "6:10: circuit stage has a negative value"},
		{"section: 2.5 mm2", "section: -2.5 mm2", "6:10: circuit stage has a negative value"},
		{"shares device of: stage", "shares device of: hall", `7:43: there is no other circuit "hall" whose device circuit hall could share (there is stage)`},
		{"shares device of: stage", "shares device of: stages", `7:43: there is no other circuit "stages" whose device circuit hall could share (did you mean "stage"?)`},
	} {
		text := strings.Replace(hung, c.old, c.new, 1)
		if text == hung {
			t.Fatalf("%q does not stand in the rig", c.old)
		}
		_, faults := Read("r", []byte(text), two)
		var want []string
		if c.want != "" {
			want = []string{"r:" + c.want}
		}
		sameLines(t, c.new, faults, want...)
	}
	// A type that was not read is as good as none; one without modes is known.
	none := source.Named[*Type]{{Name: "bar"}}
	if r, faults := Read("r", []byte(hung), none); len(faults) != 3 || r.Units[0].Type != nil {
		t.Errorf("a type that was not read: %v", faults)
	}
	empty := source.Named[*Type]{{Name: "bar", Value: &Type{}}}
	if r, faults := Read("r", []byte(hung), empty); len(faults) != 0 || r.Units[0].Type != nil || r.Units[0].Mode != nil || len(r.Drives) != 0 {
		t.Errorf("a type without modes: %v", faults)
	}
}

// A unit whose mode is not known has no drives, and the others keep theirs.
func TestDrivesWithoutMode(t *testing.T) {
	r, faults := Read("r", []byte(strings.Replace(hung, "mode: whole, address: 1,", "address: 1,", 1)), types(t, map[string]string{"bar": bar}))
	from, to := r.UnitDrives(0)
	next, last := r.UnitDrives(2)
	if len(faults) != 1 || from != 0 || to != 0 || next != 4 || last != 7 {
		t.Errorf("%v: %d to %d, %d to %d", faults, from, to, next, last)
	}
}

// As many units as there may be are read; of one more, the rest goes.
func TestTooManyUnits(t *testing.T) {
	one := types(t, map[string]string{"bar": bar})
	var b strings.Builder
	b.WriteString("units:\n")
	for i := range 2001 {
		if i == 2000 {
			if r, faults := Read("r", []byte(b.String()), one); len(faults) > 0 || len(r.Units) != 2000 {
				t.Fatalf("%d units, %v", len(r.Units), faults)
			}
		}
		fmt.Fprintf(&b, "- {unit: u%d, type: bar, mode: whole, address: 1, at: [0 m, 0 m, 1 m], aim: [0 m, 1 m, 0 m]}\n", i)
	}
	r, faults := Read("r", []byte(b.String()), one)
	if len(r.Units) != 2000 || len(faults) != 1 || faults[0].Error() != "r:1:1: 2001 units are more than the 2000 that one show may have" {
		t.Errorf("%d units, %v", len(r.Units), faults)
	}
}

// The words of a type and a rig are those that docs/files.md lists.
func TestWords(t *testing.T) {
	for want, got := range map[string][]string{
		"cosine power, gaussian, flat": BeamShape("").Choices(),
		"hold, dark, runs a program":   DataLoss("").Choices(),
		"linear, square, s":            CurveLaw("").Choices(),
		"data, microphone, network":    DataCable("").Choices(),
		"L1, L2, L3":                   Phase("").Choices(),
	} {
		if strings.Join(got, ", ") != want {
			t.Errorf("got %v, want %s", got, want)
		}
	}
}

// A lens is no larger than its part of the unit.
func TestLensLargerThanItsCell(t *testing.T) {
	for lens, want := range map[string]string{
		"[0.16 m, 0.05 m]": "", "[0.2 m, 0.05 m]": "its lens of 0.2 m in place 1 is larger than the 0.166667 m that each cell has",
		"[0.1 m, 0.2 m]": "in place 2 is larger", "[-1 m, 0.1 m]": "lies outside 0 to 20 m",
	} {
		_, faults := ReadType("bar", "fixtures/bar.yaml", []byte("name: bar\nsize: [1 m, 0.09 m, 0.1 m]\ncells: 6\nlens: "+lens+"\nbeam: {half: 40°}\nemitters: {red: {peak: 620 nm, width: 18 nm, output: 1 W}}\nmodes: {one: {1: {drives: red}}}\n"))
		if got := faults.Error(); want == "" && len(faults) > 0 || !strings.Contains(got, want) {
			t.Errorf("lens %s: %q, want %q", lens, got, want)
		}
	}
}
