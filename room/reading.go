package room

import (
	"lampblack/light"
	"lampblack/si"
)

// Row returns the reading of a sense at a place for each drive at full, glow
// of painted objects included: the reading is the sum of row times level.
func (t *Transport) Row(place int, s Sense) []float64 {
	return t.rowOf([]part{{place, 1}}, s)
}

// part is a place with its weight in a mean.
type part struct {
	place  int
	weight float64
}

// parts returns the places of a name with weights that sum to one: areas for
// patches, alike for points. It is nil when there is no such name or nothing
// of it is bare.
func (t *Transport) parts(name string) []part {
	var out []part
	sum := 0.0
	for _, p := range t.Find(name) {
		w := 1.0
		if t.Places[p].Panel >= 0 {
			w = t.Places[p].Area
		}
		if w > 0 {
			out = append(out, part{p, w})
			sum += w
		}
	}
	for i := range out {
		out[i].weight /= sum
	}
	return out
}

// MeanRow is Row averaged over the places of a name by their areas (points
// count alike), or nil when there is no such name.
func (t *Transport) MeanRow(name string, s Sense) []float64 {
	parts := t.parts(name)
	if parts == nil {
		return nil
	}
	return t.rowOf(parts, s)
}

// rowOf is the weighted mean of Row over parts. Irradiance is averaged first and weighed
// by the sense once for each drive: both are linear. What arrives of others' glow is in it.
func (t *Transport) rowOf(parts []part, s Sense) []float64 {
	out := make([]float64, len(t.Light))
	mean := make([]float32, len(t.columns))
	for _, p := range parts {
		addTo(mean, t.total[p.place], float32(p.weight))
	}
	for d, k := range t.Light {
		out[d] = t.carried(d, mean, t.Lights[k].bands.weight[s])
	}
	for e := range t.glow.elements {
		f := 0.0
		for _, p := range parts {
			f += p.weight * t.glow.arrives(p.place, e, s)
		}
		for d, v := range t.glow.power[e] {
			out[d] += f * float64(v)
		}
	}
	return out
}

// addTo adds factor times b.
func addTo(a, b []float32, factor float32) {
	for i, v := range b {
		a[i] += factor * v
	}
}

// arrives is what a sense takes at a place of one W/m² that leaves a glowing element.
func (g *glowing) arrives(place, element int, s Sense) float64 {
	e := &g.elements[element]
	sum := 0.0
	for i, w := range g.shape[e.finish].weight[s] {
		sum += w * float64(g.to[place][e.first+i])
	}
	return sum
}

// MostRow is Row at an eye (an index in Eyes) whichever way it turns.
func (t *Transport) MostRow(eye int, s Sense) []float64 {
	row := make([]float64, len(t.Light))
	for d, k := range t.Light {
		row[d] = t.carried(d, t.facing[eye], t.Lights[k].bands.weight[s])
	}
	return row
}

// Reading is what the sense reads at a place with the drives at these levels.
func (t *Transport) Reading(place int, s Sense, levels []float32) float64 {
	sum := 0.0
	for d, k := range t.Light {
		if l := levels[d]; l != 0 {
			sum += float64(l) * t.carried(d, t.total[place], t.Lights[k].bands.weight[s])
		}
	}
	for e := range t.glow.elements {
		if f := t.glow.arrives(place, e, s); f != 0 {
			sum += f * t.exitance(e, levels)
		}
	}
	return sum
}

// exitance is the glow that leaves a glowing element, W/m2.
func (t *Transport) exitance(e int, levels []float32) float64 {
	sum := 0.0
	for d, v := range t.glow.power[e] {
		sum += float64(v) * float64(levels[d])
	}
	return sum
}

// Bounds is Reading with the interval that the emitters' outputs leave. All
// units of a type may be off together, so the bounds are those of the worst
// case and not of chance.
func (t *Transport) Bounds(place int, s Sense, levels []float32) si.Estimate[si.Ratio] {
	return t.bounds(t.Row(place, s), levels)
}

