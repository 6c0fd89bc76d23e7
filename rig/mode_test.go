package rig

import (
	"math"
	"strings"
	"testing"

	"lampblack/source"
)

// decode reads one mode.
func decode(t *testing.T, text string) (Mode, source.Faults) {
	t.Helper()
	var f struct {
		Mode Mode `key:"mode"`
	}
	faults := source.Decode("lamp.yaml", []byte("mode:\n"+text), &f)
	return f.Mode, faults
}

func TestModeForms(t *testing.T) {
	m, faults := decode(t, `
  1: {dims: all, 0-127: level, 128-250: flash 1 Hz to 12 Hz, 251-255: open}
  2-3: {drives: red, cell: 2}
  9: {0: nothing, 1-5: never, 6-255: flash random 500 mHz}
`)
	if !strings.Contains(faults.Error(), "mHz") {
		t.Errorf("a unit that does not exist passed: %v", faults)
	}
	m, faults = decode(t, `
  2-3: {drives: red, cell: 2}
  1: {dims: all, 0-127: level, 128-250: flash 1 Hz to 12 Hz, 251-255: open}
  9: {0: nothing, 1-5: never, 6-255: flash random 0.5 Hz}
`)
	if faults.Err() != nil || m.Footprint != 9 || len(m.Slots) != 3 {
		t.Fatal(faults, m)
	}
	if s := m.Slots[1]; s.Coarse != 2 || s.Fine != 3 || s.Drives != "red" || s.Cell != 2 {
		t.Errorf("slot 2-3 is %+v", s)
	}
	s := m.Slots[0]
	if r := s.At(250); r.Does != Flash || r.Rate(250) != 12 || r.Rate(128) != 1 || r.Rate(189) != 6.5 {
		t.Errorf("rates of %+v: %v %v %v", r, r.Rate(128), r.Rate(189), r.Rate(250))
	}
	if s.At(127).Does != Level || s.At(251).Does != Open {
		t.Errorf("ranges %+v", s.Ranges)
	}
	if r := m.Slots[2].At(100); r.Does != FlashRandom || r.Low != .5 || r.High != .5 {
		t.Errorf("random range %+v", r)
	}
}

func TestModeFaults(t *testing.T) {
	for text, want := range map[string]string{
		"  0: {drives: red}":                        `slot "0" lies outside 1 to 512`,
		"  513: {drives: red}":                      `slot "513" lies outside`,
		"  x: {drives: red}":                        `"x" is no slot number`,
		"  4-4: {drives: red}":                      `slot "4-4" lies outside`,
		"  1: {drive: red}":                         `did you mean "drives"?`,
		"  1: {drives: red, dims: all}":             "not both",
		"  1: {}":                                   "the slot does nothing",
		"  1: {0-9: opne}":                          `"opne" is no meaning of a range`,
		"  1: {0-300: open}":                        "not inside 0-255",
		"  1: {9-0: open}":                          "not inside 0-255",
		"  1: {0-100: open, 100-255: never}":        "ranges 0-100 and 100-255 overlap",
		"  1: {0-255: flash 5}":                     "has no unit",
		"  1: {0-255: flash 5 Hz to 500 Hz}":        "outside 0 to 100 Hz",
		"  1: {drives: red, curve: {than: linear}}": `did you mean "then"?`,
		"  1: [drives, red]":                        "should be a mapping",
	} {
		if _, faults := decode(t, text); faults.Err() == nil || !strings.Contains(faults.Error(), want) {
			t.Errorf("%s: got %v, want %s", text, faults, want)
		}
	}
}

func FuzzReadType(f *testing.F) {
	f.Add([]byte("name: x\nbeam: {half: 25°}\nemitters: {red: {peak: 629 nm, width: 15 nm, output: 2 W}}\nmodes: {one: {1: {drives: red}}}\n"))
	f.Add([]byte("emitters: {a: {spectrum: [{at: 400 nm, power: 1}], output: 5 lm}}\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		typ, faults := ReadType("x", "x.yaml", data)
		if faults.Err() != nil {
			return
		}
		r, _ := Read("rig.yaml", []byte("units: [{unit: a, type: x, address: 1, at: [0 m, 0 m, 1 m], aim: [0 m, 1 m, 0 m]}]\n"), source.Named[*Type]{{Name: "x", Value: typ}})
		e := NewEncoder(r, r.Universes())
		levels := make([]float32, len(r.Drives))
		for i := range levels {
			levels[i] = .5
		}
		e.Encode([]Universe{{Number: 1}}, levels, make([]float32, 1), nil, nil)
	})
}

// A fan goes at its fastest whatever the light does, unless its slot is set.
func TestFanRests(t *testing.T) {
	m, faults := decode(t, `
  1: {drives: red}
  2: {0-20: fan off, 21-240: fan, 241-255: never}
  3: {0-20: fan off, 21-255: fan, set: 120}
  4: {0-20: fan off, 21-255: fan, set: 5}
`)
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	for i, want := range map[int]int{1: 240, 2: 120, 3: 5} {
		if got := m.Slots[i].Rest(); got != want {
			t.Errorf("slot %d rests at %d, want %d", i+1, got, want)
		}
	}
}

// A rate that is asked for is never passed where the range goes so slow, and is missed by less than
// one step.
func TestFlashNoFasterThanAsked(t *testing.T) {
	for _, r := range []Range{{From: 10, To: 255, Low: 1, High: 20}, {From: 128, To: 250, Low: 12, High: .5}, {From: 0, To: 63, Low: .3, High: 25}} {
		step := math.Abs(float64(r.High-r.Low)) / float64(r.To-r.From)
		for hz := max(float64(min(r.Low, r.High)), .3); hz < float64(max(r.Low, r.High)); hz += .01 {
			if got := float64(r.Rate(r.Value(hz))); got > hz*(1+1e-6) || got < hz-step*1.001 {
				t.Errorf("%v Hz of %v to %v Hz come out as %v", hz, r.Low, r.High, got)
			}
		}
	}
}
