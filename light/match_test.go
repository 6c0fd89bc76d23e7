package light

import (
	"math/rand/v2"
	"testing"

	"lampblack/si"
)

// Three unlike types: red, green, blue; with amber and a cool white; with a
// warm white, mint and violet. Peaks as LEDs of these names have them.
func unlikeTypes(t testing.TB) []*Mixer {
	t.Helper()
	white := func(kelvin, watts float64) XYZ {
		s, err := Phosphor(kelvin)
		if err != nil {
			t.Fatal(err)
		}
		return s.XYZ().Times(watts)
	}
	one := func(s Spectrum, watts float64) XYZ { return s.XYZ().Times(watts) }
	return []*Mixer{
		mixer(t, []XYZ{one(led(t, 625, 18), 2), one(led(t, 520, 33), 1.6), one(led(t, 465, 20), 2.2)}, nil),
		mixer(t, []XYZ{one(led(t, 630, 16), 1.2), one(led(t, 525, 34), .9), one(led(t, 455, 19), 1.6), one(led(t, 593, 16), .5), white(6500, 1.5)}, nil),
		mixer(t, []XYZ{one(led(t, 618, 20), 3), one(led(t, 510, 30), 2), one(led(t, 470, 24), 2), white(3000, 2), one(led(t, 425, 15), 1)}, nil),
	}
}

// On 1,000 random targets, in and out of the gamuts, and for each goal, three
// unlike types agree within CIEDE2000 1.
func TestUnlikeTypesAgree(t *testing.T) {
	types := unlikeTypes(t)
	r := rand.New(rand.NewPCG(4, 10))
	worst := 0.0
	for range 1000 {
		target := randomChromaticity(r).XYZ(50 + 600*r.Float64())
		for _, goal := range []Goal{Brightest, Hue} {
			match, err := Together(types, target, goal)
			if err != nil {
				t.Fatal(err)
			}
			worst = max(worst, match.Spread)
			if match.Spread > 1 || !match.Shared {
				t.Errorf("target %v: spread %v", target, match.Spread)
			}
			if goal == Hue && match.Colour.Y > target.Y*1.0001 {
				t.Errorf("target %v: brighter than asked: %v", target, match.Colour)
			}
		}
	}
	t.Logf("worst spread: CIEDE2000 %.4f", worst)
}

func TestCommonGamut(t *testing.T) {
	types := unlikeTypes(t)
	common := CommonGamut(types)
	r := rand.New(rand.NewPCG(4, 11))
	for range 2000 {
		c := randomChromaticity(r).UV()
		all := true
		clear := true // not within a hair of an outline
		for _, m := range types {
			all = all && m.Gamut().Contains(c)
			clear = clear && m.Gamut().at(m.Gamut().foot(c), UV{}).Distance(c) > 1e-5
		}
		if clear && common.Contains(c) != all {
			t.Fatalf("%v: in the common gamut %v, in all gamuts %v", c, common.Contains(c), all)
		}
	}
}

// Types that share nothing are told so, and each comes near the middle.
func TestTypesWithoutACommonColour(t *testing.T) {
	red := mixer(t, []XYZ{led2(t, 630).Times(2)}, nil)
	blue := mixer(t, []XYZ{led2(t, 455).Times(2)}, nil)
	match, err := Together([]*Mixer{red, blue}, WhiteD65.XYZ(50), Hue)
	if err != nil {
		t.Fatal(err)
	}
	if match.Shared || match.Spread < 10 {
		t.Errorf("red and blue share a colour: %+v", match)
	}
	pair := mixer(t, []XYZ{led2(t, 630), led2(t, 455)}, nil)
	match, err = Together([]*Mixer{pair, red}, WhiteD65.XYZ(50), Hue)
	if err != nil {
		t.Fatal(err)
	}
	if !match.Shared || match.Spread > 1 {
		t.Errorf("red and magenta do not share red: %+v", match)
	}
	if _, err := Together(nil, WhiteD65.XYZ(1), Hue); err == nil {
		t.Error("no types match")
	}
	if _, err := Together([]*Mixer{red}, XYZ{}, Hue); err == nil {
		t.Error("black is matched")
	}
}

func led2(t testing.TB, peak int) XYZ {
	s := led(t, si.Wavelength(peak), 20)
	return s.XYZ()
}

func BenchmarkTogether(b *testing.B) {
	types := unlikeTypes(b)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Together(types, WhiteD65.XYZ(200), Hue); err != nil {
			b.Fatal(err)
		}
	}
}
