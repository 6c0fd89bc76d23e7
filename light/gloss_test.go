package light

import (
	"math"
	"testing"
)

// Fresnel's equations: ((n-1)/(n+1))² straight on, 4.0 % for 1.5; 8.9 % at 60° (E. Hecht, Optics, from memory); all at
// grazing. Even light: 9.18 % for 1.5, 6.6 % for 1.333 (D. B. Judd, Journal of Research of the NBS 29, 1942, from memory).
func TestFresnel(t *testing.T) {
	for _, c := range []struct{ index, cos, want float64 }{{1.5, 1, .04}, {1.333, 1, .02037}, {1.5, .5, .0892}, {1.5, 0, 1}} {
		if got := (Gloss{Index: c.index}).Share(c.cos); math.Abs(got-c.want) > 3e-4 {
			t.Errorf("index %v at cosine %v: %.4f, want %.4f", c.index, c.cos, got, c.want)
		}
	}
	for index, want := range map[float64]float64{1.5: .0918, 1.333: .066} {
		if got := (Gloss{Index: index}).Mean(); math.Abs(got-want) > 1e-3 {
			t.Errorf("index %v in even light: %.4f, want %.4f", index, got, want)
		}
	}
	if g := Glosses["foil"]; g.Share(.3) != g.Metal || math.Abs(g.Mean()-g.Metal) > 1e-9 || (Gloss{}).Mirrors() || !g.Mirrors() {
		t.Error("foil mirrors its share at every angle")
	}
}

// No material sends back more than falls on it.
func TestGlossyMaterials(t *testing.T) {
	shiny := 0
	for _, p := range Paints() {
		if p.Gloss.Mirrors() {
			shiny++
		}
		for i, r := range p.Reflectance {
			if r+p.Gloss.Mean() > .98 {
				t.Fatalf("%s sends back %.2f at %d nm", p.Name, r+p.Gloss.Mean(), First+i)
			}
		}
	}
	if shiny < 5 {
		t.Errorf("%d glossy materials", shiny)
	}
}
