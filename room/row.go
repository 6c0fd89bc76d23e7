package room

import "lampblack/light"

// ColourRow returns what a patch looks like for each drive at full: Luminance
// is the sum of row times level. Points look like nothing.
func (t *Transport) ColourRow(place int) []light.XYZ {
	out := make([]light.XYZ, len(t.Light))
	if t.Places[place].Panel < 0 {
		return out
	}
	f := t.Panels[t.Places[place].Panel].finish
	for d, k := range t.Light {
		for i, own := range t.glow.look[f][k] {
			e := t.watts[d] * float64(t.total[place][t.column[d]+i])
			out[d] = out[d].Plus(t.reflects[f][k].seen[i].colour, e).Plus(own.colour, e)
		}
	}
	for c, share := range t.glow.to[place] {
		if share == 0 {
			continue
		}
		of := &t.glow.columns[c]
		e := &t.glow.elements[of.element]
		landed := t.glow.landed[f][e.finish].seen[of.part].colour.Times(float64(share))
		for d, v := range t.glow.power[of.element] {
			out[d] = out[d].Plus(landed, float64(v))
		}
	}
	return out
}
