package light

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"lampblack/si"
)

// region is where the colour of a fluorescent paint must lie, and the least luminance factor,
// in all and by its glow alone, in daylight; and the dominant wavelengths of its glow under
// black light, complementary ones negative.
type region struct {
	corners    []XY // CIE 1931 x, y under D65
	least, own float64
	glow       [2]float64
	source     string
}

// Corners and least luminance factors of the daytime colours of fluorescent safety materials:
// 23 CFR 655, subpart F, appendix (United States; the same in ASTM D4956 for the sheeting, and
// measured as ASTM E2301 says); red as ISO 20471 has it for clothing; blue is that of ordinary
// safety blue, as no standard has a fluorescent one. All from memory.
//
// Under black light the glow is judged by the dominant wavelengths that a colour name stands
// for: Kelly, Color designations for lights, J. Opt. Soc. Am. 33, 627 (1943), from memory: blue
// to 482 nm, greenish blue to 487, blue-green to 493, bluish green to 498, green to 530,
// yellowish green to 558, yellow-green to 570, greenish yellow to 575, yellow to 580, yellowish
// orange to 586, orange to 596, reddish orange to 620, then red and, with complementary
// wavelengths from 494 nm on, purplish red and pink. Safety orange and red themselves lie in
// what Kelly calls orange and reddish orange: the regions' corners have dominant wavelengths of
// 584 to 606 nm and of 601 to 620 nm.
func regions() map[string]region {
	const cfr, iso, kelly = "23 CFR 655 F", "ISO 20471", "Kelly 1943"
	return map[string]region{
		"fluorescent blue":         {[]XY{{.140, .035}, {.244, .210}, {.190, .255}, {.065, .216}}, 0, 0, [2]float64{450, 482}, "ASTM D4956, blue"},
		"fluorescent cyan":         {nil, 0, 0, [2]float64{482, 498}, kelly},
		"fluorescent green":        {[]XY{{.210, .770}, {.232, .656}, {.320, .590}, {.320, .675}}, .20, .12, [2]float64{498, 558}, cfr},
		"fluorescent yellow-green": {[]XY{{.387, .610}, {.369, .546}, {.428, .496}, {.460, .540}}, .60, .40, [2]float64{530, 570}, cfr},
		"fluorescent yellow":       {[]XY{{.479, .520}, {.446, .483}, {.512, .421}, {.557, .442}}, .45, .20, [2]float64{570, 580}, cfr},
		"fluorescent orange":       {[]XY{{.583, .416}, {.535, .400}, {.595, .351}, {.645, .355}}, .25, .15, [2]float64{584, 606}, cfr},
		"fluorescent red":          {[]XY{{.655, .345}, {.570, .340}, {.595, .315}, {.690, .310}}, .25, 0, [2]float64{601, 620}, iso},
		"fluorescent pink":         {[]XY{{.450, .270}, {.590, .350}, {.644, .290}, {.536, .230}}, .25, .15, [2]float64{-494, -530}, cfr},
	}
}

// contains tells whether a chromaticity lies in the region.
func (r *region) contains(c XY) bool {
	var hull []UV
	for _, p := range r.corners {
		hull = append(hull, UV{p.X, p.Y})
	}
	return r.corners == nil || GamutOf(hull).Contains(UV{c.X, c.Y})
}

// dominant is the wavelength of the pure colour that makes c with equal-energy white, or less
// the one that makes white with c where there is none.
func dominant(c XY) float64 {
	angle := math.Atan2(c.Y-1./3, c.X-1./3)
	for _, sign := range []float64{1, -1} {
		best, least := 0, math.Inf(1)
		for nm := 420; nm <= 680; nm++ {
			p := XYZ{barX[nm-First], barY[nm-First], barZ[nm-First]}.XY()
			off := math.Abs(math.Remainder(math.Atan2(sign*(p.Y-1./3), sign*(p.X-1./3))-angle, 2*math.Pi))
			if off < least {
				best, least = nm, off
			}
		}
		if least < .06 { // half a nanometre, where the locus turns most
			return sign * float64(best)
		}
	}
	return 0
}

// nearUV are black lights of four kinds, as wide as measured ones (photobiologyLEDs).
func nearUV(t testing.TB) (names []string, all []Spectrum) {
	for _, l := range []struct{ peak, width float64 }{{365, 10}, {385, 13}, {395, 14}, {405, 14}} {
		names = append(names, fmt.Sprintf("%.0f nm", l.peak))
		all = append(all, led(t, si.Wavelength(l.peak), si.Wavelength(l.width)))
	}
	return names, all
}