// bounds is the sum of row times level, at the best estimate and at both ends.
func (t *Transport) bounds(row []float64, levels []float32) si.Estimate[si.Ratio] {
	var e si.Estimate[si.Ratio]
	for d, v := range row {
		v *= float64(levels[d])
		e.Best += si.Ratio(v)
		e.Low += si.Ratio(v * t.Spread[d].Low)
		e.High += si.Ratio(v * t.Spread[d].High)
	}
	return e
}

// Lux is the mean illuminance on a surface, object, box or path, or that at an
// eye. It is zero when there is no such name.
func (t *Transport) Lux(name string, levels []float32) si.Illuminance {
	return si.Illuminance(t.Mean(name, Photopic, levels))
}

// Mean is the mean reading over the places of a name.
func (t *Transport) Mean(name string, s Sense, levels []float32) float64 {
	sum := 0.0
	for _, p := range t.parts(name) {
		sum += p.weight * t.Reading(p.place, s, levels)
	}
	return sum
}

// UVA is the UV-A irradiance at an eye (an index in Eyes) along its gaze.
func (t *Transport) UVA(eye int, levels []float32) si.Estimate[si.Irradiance] {
	e := t.Bounds(t.Eyes[eye], UVA, levels)
	return si.Estimate[si.Irradiance]{Best: si.Irradiance(e.Best), Low: si.Irradiance(e.Low), High: si.Irradiance(e.High)}
}

// MostUVA bounds the UV-A irradiance at an eye whichever way it turns.
func (t *Transport) MostUVA(eye int, levels []float32) si.Estimate[si.Irradiance] {
	e := t.MostAt(eye, UVA, levels)
	return si.Estimate[si.Irradiance]{Best: si.Irradiance(e.Best), Low: si.Irradiance(e.Low), High: si.Irradiance(e.High)}
}

// MostAt bounds the reading of a sense at an eye whichever way it turns.
func (t *Transport) MostAt(eye int, s Sense, levels []float32) si.Estimate[si.Ratio] {
	return t.bounds(t.MostRow(eye, s), levels)
}

// Luminance is what a patch looks like to a colour-normal eye, in cd/m2: light
// reflected and glow together.
func (t *Transport) Luminance(place int, levels []float32) light.XYZ {
	s := t.seenAt(place, levels, true, true)
	return s.colour
}

// GlowOnly is the part of Luminance that is the patch's own fluorescence.
func (t *Transport) GlowOnly(place int, levels []float32) light.XYZ {
	s := t.seenAt(place, levels, false, true)
	return s.colour
}

// seenAt is the look of one place, by reflection, by its own glow, or both. Others' glow
// that it reflects belongs to reflection. A point looks like nothing.
func (t *Transport) seenAt(place int, levels []float32, reflection, glow bool) seen {
	var out seen
	if t.Places[place].Panel < 0 {
		return out
	}
	f := t.Panels[t.Places[place].Panel].finish
	for d, k := range t.Light {
		if levels[d] == 0 {
			continue
		}
		for i := range t.glow.look[f][k] {
			e := float64(t.total[place][t.column[d]+i]) * t.watts[d] * float64(levels[d])
			if reflection {
				out.add(&t.reflects[f][k].seen[i], e)
			}
			if glow {
				out.add(&t.glow.look[f][k][i], e)
			}
		}
	}
	if !reflection {
		return out
	}
	for e := range t.glow.elements {
		of := &t.glow.elements[e]
		power := t.exitance(e, levels)
		for i := range t.glow.landed[f][of.finish].seen {
			out.add(&t.glow.landed[f][of.finish].seen[i], float64(t.glow.to[place][of.first+i])*power)
		}
	}
	return out
}

// Spill is the light that reaches a surface, seen by three kinds of eye.
type Spill struct {
	Name                         string
	Lux, ScotopicLux, VioletLux  si.Illuminance // VioletLux by VM: as bright as violet looks
	Luminance, ScotopicLuminance si.Luminance
}

