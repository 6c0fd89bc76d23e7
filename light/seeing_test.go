package light

import (
	"math"
	"testing"

	"lampblack/si"
)

// By how many per cent mesopic luminance differs from photopic: the table of CIE 191:2010 (its
// annex; from memory), to its rounding.
func TestMesopicTable(t *testing.T) {
	photopic := []float64{.01, .03, .1, .3, 1, 3, 4.5}
	for _, row := range []struct {
		ratio float64
		want  [7]float64
	}{
		{.25, [7]float64{-75, -52, -29, -18, -9, -2, 0}},
		{.45, [7]float64{-55, -34, -21, -13, -6, -2, 0}},
		{.65, [7]float64{-31, -20, -13, -8, -4, -1, 0}},
		{.85, [7]float64{-12, -8, -5, -3, -2, 0, 0}},
		{1.05, [7]float64{4, 3, 2, 1, 1, 0, 0}},
		{1.25, [7]float64{18, 13, 8, 5, 3, 1, 0}},
		{1.45, [7]float64{32, 22, 15, 9, 5, 1, 0}},
		{1.65, [7]float64{45, 32, 21, 13, 7, 2, 0}},
		{1.85, [7]float64{57, 40, 27, 17, 9, 2, 0}},
		{2.05, [7]float64{69, 49, 32, 21, 11, 3, 0}},
		{2.25, [7]float64{80, 57, 38, 24, 12, 3, 0}},
		{2.45, [7]float64{91, 65, 43, 28, 14, 4, 0}},
		{2.65, [7]float64{101, 73, 49, 31, 16, 4, 1}},
	} {
		for i, p := range photopic {
			l, _ := Mesopic(si.Luminance(p), si.Luminance(p*row.ratio))
			if off := 100 * (float64(l)/p - 1); math.Abs(off-row.want[i]) > 1 {
				t.Errorf("S/P %v at %v cd/m²: %.1f %%, want %v", row.ratio, p, off, row.want[i])
			}
		}
	}
}

// The three ranges of Adrian's functions meet within 2 %, which figures remembered wrongly
// would not; small things need the same light in all (Ricco's law), large ones in bright light
// a contrast of one to two hundredths (Weber's law; Blackwell's observers, J. Opt. Soc. Am. 36,
// 624, 1946, saw .3 to 1 % half of the time, from memory), and in the dark the eye sees from
// some 1e-4 cd/m² on for the largest (the same, its threshold without a background being
// 3e-6 cd/m² for 121 minutes of arc and a quarter hour of search, from memory).
func TestThreshold(t *testing.T) {
	minutes := func(m float64) si.Angle { return si.Angle(m / 60 * math.Pi / 180) }
	for _, joint := range []float64{.6, .00418} {
		for _, size := range []float64{1, 10, 60, 300} {
			below, above := Threshold(si.Luminance(joint*.9999), minutes(size), 25), Threshold(si.Luminance(joint*1.0001), minutes(size), 25)
			near(t, "joint", float64(above/below), 1, .022)
		}
	}
	for _, lb := range []si.Luminance{.001, .1, 10} {
		near(t, "Ricco", float64(Threshold(lb, minutes(.1), 25)/Threshold(lb, minutes(.2), 25)), 4, .15)
	}
	for _, lb := range []si.Luminance{10, 100, 1000} {
		if c := Threshold(lb, minutes(200), 25) / lb; c < .003 || c > .02 {
			t.Errorf("large on %v: a contrast of %v", lb, c)
		}
	}
	if l := Threshold(0, minutes(121), 25); l < 3e-6 || l > 3e-4 {
		t.Errorf("in the dark: %v", l)
	}
	last := si.Luminance(0)
	for _, age := range []float64{0, 23, 40, 63.99, 64.01, 70, 75, 200} {
		l := Threshold(.1, minutes(10), age)
		if l < last*.985 {
			t.Errorf("at %v years %v, younger eyes %v", age, l, last)
		}
		last = l
	}
	near(t, "of 75 over 23 years", float64(Threshold(.1, minutes(10), 75)/Threshold(.1, minutes(10), 23)), ((75-56.6)*(75-56.6)/116.3+1.43)/(16./2160+.99), 1e-9)
}

// What is to be seen for what it is needs more than what is just detected, the more the
// smaller and the brighter what is behind; and colours are not seen by rods, however large.
func TestLeastSeen(t *testing.T) {
	for _, lb := range []si.Luminance{0, 1e-3, .1, 10} {
		last := si.Luminance(math.Inf(1))
		for _, across := range []si.Angle{.001, .01, .1, 1} {
			e := LeastSeen(lb, across)
			if !(e.Low > 0 && e.Low < e.Best && e.Best <= e.High && e.High <= last && e.Best >= .005) {
				t.Errorf("on %v, %v across: %v", lb, across, e)
			}
			last = e.High
		}
	}
	if a, b := LeastSeen(.01, .02), LeastSeen(1, .02); b.Best < 3*a.Best {
		t.Errorf("on .01 cd/m² %v, on 1 cd/m² %v", a.Best, b.Best)
	}
	if l := LeastSeen(math.MaxFloat64, -1); math.IsNaN(float64(l.Best)) || math.IsInf(float64(l.Best), 0) {
		t.Errorf("of nonsense %v", l)
	}
}
