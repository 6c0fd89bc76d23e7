package rig

import (
	"encoding"
	"math"
	"testing"

	"lampblack/si"
)

func TestSupplyTexts(t *testing.T) {
	for _, c := range []struct {
		text string
		into encoding.TextUnmarshaler
		want string // printed again, "" for a text that is refused
	}{
		{"C16", &Breaker{}, "C16"}, {"b 10 A", &Breaker{}, "B10"}, {"D20", &Breaker{}, "D20"}, {"20 A", &Breaker{}, "20 A"}, {"C 16 A", &Breaker{}, "C16"},
		{"", &Breaker{}, ""}, {"C", &Breaker{}, ""}, {"16", &Breaker{}, ""}, {"E16", &Breaker{}, ""}, {"C-16", &Breaker{}, ""}, {"C16 V", &Breaker{}, ""},
		{"25 A for 300 us", &Inrush{}, "25 A for 300 us"}, {"40 A", &Inrush{}, "40 A"}, {"18 A for 0.25 ms", &Inrush{}, "18 A for 250 us"},
		{"25 W for 300 us", &Inrush{}, ""}, {"25 A for long", &Inrush{}, ""}, {"-2 A", &Inrush{}, ""}, {"", &Inrush{}, ""},
		{"2.5 mm2", &Conductor{}, "2.5 mm²"}, {"12 AWG", &Conductor{}, "12 AWG"}, {"12awg", &Conductor{}, "12 AWG"}, {"0 AWG", &Conductor{}, ""}, {"1 AWG", &Conductor{}, "1 AWG"}, {"40 AWG", &Conductor{}, "40 AWG"}, {"41 AWG", &Conductor{}, ""}, {"x AWG", &Conductor{}, ""}, {"-2.5 mm2", &Conductor{}, "-2.5 mm²"}, {"2.5", &Conductor{}, ""},
	} {
		err := c.into.UnmarshalText([]byte(c.text))
		if (err != nil) != (c.want == "") {
			t.Errorf("%T %q: error %v", c.into, c.text, err)
			continue
		}
		if err == nil {
			if got := c.into.(interface{ String() string }).String(); got != c.want {
				t.Errorf("%T %q prints %q, want %q", c.into, c.text, got, c.want)
			}
		}
	}
}

func TestLinkLimit(t *testing.T) {
	for text, want := range map[string]LinkLimit{"8 units": 8, "12": 12, "1 unit": 1, "0": 0, "many": 0, "-3 units": 0} {
		var l LinkLimit
		err := l.UnmarshalText([]byte(text))
		if l != want || (err == nil) != (want > 0) {
			t.Errorf("%q reads %d, %v", text, l, err)
		}
	}
}

// ASTM B258: 12 AWG is 3.31 mm2, 18 AWG 0.823 mm2, 36 AWG 0.0127 mm2.
func TestGauges(t *testing.T) {
	for text, want := range map[string]si.Section{"12 AWG": 3.309, "18 AWG": .8231, "36 AWG": .01267, "10 AWG": 5.261} {
		var c Conductor
		if err := c.UnmarshalText([]byte(text)); err != nil || math.Abs(float64(c.Section/want)-1) > .002 {
			t.Errorf("%s is %v mm2, want %v (%v)", text, float64(c.Section), float64(want), err)
		}
	}
}

// Values that no supply has are faults with a place, all in one pass.
func TestSupplyFaults(t *testing.T) {
	_, faults := ReadType("a", "fixtures/a.yaml", []byte(`name: a
beam: {half: 30°}
supply: {max: -60 W, factor: 1.4}
emitters: {white: {like: phosphor 4000 K, output: 100 lm}}
modes: {one: {1: {drives: white}}}
`))
	if len(faults) != 2 || faults[0].Line != 3 || faults[1].Line != 3 {
		t.Errorf("%v", faults)
	}
	_, faults = Read("rig.yaml", []byte(`units: []
circuits:
  left: {breaker: C16, voltage: 23000 V, shares device of: leftt, phase: L4}
  right: {breaker: 16, residual current device: -30 mA, shares device of: right}
lines:
  front: {universe: 70000, length: -4 m, cable: string}
`), nil)
	if len(faults) != 9 {
		t.Errorf("%d faults:\n%v", len(faults), faults)
	}
}
