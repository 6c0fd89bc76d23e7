package si

import (
	"math"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"
)

func TestRead(t *testing.T) {
	var l Length
	var a Angle
	var e Irradiance
	var k Temperature
	var i Illuminance
	for text, want := range map[string]struct {
		got  interface{ UnmarshalText([]byte) error }
		read func() float64
		want float64
	}{
		"250 cm":      {&l, func() float64 { return float64(l) }, 2.5},
		"1ft":         {&l, func() float64 { return float64(l) }, .3048}, // exact, by the international foot
		"180°":        {&a, func() float64 { return float64(a) }, math.Pi},
		"100 uW/cm2":  {&e, func() float64 { return float64(e) }, 1},
		"0.1 mW/cm2":  {&e, func() float64 { return float64(e) }, 1},
		"20 °C":       {&k, func() float64 { return float64(k) }, 293.15},
		"1 fc":        {&i, func() float64 { return float64(i) }, 10.7639104},
		"1.5e3 mW/m2": {&e, func() float64 { return float64(e) }, 1.5},
	} {
		if err := want.got.UnmarshalText([]byte(text)); err != nil || math.Abs(want.read()-want.want) > 1e-7 {
			t.Errorf("%s is %v, want %v (%v)", text, want.read(), want.want, err)
		}
	}
}

func TestReadRefuses(t *testing.T) {
	var l Length
	for text, want := range map[string]string{
		"":              "does not begin with a number",
		"m":             "does not begin with a number",
		"NaN m":         "does not begin with a number",
		"inf m":         "does not begin with a number",
		"0x10 m":        "is no unit of length",
		"5":             "has no unit: write 5 m",
		"5 kg":          `"kg" is no unit of length`,
		"1e999 m":       "does not begin with a number",
		"2,5 m":         "is no unit",
		"5' 14\"":       "write 6 ft, or inches alone",
		"5 ft 3/2 in":   "is no unit of length",
		"5 ft 1 3/2 in": "no part of an inch",
		"5 ft 1 1/0 in": "no part of an inch",
		"5 ft 6":        "is no unit of length",
		"5 ft -6 in":    "is no unit of length",
	} {
		if err := l.UnmarshalText([]byte(text)); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v, want %s", text, err, want)
		}
	}
}

// What is printed reads back.
func TestPrintsBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := Power(rapid.Float64Range(-1e9, 1e9).Draw(t, "v"))
		var back Power
		if err := back.UnmarshalText([]byte(v.String())); err != nil || math.Abs(float64(back-v)) > 1e-6*max(1, math.Abs(float64(v))) {
			t.Fatalf("%v printed as %q and read as %v: %v", float64(v), v.String(), float64(back), err)
		}
		d := time.Duration(rapid.Int64Range(0, int64(40*time.Hour)).Draw(t, "d")).Round(time.Millisecond)
		if got, err := ParseTime(FormatTime(d)); err != nil || got != d {
			t.Fatalf("%v printed as %q and read as %v: %v", d, FormatTime(d), got, err)
		}
	})
}

func TestTimes(t *testing.T) {
	for text, want := range map[string]time.Duration{
		"1:02.350": 62350 * time.Millisecond, "1:00:00": time.Hour, "250 ms": 250 * time.Millisecond, "6 s": 6 * time.Second,
		"2 min": 2 * time.Minute, "0:00": 0, "90:00": 90 * time.Minute, "1.0005 s": 1000500 * time.Microsecond, "-2 s": -2 * time.Second,
	} {
		if got, err := ParseTime(text); err != nil || got != want {
			t.Errorf("%s is %v, want %v (%v)", text, got, want, err)
		}
	}
	for _, text := range []string{"", "6", "1:60", "1:2:3:4", "1:-2", "1.5:00", "::", "1e9 h", "soon", "1:0x1", "1:+2", "nan s"} {
		if got, err := ParseTime(text); err == nil {
			t.Errorf("%q passed as %v", text, got)
		}
	}
}

func TestEstimates(t *testing.T) {
	for text, want := range map[string]Estimate[Power]{
		"4.2 W": {4.2, 4.2, 4.2}, "4 W ± 25 %": {4, 3, 5}, "4 W +- 500 mW": {4, 3.5, 4.5}, "3 W to 5 W": {4, 3, 5},
	} {
		var got Estimate[Power]
		if err := got.UnmarshalText([]byte(text)); err != nil || got != want {
			t.Errorf("%s is %+v, want %+v (%v)", text, got, want, err)
		}
		var back Estimate[Power]
		if err := back.UnmarshalText([]byte(got.String())); err != nil || back != got {
			t.Errorf("%s printed as %s and read as %+v (%v)", text, got, back, err)
		}
	}
	for _, text := range []string{"4 W ± -1 W", "5 W to 3 W", "4 ± 1", "± 1 W", "4 W ± x"} {
		var e Estimate[Power]
		if err := e.UnmarshalText([]byte(text)); err == nil {
			t.Errorf("%q passed as %v", text, e)
		}
	}
}

// NIST Special Publication 811 (2008), table B.8: 1 ft = 0.3048 m and 1 in =
// 2.54 cm, exactly. A pole of 21 ft 6 in is 6.5532 m.
func TestFeetAndInches(t *testing.T) {
	for text, want := range map[string]Length{
		"21 ft 6 in": 6.5532, "21ft 6in": 6.5532, `21' 6"`: 6.5532, `21'6"`: 6.5532, "21′ 6″": 6.5532,
		"-2 ft 3 in": -.6858, "1 ft": .3048, "1'": .3048, "7 ft 0 in": 2.1336,
		`5' 6 1/2"`: 1.6891, "5 ft 6.5 in": 1.6891, "30 in": .762, "2.5 ft": .762,
	} {
		var got Length
		if err := got.UnmarshalText([]byte(text)); err != nil || math.Abs(float64(got-want)) > 1e-12 {
			t.Errorf("%s is %v, %v; want %v", text, got, err, want)
		}
	}
}

// Best, Low and High of an estimate come back from what it prints, also where the
// middle of the interval is not the best value: by rounding, as of 29.3 ± 16.5, or
// because it was measured so.
func TestEstimatesReadBack(t *testing.T) {
	near := func(a, b Power) bool { return math.Abs(float64(a-b)) < 1e-6 }
	rapid.Check(t, func(t *rapid.T) {
		best := rapid.IntRange(1, 999).Draw(t, "best")
		down, up := rapid.IntRange(0, best).Draw(t, "down"), rapid.IntRange(0, 999).Draw(t, "up")
		if rapid.Bool().Draw(t, "even") {
			up = down
		}
		e := Estimate[Power]{Power(best) / 10, Power(best)/10 - Power(down)/10, Power(best)/10 + Power(up)/10}
		var back Estimate[Power]
		if err := back.UnmarshalText([]byte(e.String())); err != nil {
			t.Fatalf("%+v prints as %q: %v", e, e, err)
		}
		if !near(back.Best, e.Best) || !near(back.Low, e.Low) || !near(back.High, e.High) {
			t.Fatalf("%+v prints as %q and reads as %+v", e, e, back)
		}
	})
	for _, text := range []string{"4 W (3 W to 5 W", "4 W (3 W)", "4 W ()", "4 W (5 W to 3 W)", "9 W (3 W to 5 W)", "(3 W to 5 W)"} {
		var e Estimate[Power]
		if err := e.UnmarshalText([]byte(text)); err == nil {
			t.Errorf("%q passed as %v", text, e)
		}
	}
}