// Every fluorescent paint has in daylight the colour that its name is given by standards, with
// as much light of its own as they ask for, and glows under black light of every kind in the
// colour of its name. With -v the table of docs/measured/light.md is printed.
func TestPaintsHaveTheColourOfTheirName(t *testing.T) {
	day, err := Illuminant("D65")
	if err != nil {
		t.Fatal(err)
	}
	names, uv := nearUV(t)
	all := regions()
	var table strings.Builder
	fmt.Fprintf(&table, "| paint | daylight x, y | Y | of it glow | peak | region |")
	for _, n := range names {
		fmt.Fprintf(&table, " %s: x, y | nm | cd/m² | yield |", n)
	}
	table.WriteString("\n")
	for _, p := range Paints() {
		r, ok := all[p.Name]
		if !ok {
			continue
		}
		delete(all, p.Name)
		if err := p.Check(); err != nil {
			t.Error(err)
		}
		whole, glow := p.Whole(&day), p.Glow(&day)
		c, y, own := whole.XYZ().XY(), float64(whole.LuminousFlux()/day.LuminousFlux()), float64(glow.LuminousFlux()/day.LuminousFlux())
		peak := 0.0
		for i := range whole {
			peak = max(peak, whole[i]/day[i])
		}
		if !r.contains(c) || y < r.least || own < r.own {
			t.Errorf("%s in daylight: x %.3f y %.3f, Y %.2f of which %.2f glow, not what %s has: %v, %v, %v", p.Name, c.X, c.Y, y, own, r.source, r.corners, r.least, r.own)
		}
		// More than three times what falls on it at any wavelength has not been seen of a
		// paint (from memory), and no dye gives more photons than it takes up.
		if peak > 3 || y > 1.1 {
			t.Errorf("%s in daylight: a radiance factor of %.2f, Y %.2f", p.Name, peak, y)
		}
		if d := dominant(c); r.corners == nil && (d < r.glow[0] || d > r.glow[1]) {
			t.Errorf("%s in daylight: dominant wavelength %v", p.Name, d)
		}
		fmt.Fprintf(&table, "| %s | %.3f, %.3f | %.2f | %.2f | %.2f | %s |", p.Name, c.X, c.Y, y, own, peak, r.source)
		for i := range uv {
			glow := p.Glow(&uv[i])
			c, yield := glow.XYZ().XY(), p.Yield(&uv[i])
			d := dominant(c)
			low, high := min(r.glow[0], r.glow[1]), max(r.glow[0], r.glow[1])
			if d < low || d > high || math.Hypot(c.X-1./3, c.Y-1./3) < .1 {
				t.Errorf("%s under %s: x %.3f y %.3f, dominant wavelength %v, want %v", p.Name, names[i], c.X, c.Y, d, r.glow)
			}
			// The dyes' yields in solution are .5 to 1, and are an upper limit for paint.
			if yield < .1 || yield > .6 {
				t.Errorf("%s under %s: a yield of %.2f", p.Name, names[i], yield)
			}
			fmt.Fprintf(&table, " %.3f, %.3f | %.0f | %.1f | %.2f |", c.X, c.Y, d, float64(Luminance(&glow)), yield)
		}
		table.WriteString("\n")
	}
	if len(all) > 0 {
		t.Errorf("no paints: %v", all)
	}
	t.Log("\n" + table.String())
}

// White cloth and paper with a brightener are whiter than white: their CIE whiteness
// (CIE 015:2018, section 9.4; W = Y + 800(xₙ-x) + 1700(yₙ-y), for tints of -4 to 2) is that of
// washed white cotton, 120 to 160, and office paper, 130 to 170 (from memory); without, as
// cotton's, under 90.
func TestWhiteness(t *testing.T) {
	day, err := Illuminant("D65")
	if err != nil {
		t.Fatal(err)
	}
	white := day.XYZ().XY()
	for name, want := range map[string][2]float64{"optical white cloth": {120, 160}, "optical white paper": {130, 170}, "white cloth": {50, 90}} {
		p, err := PaintNamed(name)
		if err != nil {
			t.Fatal(err)
		}
		whole := p.Whole(&day)
		c, y := whole.XYZ().XY(), 100*float64(whole.LuminousFlux()/day.LuminousFlux())
		w := y + 800*(white.X-c.X) + 1700*(white.Y-c.Y)
		tint := 1000*(white.X-c.X) - 650*(white.Y-c.Y)
		t.Logf("%s: whiteness %.0f, tint %.1f, Y %.1f", name, w, tint, y)
		if w < want[0] || w > want[1] || w > 5*y-280 || tint < -4 || tint > 2 {
			t.Errorf("%s: whiteness %.0f, tint %.1f, Y %.1f, want %v", name, w, tint, y, want)
		}
	}
}
