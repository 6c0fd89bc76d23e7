package room

import "lampblack/light"

// glowing is the light that painted objects send out by fluorescence. The shape of a
// paint's glow does not depend on what excites it, only its strength does; so all its
// drives' light adds up to one number, the exitance, whose spectrum is known.
type glowing struct {
	elements []glowElement
	// to is the irradiance at a place for one W/m2 of exitance of a glowing element: the view
	// factor, and what comes by way of other surfaces. Indexed [place][element].
	to [][]float32
	// power is the exitance of an element for each drive at full, W/m2.
	power [][]float32
	// By finish; those that do not glow are zero.
	shape  []light.Spectrum    // of the glow, for one watt
	yield  [][]float64         // [finish][light]: exitance per irradiance
	look   [][]seen            // [finish][light]: luminance of the glow per irradiance
	weight [][senses]float64   // what the senses make of one watt of the glow
	landed [][]seen            // [finish that reflects][finish that glows]
	back   [][][senses]float64 // the same, of one W/m2 that arrives, as the senses weigh what is reflected
}

type glowElement struct {
	index  int // of the element
	finish int
	places []int
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

// paints fills in what depends on finishes and lights alone.
func (g *glowing) paints(finishes []finish, lights []Light) {
	n := len(finishes)
	g.shape, g.weight = make([]light.Spectrum, n), make([][senses]float64, n)
	g.yield, g.look, g.landed = make([][]float64, n), make([][]seen, n), make([][]seen, n)
	g.back = make([][][senses]float64, n)
	even := blackLight()
	for f := range finishes {
		g.yield[f], g.look[f] = make([]float64, len(lights)), make([]seen, len(lights))
		g.landed[f], g.back[f] = make([]seen, n), make([][senses]float64, n)
		paint := finishes[f].paint
		if paint == nil {
			continue
		}
		g.shape[f] = paint.Glow(&even)
		g.shape[f].Normalise()
		for s := range senses {
			g.weight[f][s] = s.Of(&g.shape[f])
		}
		for k := range lights {
			out := paint.Glow(&lights[k].Spectrum)
			g.yield[f][k] = float64(out.Power())
			g.look[f][k] = seenOf(&out)
		}
	}
	for f := range finishes {
		for p := range finishes {
			s := g.shape[p]
			s.Multiply(&finishes[f].reflectance)
			g.landed[f][p] = seenOf(&s)
			for k := range senses {
				g.back[f][p][k] = k.Of(&s)
			}
		}
	}
}

// glows tells whether a finish gives any glow under the lights of the rig.
func (g *glowing) glows(finish int) bool {
	for _, y := range g.yield[finish] {
		if y > 0 {
			return true
		}
	}
	return false
}

// glowingElements finds the elements that glow, and how much. An element's exitance is the
// mean over its patches; a patch's own look is computed from its own irradiance, not from this.
func (t *Transport) glowingElements(sh *shell, elements []element) {
	g := &t.glow
	for i := range sh.panels {
		p := &sh.panels[i]
		if p.Back || !g.glows(p.finish) {
			continue
		}
		for row := range p.elemRows {
			for col := range p.elemCols {
				e := glowElement{index: p.elem + row*p.elemCols + col, finish: p.finish}
				p.eachPatch(col, row, func(place int) { e.places = append(e.places, place) })
				g.elements = append(g.elements, e)
			}
		}
	}
	drives := len(t.Light)
	g.power = rows(len(g.elements), drives)
	for i := range g.elements {
		e := &g.elements[i]
		area := elements[e.index].area
		for _, place := range e.places {
			if area == 0 {
				break
			}
			share := t.Places[place].Area / area
			for d, v := range t.Total[place] {
				g.power[i][d] += float32(share * float64(v) * g.yield[e.finish][t.Light[d]])
			}
		}
	}
	g.to = rows(len(t.Places), len(g.elements))
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
