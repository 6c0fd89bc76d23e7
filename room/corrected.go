package room

// Corrected returns the transport with each drive's light multiplied by a
// factor and its interval replaced: what measuring in the real room makes of
// it. Geometry and reflectances stay as they are. Both slices go by drive. What
// has no watts in it is shared with t, which is left as it was.
func (t *Transport) Corrected(factor []float64, spread []Spread) *Transport {
	if len(factor) != len(t.Light) || len(spread) != len(t.Light) {
		panic("room: corrections of another rig")
	}
	c := *t
	c.glow.power = scaledRows(t.glow.power, factor)
	c.Spread = append([]Spread(nil), spread...)
	c.watts = make([]float64, len(t.watts))
	for d, w := range t.watts {
		c.watts[d] = w * factor[d]
	}
	return &c
}

// scaledRows is m with each column, a drive's, multiplied by its factor.
func scaledRows(m [][]float32, factor []float64) [][]float32 {
	if len(m) == 0 {
		return nil
	}
	out := rows(len(m), len(factor))
	for i, row := range m {
		for d, v := range row {
			out[i][d] = float32(float64(v) * factor[d])
		}
	}
	return out
}

// Middle returns the place in the middle of a surface or object, where a meter
// is held flat against it, or the one place of an eye; ok is false when there
// is no such name.
func (t *Transport) Middle(name string) (place int, ok bool) {
	places := t.Find(name)
	if len(places) == 0 {
		return 0, false
	}
	best, at := -1.0, places[0]
	for _, p := range places {
		i := t.Places[p].Panel
		if i < 0 {
			return p, true
		}
		if t.Places[p].Area == 0 {
			continue
		}
		panel := &t.Panels[i]
		x, y, _ := panel.whole.local(t.Places[p].At.vec())
		x, y = x/panel.whole.w-.5, y/panel.whole.h-.5
		// Bare patches only: the nearest to the middle that a meter can be held against.
		if d := 1 - x*x - y*y; d > best {
			best, at = d, p
		}
	}
	return at, true
}
