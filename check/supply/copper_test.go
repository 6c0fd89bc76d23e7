package supply

import (
	"math"
	"testing"

	"lampblack/rig"
	"lampblack/si"
)

func cable(t *testing.T, length, section string) rig.Cable {
	t.Helper()
	var c rig.Cable
	if err := c.Length.UnmarshalText([]byte(length)); err != nil {
		t.Fatal(err)
	}
	if err := c.Section.UnmarshalText([]byte(section)); err != nil {
		t.Fatal(err)
	}
	return c
}

// Published worked examples of voltage drop.
func TestDrop(t *testing.T) {
	for _, c := range []struct {
		length, section string
		amperes, want   float64
		source          string
	}{
		{"30 m", "2.5 mm2", 25, 13.5, "BS 7671 appendix 4: 18 mV/A/m x 25 A x 30 m"},
		{"15 m", "1.5 mm2", 6, 2.61, "BS 7671 appendix 4: 29 x 6 x 15"},
		{"30 m", "10 mm2", 37.3, 4.92, "BS 7671 appendix 4: 4.4 x 37.3 x 30"},
		{"25 m", "2.5 mm2", 20, 9.0, "BS 7671 appendix 4: 18 x 20 x 25, 3.91 % of 230 V"},
		{"30 m", "6 mm2", 25, 5.475, "BS 7671 appendix 4: 7.3 x 25 x 30"},
		{"30 m", "4 mm2", 25, 8.25, "BS 7671 appendix 4: 11 x 25 x 30"},
		{"30 m", "16 mm2", 50, 4.2, "BS 7671 appendix 4: 2.8 x 50 x 30"},
		{"30 m", "25 mm2", 80, 4.2, "BS 7671 appendix 4: 1.75 x 80 x 30"},
		{"10 m", "1 mm2", 10, 4.4, "BS 7671 appendix 4: 44 x 10 x 10"},
		{"100 ft", "12 AWG", 10, 3.96, "NEC chapter 9 table 8: 2 x 100 ft x 10 A x 1.98 ohm/kft"},
	} {
		got := float64(Drop(cable(t, c.length, c.section), si.Current(c.amperes)))
		if math.Abs(got-c.want) > .006 {
			t.Errorf("%s of %s at %v A: %.3f V, want %.2f V (%s)", c.length, c.section, c.amperes, got, c.want, c.source)
		}
	}
}

// The formula agrees with the published table of flexible cords at 60 °C
// (BS 7671 table 4F3B, from memory), which is rounded.
func TestDropFormula(t *testing.T) {
	for section, mv := range map[float64]float64{.75: 62, 1: 46, 1.5: 32, 2.5: 19, 4: 12} {
		c := rig.Cable{Length: 1000, Section: rig.Conductor{Section: si.Section(section)}, Warm: 333.15}
		if got := float64(Drop(c, 1)); math.Abs(got/mv-1) > .05 {
			t.Errorf("%v mm2: %.2f mV/A/m by the formula, %v in the table", section, got, mv)
		}
	}
	// 0.017241 ohm mm2/m, 0.00393 per K: 1.197 times at 70 °C, 1.216 at 75 °C.
	cold := Drop(rig.Cable{Length: 10, Section: rig.Conductor{Section: 1.7}, Warm: 293.15}, 1)
	for kelvin, want := range map[si.Temperature]float64{343.15: 1.197, 348.15: 1.216} {
		warm := Drop(rig.Cable{Length: 10, Section: rig.Conductor{Section: 1.7}, Warm: kelvin}, 1)
		if got := float64(warm / cold); math.Abs(got-want) > .001 {
			t.Errorf("copper at %v K: %.4f times the resistance at 20 °C, want %v", float64(kelvin), got, want)
		}
	}
}

// 10, 8 and 6 A leave 3.464 A in the neutral (phasor sum); three equal ones none.
func TestNeutral(t *testing.T) {
	if got := float64(Neutral(10, 8, 6)); math.Abs(got-3.464) > .001 {
		t.Errorf("neutral carries %.4f A, want 3.464 A", got)
	}
	if got := Neutral(7, 7, 7); got != 0 {
		t.Errorf("balanced phases leave %v in the neutral", got)
	}
	if got := Neutral(7, 0, 0); got != 7 {
		t.Errorf("one phase alone leaves %v in the neutral, want 7 A", got)
	}
}

// How breakers compare for surges: makers' tables give C16 = 100, B10 = 37,
// B16 = 60, B20 = 75, C10 = 62, C20 = 125 (an LED luminaire manual), which is
// the threshold of IEC 60898-1 times the rated current.
func TestWithstand(t *testing.T) {
	of := func(text string) float64 {
		var b rig.Breaker
		if err := b.UnmarshalText([]byte(text)); err != nil {
			t.Fatal(err)
		}
		return float64(Withstand(b, .0003).Best)
	}
	for text, want := range map[string]float64{"C16": 100, "B10": 37, "B16": 60, "B20": 75, "C10": 62, "C20": 125} {
		if got := 100 * of(text) / of("C16"); math.Abs(got-want) > 1 {
			t.Errorf("%s takes %.1f %% of the surge of a C16, want %v %%", text, got, want)
		}
	}
	if low := Withstand(rig.Breaker{Curve: "C", Rated: 16}, .0003).Low; low != 80 {
		t.Errorf("C16 trips at once from %v, want 80 A (IEC 60898-1: 5 times)", low)
	}
}

// IEC 60898-1: B trips at once from 3 times its rated current, C from 5, D from
// 10. A surge as long as a half wave of 50 Hz or longer counts as it is, a
// shorter one by equal energy (a model without a source).
func TestWithstandByLength(t *testing.T) {
	for _, c := range []struct {
		curve   string
		seconds float64
		want    float64
	}{{"B", 0, 48}, {"B", .02, 48}, {"B", .0102, 48}, {"B", .01, 48}, {"B", .0025, 96}, {"C", .0025, 160}, {"D", .0001, 1600}, {"", .02, 48}} {
		if got := Withstand(rig.Breaker{Curve: c.curve, Rated: 16}, c.seconds); math.Abs(float64(got.Best)-c.want) > 1e-9*c.want || got.Low > got.Best {
			t.Errorf("%s for %v s: %v, want %v A", c.curve, c.seconds, got, c.want)
		}
	}
}
