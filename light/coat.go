package light

import (
	"math"

	"lampblack/si"
)

// coat is a layer of paint: dyes and plain pigments in a clear resin, spread over something
// white. What it gives back is worked out from two fluxes, one down and one up (Kubelka and
// Munk, Z. Tech. Phys. 12, 593, 1931), for every wavelength that falls on it, and again from
// inside for every wavelength that its dyes send out:
//
//	u'' = a² u - (K + 2S) s,   a² = K (K + 2S),   u = down + up
//
// with K what is absorbed and S what is scattered over the thickness of the coat, which is 1,
// and s what is sent out there. A photon that a dye takes up it gives back, with its yield, in
// all directions at its own wavelengths; the coat may take it up again, the same dye or a
// redder one, and so on to the end. That shifts the glow to the red the more the thicker the
// coat, and lets a dye that takes up ultraviolet light one that does not.
type coat struct {
	dyes    []inCoat
	tints   []inCoat // plain pigments; they have no yield
	scatter float64  // S
	under   Spectrum // reflectance of what it is spread over
	skin    skin
}

// inCoat is something that absorbs, at its density: the decadic absorbance of the coat at the
// maximum, for a beam straight through it.
type inCoat struct {
	colour  colourant
	density float64
}

// colourant is a dye or a pigment: its absorption for a maximum of 1, and what it sends out.
type colourant struct {
	absorption, emission Spectrum
	yield                float64 // photons
}

// skin is the surface of a coat: what it throws back of the light that falls on it, and of
// the diffuse light inside. Fibres have none.
type skin struct{ outer, inner float64 }

// resinSkin is that of a resin with an index of 1.5: 4 % straight from outside (Fresnel), 60 %
// of diffuse light from inside (Saunderson, J. Opt. Soc. Am. 32, 727, 1942, and .596 by Judd
// for 1.5; from memory).
var resinSkin = skin{.04, .6}

// The grid of the computation: every fine nanometres. The dyes' bands are ten times as wide.
const (
	fine    = 5
	samples = (Last-First)/fine + 1
)

func sampleAt(i int) float64 { return float64(First + fine*i) }

// cells is how many slices the coat is cut into. In each a dye sends out evenly; they are
// thinner toward the top, where a dense coat takes up most.
const cells = 10

// cell is a slice of the coat.
type cell struct{ top, bottom float64 }

func slice(i int) cell {
	edge := func(i int) float64 { return float64(i*i) / (cells * cells) }
	return cell{edge(i), edge(i + 1)}
}

func (c cell) thick() float64 { return c.bottom - c.top }

// flux is the coat at one wavelength.
type flux struct {
	absorb, a, p float64 // K, a, and K/a: net over total of a flux that fades away
	per          float64 // K + 2S
	top, bottom  float64 // what comes back of a fading flux at either face
	skin         skin
}

// at is the coat at one sample of the grid.
func (c *coat) at(i int) flux {
	nm := First + fine*i
	absorb := 1e-4 // resin; and keeps a from 0
	for _, d := range c.dyes {
		absorb += d.takes(nm)
	}
	for _, d := range c.tints {
		absorb += d.takes(nm)
	}
	f := flux{absorb: absorb, per: absorb + 2*c.scatter, skin: c.skin}
	f.a = math.Sqrt(absorb * f.per)
	f.p = f.a / f.per
	f.top, f.bottom = f.back(c.skin.inner), f.back(c.under[nm-First])
	return f
}

// takes is a colourant's part in K. Diffuse light goes twice as far through a coat as
// straight light does.
func (d *inCoat) takes(nm int) float64 {
	return 2 * math.Ln10 * d.density * d.colour.absorption[nm-First]
}

// back is what a face of a reflectance makes of a fading flux.
func (f *flux) back(reflectance float64) float64 {
	lost, kept := f.p*(1+reflectance), 1-reflectance
	return (lost - kept) / (lost + kept)
}

// fade is the integral over a cell of what fades from the top, and of what fades from the
// bottom.
func (f *flux) fade(c cell) (top, bottom float64) {
	through := -math.Expm1(-f.a*c.thick()) / f.a
	return math.Exp(-f.a*c.top) * through, math.Exp(-f.a*(1-c.bottom)) * through
}

// down is the integral of light that fades from the top and comes back from the bottom.
func (f *flux) down(c cell) float64 {
	top, bottom := f.fade(c)
	return top + f.bottom*math.Exp(-f.a)*bottom
}

// outside is what u is scaled by for one W/m² on the coat, and what comes back of it.
func (f *flux) outside() (scale, reflected float64) {
	echo := f.bottom * math.Exp(-2*f.a)
	u, v := 1+echo, f.p*(1-echo)
	scale = 2 * (1 - f.skin.outer) / (u*(1-f.skin.inner) + v*(1+f.skin.inner))
	return scale, f.skin.outer + (1-f.skin.inner)*scale*(u-v)/2
}

// reached is the integral of u over a cell for one W/m² sent out evenly in another:
//
//	u(z, z') = (K+2S)/2a · (e^(-a|z-z'|) + t e^(-a(z+z')) + b e^(-a(2-z-z')) + t b e^(-a(2-|z-z'|))) / (1 - t b e^(-2a))
//
// with t and b what comes back at the top and the bottom.
func (f *flux) reached(in, from cell) float64 {
	inTop, inBottom := f.fade(in)
	fromTop, fromBottom := f.fade(from)
	sum := f.apart(in, from, -1) + f.top*inTop*fromTop + f.bottom*inBottom*fromBottom
	sum += f.top * f.bottom * math.Exp(-2*f.a) * f.apart(in, from, 1)
	return f.per / (2 * f.a) * sum / (1 - f.top*f.bottom*math.Exp(-2*f.a)) / from.thick()
}

