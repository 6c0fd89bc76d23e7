package light

import (
	"math"
	"testing"

	"lampblack/si"
)

// A full turn of hue around D65, at u'v' 0.08, by the sets of emitters that
// lamps come with: no drive runs through its range more than 80 times faster
// than the turn goes, and a finer walk finds nothing steeper.
func TestTurnOfHueIsSmooth(t *testing.T) {
	one := func(peak, width, watts float64) XYZ {
		s := led(t, si.Wavelength(peak), si.Wavelength(width))
		return s.XYZ().Times(watts)
	}
	white := func(kelvin, watts float64) XYZ {
		s, err := Phosphor(kelvin)
		if err != nil {
			t.Fatal(err)
		}
		return s.XYZ().Times(watts)
	}
	red, green, blue, amber := one(625, 18, 2), one(520, 33, 1.6), one(460, 20, 2.2), one(595, 16, .6)
	for _, c := range []struct {
		name     string
		emitters []XYZ
	}{
		{"red green blue", []XYZ{red, green, blue}},
		{"with amber", []XYZ{red, green, blue, amber}},
		{"with white", []XYZ{red, green, blue, white(6500, 2)}},
		{"with amber and white", []XYZ{red, green, blue, amber, white(6500, 2)}},
		{"with two whites", []XYZ{red, green, blue, white(3000, 2), white(6500, 2)}},
		{"seven colours", []XYZ{red, green, blue, amber, one(500, 30, 1), one(560, 60, 1.5), white(4000, 2)}},
	} {
		m := mixer(t, c.emitters, nil)
		for _, goal := range []Goal{Brightest, Hue} {
			coarse, fine := steepestTurn(m, goal, 2000), steepestTurn(m, goal, 16000)
			t.Logf("%s, goal %d: %.0f times its range per turn", c.name, goal, fine)
			if fine > 80 || fine > 1.5*coarse+1 {
				t.Errorf("%s, goal %d: a drive runs %.0f times its range per turn (%.0f on a coarser walk)", c.name, goal, fine, coarse)
			}
		}
	}
}

func steepestTurn(m *Mixer, goal Goal, steps int) float64 {
	before, now := make([]float64, m.n), make([]float64, m.n)
	middle := WhiteD65.UV()
	y := .5 * m.Most(middle)
	steepest := 0.0
	for k := range steps + 1 {
		a := 2 * math.Pi * float64(k) / float64(steps)
		c := UV{middle.U + .08*math.Cos(a), middle.V + .064*math.Sin(a)}
		m.Mix(now, c.XY().XYZ(y), goal)
		for i := range now {
			if k > 0 {
				steepest = max(steepest, math.Abs(now[i]-before[i])*float64(steps))
			}
		}
		copy(before, now)
	}
	return steepest
}
