package room

import "lampblack/light"

// Picture is the whole room at one instant, by place.
type Picture struct {
	Colour []light.XYZ // luminance of the patches, cd/m2 in Y: light reflected and glow
	Glow   []light.XYZ // the part of it that is the patches' own fluorescence
	Lux    []float32   // illuminance of all places, lx
	UVA    []float32   // UV-A irradiance of all places, W/m2

	active   []activeDrive
	ends     []int     // by light: one past its last in active
	exitance []float32 // by glowing element
	bands    []float32 // of one light
}

// activeDrive is a drive that gives light.
type activeDrive struct {
	drive, column int32
	power         float32 // W
}

// NewPicture returns a picture that Picture can fill.
func (t *Transport) NewPicture() *Picture {
	n := len(t.Places)
	return &Picture{
		Colour: make([]light.XYZ, n), Glow: make([]light.XYZ, n), Lux: make([]float32, n), UVA: make([]float32, n),
		active: make([]activeDrive, 0, len(t.Light)), ends: make([]int, len(t.Lights)),
		exitance: make([]float32, len(t.glow.elements)), bands: make([]float32, len(t.nodes.at)),
	}
}

// Picture fills p with the room as the levels light it, and returns it. It
// allocates nothing.
func (t *Transport) Picture(p *Picture, levels []float32) *Picture {
	p.sort(t, levels)
	for e := range p.exitance {
		sum := float32(0)
		// What each drive puts into the element's fluorescence at full level, whatever it is
		// that excites it; light of fluorescence exciting another is not followed here.
		row := t.glow.power[e]
		for _, a := range p.active {
			sum += row[a.drive] * levels[a.drive]
		}
		p.exitance[e] = sum
	}
	for i := range t.Places {
		t.fill(p, i)
	}
	return p
}

// sort lists the drives that give light, by their light: fill then adds up the drives of
// one light and band as plain numbers, and weighs each sum once as a colour.
func (p *Picture) sort(t *Transport, levels []float32) {
	p.active = p.active[:0]
	for k := range t.Lights {
		for d, l := range levels {
			if l > 0 && t.Light[d] == k {
				p.active = append(p.active, activeDrive{int32(d), int32(t.column[d]), l * float32(t.watts[d])})
			}
		}
		p.ends[k] = len(p.active)
	}
}

// fill computes one place: Luminance, GlowOnly and two Readings at once, with the same
// results to the rounding of float32. Points have no look, only lux and UV-A.
func (t *Transport) fill(p *Picture, place int) {
	finish := -1
	if i := t.Places[place].Panel; i >= 0 {
		finish = t.Panels[i].finish
	}
	row := t.total[place]
	var colour, glow light.XYZ
	lux, uva := 0.0, 0.0
	from := 0
	for k, to := range p.ends {
		active := p.active[from:to]
		from = to
		if len(active) == 0 {
			continue
		}
		weight := &t.Lights[k].bands.weight
		sums := p.bands[:len(weight[Photopic])]
		clear(sums)
		for _, a := range active {
			for i, v := range row[a.column : int(a.column)+len(sums)] {
				sums[i] += v * a.power
			}
		}
		for i, sum := range sums {
			e := float64(sum)
			lux += e * weight[Photopic][i]
			uva += e * weight[UVA][i]
			if finish >= 0 {
				colour = colour.Plus(t.reflects[finish][k].seen[i].colour, e)
				glow = glow.Plus(t.glow.look[finish][k][i].colour, e)
			}
		}
	}
	for c, share := range t.glow.to[place] {
		if share == 0 {
			continue
		}
		of := &t.glow.columns[c]
		m := float64(share * p.exitance[of.element])
		paint := t.glow.elements[of.element].finish
		lux += m * t.glow.shape[paint].weight[Photopic][of.part]
		uva += m * t.glow.shape[paint].weight[UVA][of.part]
		if finish >= 0 {
			colour = colour.Plus(t.glow.landed[finish][paint].seen[of.part].colour, m)
		}
	}
	p.Glow[place], p.Colour[place] = glow, colour.Plus(glow, 1)
	p.Lux[place], p.UVA[place] = float32(lux), float32(uva)
}