// SpillOn is the mean light on a surface and what of it the audience sees.
func (t *Transport) SpillOn(name string, levels []float32) Spill {
	s := Spill{Name: name,
		Lux:         t.Lux(name, levels),
		ScotopicLux: si.Illuminance(t.Mean(name, Scotopic, levels)),
		VioletLux:   si.Illuminance(t.Mean(name, Seen, levels)),
	}
	m := t.meanSeen(t.parts(name), levels, true, true)
	s.Luminance, s.ScotopicLuminance = si.Luminance(m.colour.Y), si.Luminance(m.scotopic)
	return s
}

// meanSeen is the weighted mean of seenAt.
func (t *Transport) meanSeen(parts []part, levels []float32, reflection, glow bool) seen {
	var out seen
	for _, p := range parts {
		one := t.seenAt(p.place, levels, reflection, glow)
		out.add(&one, p.weight)
	}
	return out
}

// lookRow is the mean luminance (cd/m2) of places for each drive at full, to some eye.
func (t *Transport) lookRow(parts []part, reflection, glow bool, to func(*seen) float64) []float64 {
	out := make([]float64, len(t.Light))
	for _, p := range parts {
		if t.Places[p.place].Panel < 0 {
			continue
		}
		f := t.Panels[t.Places[p.place].Panel].finish
		for d, k := range t.Light {
			for i := range t.glow.look[f][k] {
				y := 0.0
				if reflection {
					y += to(&t.reflects[f][k].seen[i])
				}
				if glow {
					y += to(&t.glow.look[f][k][i])
				}
				out[d] += p.weight * float64(t.total[p.place][t.column[d]+i]) * t.watts[d] * y
			}
		}
		for c, share := range t.glow.to[p.place] {
			if share == 0 || !reflection {
				continue
			}
			of := &t.glow.columns[c]
			y := p.weight * float64(share) * to(&t.glow.landed[f][t.glow.elements[of.element].finish].seen[of.part])
			for d, v := range t.glow.power[of.element] {
				out[d] += y * float64(v)
			}
		}
	}
	return out
}

// MeanLook is the mean luminance of a surface, an object or a box for each drive at full, cd/m², its glow
// with it, as bright as violet looks; nil for what has no face.
func (t *Transport) MeanLook(name string) []float64 {
	parts := t.parts(name)
	if parts == nil || t.Places[parts[0].place].Panel < 0 {
		return nil
	}
	return t.lookRow(parts, true, true, func(s *seen) float64 { return s.violet })
}

// PieceRows is MeanRow for each piece of a surface: the elements that
// inter-reflection is solved on, or the single points of a path. What is asked of the
// brightest part of a surface goes by them: the mean of the whole hides a spot, and a
// patch of a hand's width is less than anybody means.
func (t *Transport) PieceRows(name string, s Sense) [][]float64 {
	var out [][]float64
	for _, g := range grouped(t.parts(name), func(p part) piece {
		// A point is a piece by itself. A patch belongs to the element that covers it: there are
		// whole numbers of patches in an element, both ways.
		i := t.Places[p.place].Panel
		if i < 0 {
			return piece{panel: -1, col: p.place}
		}
		panel := &t.Panels[i]
		return t.cell(p.place, panel.elemCols, panel.elemRows)
	}) {
		out = append(out, t.rowOf(g, s))
	}
	return out
}

// piece is a cell of a panel that is cut into some.
type piece struct{ panel, col, row int }

// cell is the piece in which a patch lies when its panel is cut into so many.
func (t *Transport) cell(place, cols, rows int) piece {
	i := t.Places[place].Panel
	panel := &t.Panels[i]
	k := place - panel.First
	return piece{i, k % panel.Cols * cols / panel.Cols, k / panel.Cols * rows / panel.Rows}
}

// grouped puts the places of one piece together, in the order in which pieces come, each group
// with weights of sum 1.
func grouped(parts []part, of func(part) piece) [][]part {
	at := map[piece]int{}
	var out [][]part
	for _, p := range parts {
		key := of(p)
		i, known := at[key]
		if !known {
			i = len(out)
			at[key] = i
			out = append(out, nil)
		}
		out[i] = append(out[i], p)
	}
	for _, g := range out {
		sum := 0.0
		for _, p := range g {
			sum += p.weight
		}
		for j := range g {
			g[j].weight /= sum
		}
	}
	return out
}
