package si

import (
	"math"
	"testing"
)

// Levels of amplitudes by their definition, 20 lg of the ratio (ISO 80000-8:2020): the rows are
// the usual table, to its two places.
func TestDecibels(t *testing.T) {
	for _, c := range []struct {
		text      string
		amplitude float64
		says      string
	}{
		{"0 dB", 1, "0 dB"}, {"-6.02 dB", .5, "-6 dB"}, {"−6.02dB", .5, "-6 dB"}, {"50 %", .5, "-6 dB"}, {"-20 dB", .1, "-20 dB"}, {"10 %", .1, "-20 dB"},
		{"+6.02 dB", 2, "6 dB"}, {"-3.01 dB", math.Sqrt(.5), "-3 dB"}, {"-40 dB", .01, "-40 dB"}, {"200 %", 2, "6 dB"}, {"-0.04 dB", .9954, "0 dB"},
	} {
		var v Decibels
		if err := v.UnmarshalText([]byte(c.text)); err != nil || math.Abs(v.Amplitude()-c.amplitude) > 1e-3 || v.String() != c.says {
			t.Errorf("%s: %v of the amplitude, want %v; it prints %s, want %s (%v)", c.text, v.Amplitude(), c.amplitude, v, c.says, err)
		}
	}
	for _, text := range []string{"", "6", "-6 db", "0 %", "-5 %", "-61 dB", "25 dB", "NaN dB", "loud", "1e999 %"} {
		var v Decibels
		if err := v.UnmarshalText([]byte(text)); err == nil || v != 0 {
			t.Errorf("%q is read as %v", text, v)
		}
	}
}