// apart is the integral of e^(±a|z-z'|) over two cells, which are one or lie apart.
func (f *flux) apart(c, d cell, sign float64) float64 {
	a := sign * f.a
	if c == d {
		return 2 * (math.Expm1(a*c.thick()) - a*c.thick()) / (a * a)
	}
	gap := max(c.top-d.bottom, d.top-c.bottom)
	return math.Exp(a*gap) * math.Expm1(a*c.thick()) * math.Expm1(a*d.thick()) / (a * a)
}

// leaves is what leaves the coat of one W/m² sent out evenly in a cell.
func (f *flux) leaves(from cell) float64 {
	up := f.per / (2 * f.a) * (1 + f.top) * f.down(from) / (1 - f.top*f.bottom*math.Exp(-2*f.a)) / from.thick()
	return up * (1 - f.skin.inner) / (1 + f.skin.inner)
}

// paint works the coat out: what it reflects, and what it gives back at other wavelengths.
func (c *coat) paint() (Spectrum, *Bispectral) {
	all := make([]flux, samples)
	var nms []si.Wavelength
	var reflected []float64
	for i := range all {
		all[i] = c.at(i)
		_, r := all[i].outside()
		nms, reflected = append(nms, si.Wavelength(sampleAt(i))), append(reflected, r)
	}
	xs := floats(nms)
	var s Spectrum
	for i := range s {
		s[i] = interpolate(xs, reflected, float64(First+i))
	}
	sent := c.sent(all)
	leaving := c.leaving(all)
	b := &Bispectral{Excitation: nms, Emission: nms}
	for i := range all {
		row := make([]float64, samples)
		for k, photons := range sent[i] {
			for j := range row {
				row[j] += photons * sampleAt(i) * leaving[k][j]
			}
		}
		b.Factors = append(b.Factors, row)
	}
	return s, b
}

// leaving is what leaves the coat, in W/nm at each sample, of a photon times its wavelength
// that each dye sends out in each cell.
func (c *coat) leaving(all []flux) [][]float64 {
	var out [][]float64
	for _, d := range c.dyes {
		mean := float64(d.colour.emission.Mean())
		for z := range cells {
			row := make([]float64, samples)
			for j := range row {
				row[j] = d.colour.emission[fine*j] / mean * all[j].leaves(slice(z))
			}
			out = append(out, row)
		}
	}
	return out
}

// sent is how many photons each dye sends out in each cell for one photon of each sample
// that falls on the coat: those that it makes of what it takes up at first, and those that
// come of photons sent out in the coat.
func (c *coat) sent(all []flux) [][]float64 {
	n := len(c.dyes) * cells
	first := make([][]float64, n) // [dye and cell][sample]
	for k := range first {
		d, z := &c.dyes[k/cells], slice(k%cells)
		first[k] = make([]float64, samples)
		for i := range all {
			scale, _ := all[i].outside()
			first[k][i] = d.colour.yield * d.takes(First+fine*i) * scale * all[i].down(z)
		}
	}
	again := c.again(all)
	for k := range again {
		for l := range again[k] {
			again[k][l] = -again[k][l]
		}
		again[k][k]++
	}
	eliminate(again, first)
	out := make([][]float64, samples)
	for i := range out {
		out[i] = make([]float64, n)
		for k := range out[i] {
			out[i][k] = first[k][i]
		}
	}
	return out
}

// again is how many photons a dye in a cell sends out for one that a dye in a cell sent before.
func (c *coat) again(all []flux) [][]float64 {
	out := make([][]float64, len(c.dyes)*cells)
	for k := range out {
		out[k] = make([]float64, len(out))
	}
	means := make([]float64, len(c.dyes))
	for l := range c.dyes {
		means[l] = float64(c.dyes[l].colour.emission.Mean())
	}
	for j := range all {
		for k := range c.dyes {
			take := c.dyes[k].takes(First+fine*j) * c.dyes[k].colour.yield * fine
			for l := range c.dyes {
				// The dye's emission in photons a nanometre, of one.
				photons := c.dyes[l].colour.emission[fine*j] * sampleAt(j) / means[l]
				if take*photons < 1e-9 {
					continue
				}
				for z := range cells {
					for from := range cells {
						out[k*cells+z][l*cells+from] += take * photons * all[j].reached(slice(z), slice(from))
					}
				}
			}
		}
	}
	return out
}

// eliminate solves m·x = b for many right sides at once and leaves x in b (Gauss). The sums
// of m's columns off the diagonal are below the diagonal, as no photon makes more than one:
// rows need not be exchanged.
func eliminate(m, b [][]float64) {
	for k := range m {
		for r := k + 1; r < len(m); r++ {
			factor := m[r][k] / m[k][k]
			for c := k; c < len(m); c++ {
				m[r][c] -= factor * m[k][c]
			}
			for c := range b[r] {
				b[r][c] -= factor * b[k][c]
			}
		}
	}
	for k := len(m) - 1; k >= 0; k-- {
		for c := range b[k] {
			sum := b[k][c]
			for l := k + 1; l < len(m); l++ {
				sum -= m[k][l] * b[l][c]
			}
			b[k][c] = sum / m[k][k]
		}
	}
}
