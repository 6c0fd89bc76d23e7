package si

import (
	"encoding"
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// Every unit that a file may give, against NIST Special Publication 811 (2008),
// tables 5 (prefixes) and B.8 (inch, foot, footcandle, degree), and the SI
// Brochure, table 8 (degree), 2.3.1 (degree Celsius).
func TestUnits(t *testing.T) {
	for _, c := range []struct {
		into  encoding.TextUnmarshaler
		value func(any) float64
		units map[string]float64 // one of each in the stored unit
	}{
		{new(Length), of[Length], map[string]float64{"m": 1, "cm": 1e-2, "mm": 1e-3, "km": 1e3, "ft": 3.048e-1, "in": 2.54e-2}},
		{new(Angle), of[Angle], map[string]float64{"°": 1.745329251994e-2, "deg": 1.745329251994e-2, "rad": 1}},
		{new(Wavelength), of[Wavelength], map[string]float64{"nm": 1}},
		{new(Power), of[Power], map[string]float64{"W": 1, "mW": 1e-3, "kW": 1e3}},
		{new(ApparentPower), of[ApparentPower], map[string]float64{"VA": 1, "kVA": 1e3}},
		{new(LuminousFlux), of[LuminousFlux], map[string]float64{"lm": 1, "klm": 1e3}},
		{new(LuminousIntensity), of[LuminousIntensity], map[string]float64{"cd": 1, "kcd": 1e3}},
		{new(Illuminance), of[Illuminance], map[string]float64{"lx": 1, "lux": 1, "fc": 1 / (.3048 * .3048)}}, // lm/ft2
		{new(Luminance), of[Luminance], map[string]float64{"cd/m²": 1, "cd/m2": 1}},
		{new(Irradiance), of[Irradiance], map[string]float64{"W/m²": 1, "W/m2": 1, "mW/m2": 1e-3, "uW/cm2": 1e-6 / 1e-4, "µW/cm2": 1e-2, "µW/cm²": 1e-2, "mW/cm2": 1e-3 / 1e-4}},
		{new(Speed), of[Speed], map[string]float64{"m/s": 1, "cm/s": .01, "km/h": 1 / 3.6, "ft/s": .3048}},
		{new(Current), of[Current], map[string]float64{"A": 1, "mA": 1e-3, "uA": 1e-6}},
		{new(Voltage), of[Voltage], map[string]float64{"V": 1, "mV": 1e-3, "kV": 1e3}},
		{new(Frequency), of[Frequency], map[string]float64{"Hz": 1, "kHz": 1e3, "/s": 1}},
		{new(Temperature), of[Temperature], map[string]float64{"K": 1, "°C": 274.15, "C": 274.15}},
		{new(Section), of[Section], map[string]float64{"mm²": 1, "mm2": 1}},
		{new(Mass), of[Mass], map[string]float64{"kg": 1, "g": 1e-3, "t": 1e3, "lb": .45359237}}, // the international pound, 1959
		{new(Ratio), of[Ratio], map[string]float64{"": 1, "%": 1e-2}},
	} {
		for unit, want := range c.units {
			if err := c.into.UnmarshalText([]byte("1 " + unit)); err != nil || math.Abs(c.value(c.into)-want) > 1e-11*want {
				t.Errorf("%T: 1 %s is %v, want %v (%v)", c.into, unit, c.value(c.into), want, err)
			}
		}
		first := c.into.(fmt.Stringer).String()
		if err := c.into.UnmarshalText([]byte(first)); err != nil {
			t.Errorf("%T prints %s, and does not read it: %v", c.into, first, err)
		}
	}
}

func of[T ~float64](v any) float64 { return float64(*v.(*T)) }

// A wrong unit is answered with those that there are, as people type them.
func TestUnitsAreNamed(t *testing.T) {
	for _, c := range []struct {
		got, want string
	}{
		{Length(0).Units(), "m, cm, mm, km, ft or in, or feet and inches as 12 ft 6 in"},
		{Wavelength(0).Units(), "nm"},
		{Ratio(0).Units(), "a plain number or %"},
		{Luminance(0).Units(), "cd/m2"},
		{Section(0).Units(), "mm2"},
		{Irradiance(0).Units(), "W/m2, mW/m2, uW/cm2 or mW/cm2"},
		{Exactly(Power(4)).Units(), "W, mW or kW, with ± and a spread if it is uncertain"},
		{Exactly(1.5).Units(), ""},
	} {
		if c.got != c.want {
			t.Errorf("%q, want %q", c.got, c.want)
		}
	}
	var l Length
	if err := l.UnmarshalText([]byte("3 kg")); err == nil || !strings.HasSuffix(err.Error(), "use m, cm, mm, km, ft or in") {
		t.Error(err)
	}
}

// Where a number ends: strconv.ParseFloat tells what a decimal number is, and
// what follows its longest beginning is the unit.
func TestNumbersEnd(t *testing.T) {
	for text, want := range map[string]struct {
		n    float64
		unit string
	}{
		"12.5 kW": {12.5, "kW"}, "5em": {5, "em"}, "5 eV": {5, "eV"}, "1e3m": {1000, "m"}, "1E-3 m": {.001, "m"}, "2e+2": {200, ""},
		"-.5": {-.5, ""}, "3-4 m": {3, "-4 m"}, "3+4": {3, "+4"}, "7e": {7, "e"}, "7e-": {7, "e-"}, " +8  s ": {8, "s"}, "9%": {9, "%"},
	} {
		n, unit, err := SplitNumber(text)
		if err != nil || n != want.n || unit != want.unit {
			t.Errorf("%q is %v and %q (%v), want %v and %q", text, n, unit, err, want.n, want.unit)
		}
	}
}

// What is printed of an estimate reads back, whatever its spread.
func TestEstimatesPrintBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		best := rapid.Float64Range(.01, 1000).Draw(t, "best")
		share := rapid.Float64Range(0, 150).Draw(t, "share")
		var e, back Estimate[LuminousFlux]
		if err := e.UnmarshalText(fmt.Appendf(nil, "%.3f lm ± %.1f %%", best, share)); err != nil {
			t.Fatal(err)
		}
		if err := back.UnmarshalText([]byte(e.String())); err != nil {
			t.Fatalf("%+v printed as %s: %v", e, e, err)
		}
		for _, d := range []LuminousFlux{e.Best - back.Best, e.Low - back.Low, e.High - back.High} {
			if math.Abs(float64(d)) > 2e-6 {
				t.Fatalf("%+v printed as %s and read as %+v", e, e, back)
			}
		}
	})
}

// One side wider than the other stands with its best value.
func TestLopsided(t *testing.T) {
	if got := (Estimate[Current]{Best: 20, Low: 10, High: 80}).String(); got != "20 A (10 A to 80 A)" {
		t.Error(got)
	}
	low, high := (Estimate[Current]{Best: 20, Low: 10, High: 80}).Relative()
	if low != .5 || high != 4 {
		t.Errorf("%v to %v times the best", low, high)
	}
}
