package si

import (
	"math"
	"testing"
)

// SI Brochure (BIPM, 9th edition, 2019) 5.4.3 and table 7: a space before the
// unit, prefixes k, m, µ, powers as powers. How many figures is a choice.
func TestSay(t *testing.T) {
	for _, c := range []struct {
		v    float64
		unit string
		want string
	}{
		{0, "lx", "0 lx"},
		{0.0226, "lx", "0.023 lx"},
		{28.7, "lx", "29 lx"},
		{154.3, "lx", "150 lx"},
		{500, "lx", "500 lx"},
		{1234, "lx", "1200 lx"},
		{23456, "lx", "23 klx"},
		{0.00047, "W/m2", "0.47 mW/m²"},
		{0.0017, "W/m2", "1.7 mW/m²"},
		{0.211, "W/m²", "0.21 W/m²"},
		{4.7e-7, "W/m2", "0.47 µW/m²"},
		{1046, "J/m2", "1 kJ/m²"},
		{10000, "J/m2", "10 kJ/m²"},
		{288300, "J/m2", "290 kJ/m²"},
		{10000, "W/(m2 sr)", "10 kW/(m² sr)"},
		{5.91, "s", "5.9 s"},
		{154.3, "s", "2.6 min"},
		{86400, "s", "24 h"},
		{0.0043, "s", "4.3 ms"},
		{0.64, "m", "0.64 m"},
		{0.0034, "m", "0.0034 m"},
		{22, "A", "22 A"},
		{0.03, "A", "30 mA"},
		{0.0105, "A", "10 mA"},
		{0.3, "A", "0.3 A"},
		{0.05, "s", "50 ms"},
		{-3.52, "V", "-3.5 V"},
		{1, "flashes in a second", "1 flash in a second"},
		{3, "flashes in a second", "3 flashes in a second"},
		{1, "inputs", "1 input"},
		{999.6, "W", "1 kW"},
		{0.0371, "u'v'", "0.037 u'v'"},
		{12, "", "12"},
		{40, "°", "40°"},
		{math.NaN(), "lx", "unknown"},
		{math.Inf(1), "lx", "beyond measure"},
		{1e300, "lx", "beyond measure"},
		{1e-30, "lx", "nearly 0 lx"},
		{3e-8, "u'v'", "nearly 0 u'v'"},
		{5432, "K", "5400 K"},
		{0.101, "A", "0.1 A"},
		{0.0994, "A", "99 mA"},
		{1010, "W", "1 kW"},
		{1020, "V", "1 kV"},
		{1030, "VA", "1 kVA"},
		{1040, "Hz", "1 kHz"},
		{1010, "m", "1 km"},
		{1020, "A", "1 kA"},
		{1030, "J", "1 kJ"},
		{994, "V", "994 V"},
		{10400, "lx", "10 klx"},
		{10400, "lm", "10 klm"},
		{10400, "cd", "10 kcd"},
		{0.0000101, "W", "0.01 mW"},
		{0.0000099, "W", "9.9 µW"},
		{0.0000000101, "W", "0.01 µW"},
		{0.0000000099, "W", "9.9 nW"},
		{0.000101, "A", "0.1 mA"},
		{999000, "W", "1 MW"},
		{9900, "lx", "9900 lx"},
		{9960, "lx", "10 klx"},
		{119.9, "s", "120 s"},
		{120, "s", "2 min"},
		{7199, "s", "120 min"},
		{7200, "s", "2 h"},
		{0.0000011, "u'v'", "0.0000011 u'v'"},
		{0.00000094, "u'v'", "nearly 0 u'v'"},
	} {
		if got := Say(c.v, c.unit); got != c.want {
			t.Errorf("%v %q: %q, want %q", c.v, c.unit, got, c.want)
		}
	}
}

// A value beside its limit never reads as the limit, unless it is.
func TestSayBoth(t *testing.T) {
	for _, c := range []struct {
		v, limit    float64
		value, most string
	}{
		{5.16, 10.764, "5.2 lx", "11 lx"},
		{10.8, 10.764, "10.8 lx", "10.76 lx"},
		{10.1, 10, "10.1 lx", "10 lx"},
		{10, 10, "10 lx", "10 lx"},
		{1001, 1000, "1001 lx", "1000 lx"},
	} {
		if v, most := SayBoth(c.v, c.limit, "lx"); v != c.value || most != c.most {
			t.Errorf("%v of %v: %s of %s, want %s of %s", c.v, c.limit, v, most, c.value, c.most)
		}
	}
}

func TestCount(t *testing.T) {
	if a, b := Count(1, "flash", "flashes"), Count(3, "warning", "warnings"); a != "1 flash" || b != "3 warnings" {
		t.Error(a, b)
	}
}
