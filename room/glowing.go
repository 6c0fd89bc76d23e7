package room

import (
	"slices"

	"lampblack/light"
)

// glowing is the light that painted objects send out by fluorescence. The shape of a
// paint's glow does not depend on what excites it, only its strength does; so all its
// drives' light adds up to one number, the exitance, whose spectrum is known.
type glowing struct {
	elements []glowElement
	// to is what arrives at a place for one W/m2 of exitance of a glowing element, in each band of
	// its glow: the view factor, and what comes by way of other surfaces. Indexed [place][column
	// of glow].
	to      [][]float32
	columns []glowColumn
	// power is the exitance of an element for each drive at full, W/m2.
	power [][]float32
	// By finish; those that do not glow are empty.
	shape []banded      // the glow, for one watt
	yield [][][]float64 // [finish][light][band]: exitance per irradiance
	look  [][][]seen    // [finish][light][band]: luminance of the glow per irradiance
	// landed is the glow of a finish on another: [finish that reflects][finish that glows].
	landed [][]landed
}

// glowColumn is a glowing element in one band.
type glowColumn struct {
	element, band int
	part          int // which of the bands of its paint that is
}

type glowElement struct {
	index  int // of the element
	finish int
	places []int
	first  int // column
}

// Standard excitation for the shape of a paint's glow where it is asked for by
// itself: even from 350 nm to 420 nm, where black lights work.
func blackLight() light.Spectrum {
	var s light.Spectrum
	for nm := 350; nm <= 420; nm++ {
		s[nm-light.First] = 1
	}
	s.Normalise()
	return s
}

// shapeOfGlow is a paint's glow, for one watt.
func shapeOfGlow(p *light.Paint) light.Spectrum {
	even := blackLight()
	s := p.Glow(&even)
	s.Normalise()
	return s
}

// paints fills in what depends on finishes and lights alone.
func (g *glowing) paints(finishes []finish, lights []Light, nodes *nodes) {
	n := len(finishes)
	g.shape, g.yield, g.look, g.landed = make([]banded, n), make([][][]float64, n), make([][][]seen, n), make([][]landed, n)
	for f := range finishes {
		paint := finishes[f].paint
		if paint != nil {
			shape := shapeOfGlow(paint)
			g.shape[f] = bandsOf(&shape, nodes)
		}
		g.yield[f], g.look[f] = make([][]float64, len(lights)), make([][]seen, len(lights))
		for k := range lights {
			g.yield[f][k], g.look[f][k] = excited(paint, &lights[k].bands)
		}
	}
	for f := range finishes {
		for p := range finishes {
			g.landed[f] = append(g.landed[f], landedOn(&finishes[f].reflectance, finishes[f].gloss.Mean(), &g.shape[p]))
		}
	}
}

// excited is what a paint makes of each band of a light, as power and as seen; without paint nothing.
func excited(paint *light.Paint, b *banded) (yield []float64, look []seen) {
	yield, look = make([]float64, len(b.part)), make([]seen, len(b.part))
	for i := range b.part {
		if paint != nil {
			out := paint.Glow(&b.part[i])
			yield[i], look[i] = float64(out.Power()), seenOf(&out)
		}
	}
	return yield, look
}

// glows tells whether a finish gives any glow under the lights of the rig.
func (g *glowing) glows(finish int) bool {
	for _, y := range g.yield[finish] {
		if slices.Max(y) > 0 {
			return true
		}
	}
	return false
}

// glowingElements finds the elements that glow.
func (t *Transport) glowingElements(sh *shell) {
	g := &t.glow
	for i := range sh.panels {
		p := &sh.panels[i]
		if p.Back || !g.glows(p.finish) {
			continue
		}
		for row := range p.elemRows {
			for col := range p.elemCols {
				e := glowElement{index: p.elem + row*p.elemCols + col, finish: p.finish, first: len(g.columns)}
				p.eachPatch(col, row, func(place int) { e.places = append(e.places, place) })
				for k := range g.shape[e.finish].part {
					g.columns = append(g.columns, glowColumn{len(g.elements), g.shape[e.finish].from + k, k})
				}
				g.elements = append(g.elements, e)
			}
		}
	}
	g.to = rows(len(t.Places), len(g.columns))
}

// glowPower finds how much the glowing elements send. An element's exitance is the
// mean over its patches; a patch's own look is computed from its own irradiance, not from this.
func (t *Transport) glowPower() {
	g := &t.glow
	g.power = rows(len(g.elements), len(t.Light))
	for i := range g.elements {
		e := &g.elements[i]
		area := t.elements[e.index].area
		for _, place := range e.places {
			if area == 0 {
				break
			}
			share := t.Places[place].Area / area
			for d, k := range t.Light {
				g.power[i][d] += float32(share * t.carried(d, t.total[place], g.yield[e.finish][k]))
			}
		}
	}
}

// rows returns a matrix in one piece of memory.
func rows(n, m int) [][]float32 {
	all := make([]float32, n*m)
	out := make([][]float32, n)
	for i := range out {
		out[i] = all[i*m : (i+1)*m : (i+1)*m]
	}
	return out
}
