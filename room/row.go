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
	for d, v := range t.Total[place] {
		k := t.Light[d]
		out[d] = t.reflects[f][k].colour.Plus(t.glow.look[f][k].colour, 1).Times(float64(v))
	}
	for e, share := range t.glow.to[place] {
		if share == 0 {
			continue
		}
		landed := t.glow.landed[f][t.glow.elements[e].finish].colour.Times(float64(share))
		for d, v := range t.glow.power[e] {
			out[d] = out[d].Plus(landed, float64(v))
		}
	}
	return out
}
