package light

import "testing"

// What share of daylight and of lamplight the materials give back, as tables for
// lighting engineers have it (IES Lighting Handbook and SLL Code for Lighting,
// "reflectances of building materials"; the figures from memory).
func TestLuminousReflectance(t *testing.T) {
	day, err := Illuminant("D65")
	if err != nil {
		t.Fatal(err)
	}
	lamp, err := Illuminant("A")
	if err != nil {
		t.Fatal(err)
	}
	for name, want := range map[string][2]float64{
		"black velvet": {.003, .006}, "black cloth": {.02, .05}, "black paint": {.03, .06}, "black dance floor": {.04, .06},
		"grey paint": {.28, .32}, "grey cloth": {.25, .3}, "dark grey": {.1, .1}, "grey": {.3, .3}, "light grey": {.5, .5},
		"white paint": {.8, .88}, "white cloth": {.78, .85}, "painted plaster white": {.75, .85}, "cream plaster": {.65, .8},
		"concrete": {.25, .35}, "brick": {.12, .25}, "wood floor": {.28, .4}, "timber floor": {.2, .35}, "light wood": {.4, .6}, "dark wood": {.08, .16},
		"shiny floor": {.24, .39}, "shiny black floor": {.02, .04}, "dull paint": {.28, .32}, "dull black paint": {.02, .04}, "dull white paint": {.75, .85},
		"carpet": {.08, .15}, "curtain": {.15, .15}, "red velvet": {.03, .12}, "skin": {.3, .42}, "light skin": {.35, .5}, "dark skin": {.08, .15},
	} {
		p, err := PaintNamed(name)
		if err != nil {
			t.Fatal(err)
		}
		share := func(e Spectrum) float64 {
			back := p.Reflected(&e)
			return float64(back.LuminousFlux() / e.LuminousFlux())
		}
		if d := share(day); d < want[0]-1e-9 || d > want[1]+1e-9 {
			t.Errorf("%s gives back %.3f of daylight, want %v to %v", name, d, want[0], want[1])
		}
		// Nothing here is blue: lamplight, which is redder, finds at least as much.
		if d, l := share(day), share(lamp); l < d-1e-9 || l > 1.35*d {
			t.Errorf("%s gives back %.3f of daylight and %.3f of lamplight", name, d, l)
		}
		for nm := First; nm < Last; nm++ {
			if a, b := p.Reflectance[nm-First], p.Reflectance[nm+1-First]; b < a-1e-12 {
				t.Fatalf("%s gives back less at %d nm (%v) than at %d (%v)", name, nm+1, b, nm, a)
			}
		}
	}
	if n := len(plainMaterials); n != 33 { // water, foil and mirror scatter next to nothing
		t.Errorf("%d materials, and 30 are looked at beside three that mirror", n)
	}
}

// White pigment (titanium dioxide in its rutile form) takes up ultraviolet: a
// white wall is dark at 365 nm, where cotton is not; red velvet is red.
func TestColoursOfMaterials(t *testing.T) {
	for _, c := range []struct {
		name      string
		low, high int
		times     float64
	}{
		{"white paint", 365, 555, 10}, {"painted plaster white", 365, 555, 10}, {"cream plaster", 365, 555, 10}, {"grey paint", 365, 555, 4},
		{"red velvet", 550, 650, 5}, {"brick", 500, 650, 2.5}, {"skin", 450, 650, 2}, {"wood floor", 450, 650, 2},
	} {
		p, err := PaintNamed(c.name)
		if err != nil {
			t.Fatal(err)
		}
		if low, high := p.Reflectance[c.low-First], p.Reflectance[c.high-First]; high < c.times*low {
			t.Errorf("%s gives back %v at %d nm and %v at %d nm", c.name, low, c.low, high, c.high)
		}
	}
	if p, _ := PaintNamed("white cloth"); p.Reflectance[365-First] < .4 {
		t.Errorf("cotton gives back %v at 365 nm", p.Reflectance[365-First])
	}
}
