package light

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// A coat without dye that hides what is under it reflects as Kubelka and Munk's formula has
// it, R = 1 + K/S - √((K/S)² + 2 K/S) (Z. Tech. Phys. 12, 593, 1931); a clear one shows what is
// under it; and a skin makes of R what Saunderson's formula has it (J. Opt. Soc. Am. 32, 727,
// 1942): k₁ + (1-k₁)(1-k₂)R/(1-k₂R).
func TestPlainCoat(t *testing.T) {
	for _, c := range []struct{ scatter, density float64 }{{200, .5}, {60, 3}, {30, 10}} {
		grey := colourant{absorption: Grey(1)}
		for _, s := range []skin{{}, resinSkin} {
			thick := coat{scatter: c.scatter, tints: []inCoat{{grey, c.density}}, under: Grey(.8), skin: s}
			got, table := thick.paint()
			ratio := (2*math.Ln10*c.density + 1e-4) / c.scatter
			r := 1 + ratio - math.Sqrt(ratio*ratio+2*ratio)
			near(t, "reflectance", got.At(500), s.outer+(1-s.outer)*(1-s.inner)*r/(1-s.inner*r), 1e-3)
			if e := Grey(1); float64(ptr(table.glow(&e)).Power()) != 0 {
				t.Error("a coat without dyes glows")
			}
		}
	}
	clear := coat{scatter: .001, under: Grey(.8)}
	got, _ := clear.paint()
	near(t, "what is under a clear coat", got.At(500), .8, 1e-3)
}

func ptr(s Spectrum) *Spectrum { return &s }

// What a coat takes up of a photon that is sent out in it, what leaves it and what goes down
// into the ground are the whole photon; so are the three of one that falls on it.
func TestCoatKeepsPhotons(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		of := func(name string, low, high float64) float64 { return rapid.Float64Range(low, high).Draw(t, name) }
		grey := colourant{absorption: Grey(1)}
		c := coat{scatter: of("scatter", .1, 4), tints: []inCoat{{grey, of("density", 0, 1.5)}}, under: Grey(of("under", 0, 1)), skin: skin{of("outer", 0, .2), of("inner", 0, .8)}}
		f, ground := c.at(40), c.under[0]
		// What goes into the ground is the net flux, which is u(1-R)/(1+R) there; u at the
		// bottom is the mean of a cell that is next to nothing.
		end := cell{1 - 1e-7, 1}
		lost := func(u float64) float64 { return u / end.thick() * (1 - ground) / (1 + ground) }
		scale, back := f.outside()
		from := slice(rapid.IntRange(0, cells-1).Draw(t, "from"))
		outer, inner := back+lost(scale*f.down(end)), f.leaves(from)+lost(f.reached(end, cell{from.top, min(from.bottom, end.top)}))
		for i := range cells {
			outer += f.absorb * scale * f.down(slice(i))
			inner += f.absorb * f.reached(slice(i), from)
		}
		if math.Abs(outer-1) > 1e-4 || math.Abs(inner-1) > 1e-4 {
			t.Fatalf("of one photon from outside %v are found, of one from inside %v", outer, inner)
		}
	})
}

// The two ways that light takes through a coat are one (Helmholtz): what leaves of an even
// source at a depth is half of what a source outside brings there, but for the skin.
func TestCoatIsTheSameBothWays(t *testing.T) {
	c := coat{scatter: 1.3, tints: []inCoat{{colourant{absorption: Grey(1)}, .4}}, under: Grey(.6), skin: skin{0, .5}}
	f := c.at(10)
	scale, _ := f.outside()
	for i := range cells {
		z := slice(i)
		near(t, "out over in", f.leaves(z)*z.thick()/(scale*f.down(z)), .5*(1-.5), 1e-9)
	}
}

// Denser coats glow redder, since they take their own bluest light up again, and no dye gives
// back more than its yield. A thin one glows as the bare dye.
func TestReabsorption(t *testing.T) {
	e := led(t, 500, 15)
	last := 0.0
	for _, density := range []float64{1e-3, .3, 1, 3, 10} {
		c := coat{scatter: .5, under: Grey(0), dyes: []inCoat{{rhodamine6G.colourant(1), density}}, skin: resinSkin}
		p := Paint{Name: "one dye"}
		p.Reflectance, p.Fluorescence = c.paint()
		if err := p.Check(); err != nil {
			t.Error(err)
		}
		glow := p.Glow(&e)
		mean := float64(glow.Mean())
		if last == 0 {
			near(t, "thin", mean, float64(ptr(rhodamine6G.emission()).Mean()), 1)
		} else if mean < last+.2 {
			t.Errorf("density %v: mean of %v nm, after %v nm", density, mean, last)
		}
		last = mean
		if y := p.Yield(&e); y > rhodamine6G.yield {
			t.Errorf("density %v: a yield of %v", density, y)
		}
	}
	if base := float64(ptr(rhodamine6G.emission()).Mean()); last < base+8 {
		t.Errorf("a dense coat glows at %v nm, the dye at %v nm", last, base)
	}
}

// A red dye that takes up next to no ultraviolet glows under it when another dye hands it on.
func TestHandedOn(t *testing.T) {
	e := led(t, 385, 12)
	red := func(dyes ...inCoat) float64 {
		c := coat{scatter: .5, under: Grey(.8), skin: resinSkin, dyes: dyes}
		_, b := c.paint()
		s := b.glow(&e)
		return float64(s.At(590))
	}
	rb, c6, c151 := inCoat{rhodamineB.colourant(1), .1}, inCoat{coumarin6.colourant(1), 3}, inCoat{coumarin151.colourant(1), 1}
	if alone, fed := red(rb), red(rb, c6, c151); fed < 3*alone {
		t.Errorf("rhodamine alone gives %v at 590 nm, with coumarin %v", alone, fed)
	}
}
