package cabling

import (
	"math"
	"testing"

	"lampblack/rig"
	"lampblack/si"
)

// The drop that is planned by lies over the published ones and no more than 15 % beside them, so that no
// plan that keeps it breaks them: mV for an ampere and a metre of two-core cable at 70 °C (BS 7671
// appendix 4, table 4D1B, from memory), 12 AWG at 75 °C (NEC chapter 9 table 8: 1.98 ohm per 1000 ft).
func TestDropIsOverTheTables(t *testing.T) {
	for section, mv := range map[si.Section]float64{1: 44, 1.5: 29, 2.5: 18, 4: 11, 6: 7.3, 10: 4.4, 16: 2.8} {
		got := 1000 * drop(rig.Cable{Length: 1, Section: rig.Conductor{Section: section}}, 1)
		if got < mv || got > 1.15*mv {
			t.Errorf("%v: %.2f mV, the table has %v", section, got, mv)
		}
	}
	var twelve rig.Conductor
	if err := twelve.UnmarshalText([]byte("12 AWG")); err != nil {
		t.Fatal(err)
	}
	want := 2 * 10 * 20 / .3048 * 1.98 / 1000 // 20 m, 10 A
	if got := drop(rig.Cable{Length: 20, Section: twelve}, 10); got < want || got > 1.15*want {
		t.Errorf("12 AWG: %.2f V, want a little over %.2f V", got, want)
	}
	warm := rig.Cable{Length: 10, Section: rig.Conductor{Section: 1.5}, Warm: 363.15} // 90 °C
	if ratio := drop(warm, 1) / drop(rig.Cable{Length: 10, Section: rig.Conductor{Section: 1.5}}, 1); math.Abs(ratio-1.0786) > 1e-4 {
		t.Errorf("20 K more make it %v times as much", ratio)
	}
}

// Runs by the model, worked out by hand: over head height along two axes and up; down and up again; and
// straight on one stand.
func TestRuns(t *testing.T) {
	for _, c := range []struct {
		a, b Place
		want float64
	}{
		{Place{0, 0, 3}, Place{2, 1, 3.5}, 1.1*3.5 + 1},
		{Place{0, 0, 3}, Place{2, 1, 1}, 1.1*7 + 1},
		{Place{0, 0, .5}, Place{.4, .2, 1.5}, 1.1*1.6 + 1},
		{Place{0, 0, -.2}, Place{5, 0, 0}, 1.1*5 + 1},
	} {
		if got := float64(Run(c.a, c.b)); math.Abs(got-c.want) > 1e-9 || Run(c.b, c.a) != Run(c.a, c.b) {
			t.Errorf("%v to %v: %v m, want %v m", c.a, c.b, got, c.want)
		}
	}
}

// Cables that are owned: read, printed, joined, and counted.
func TestStock(t *testing.T) {
	s, err := ReadStock("10 m, 4 of 5, 2ft")
	if err != nil || s.String() != "0.6096 m, 4 of 5 m, 10 m" {
		t.Fatal(s, err)
	}
	if again, err := ReadStock(s.String()); err != nil || again.String() != s.String() {
		t.Error(again, err)
	}
	for run, want := range map[si.Length]string{.5: "[0.6096 m]", .7: "[5 m]", 10: "[10 m]", 10.1: "[10 m 0.6096 m]", 27: "[10 m 10 m 10 m]"} {
		if got := s.Pieces(run); len(got) == 0 || si.Length(total(got)) < run || sayAll(got) != want {
			t.Errorf("%v m: %s, want %s", run, sayAll(got), want)
		}
	}
	few, _ := ReadStock("2 of 5 m, 1 of 10 m")
	if short := few.shortage([]si.Length{5, 5, 5, 10}); short[5] != 1 || short[10] != 0 {
		t.Errorf("%v are short", short)
	}
	if short := few.shortage([]si.Length{5, 5, 5}); len(short) > 0 { // one of 10 m does for 5 m
		t.Errorf("%v are short", short)
	}
	for _, bad := range []string{"", "x", "0", "-3 m", "1000 m", "0 of 3 m", "a of 3", "3, 3 m", "nan", "inf m", "1 of"} {
		if s, err := ReadStock(bad); err == nil {
			t.Errorf("%q is %v", bad, s)
		}
	}
}

func sayAll(l []si.Length) string {
	out := "["
	for i, v := range l {
		if i > 0 {
			out += " "
		}
		out += v.String()
	}
	return out + "]"
}
