package room

// glowPieces is into how many pieces an object is cut, each way, when it is asked how evenly it
// glows: the least number of its patches.
const glowPieces = 4

// GlowPieces returns mean luminances (cd/m2) of an object's own glow for each drive at full,
// for sixteen pieces of it; nil when there is no such object.
func (t *Transport) GlowPieces(object string) [][]float64 {
	if t.room.Objects.Get(object) == nil {
		return nil
	}
	groups := make([][]part, glowPieces*glowPieces)
	for _, p := range t.parts(object) {
		panel := &t.Panels[t.Places[p.place].Panel]
		k := p.place - panel.First
		at := k%panel.Cols*glowPieces/panel.Cols + k/panel.Cols*glowPieces/panel.Rows*glowPieces
		groups[at] = append(groups[at], p)
	}
	var out [][]float64
	for _, g := range groups {
		sum := 0.0
		for _, p := range g {
			sum += p.weight
		}
		for j := range g {
			g[j].weight /= sum
		}
		if sum > 0 {
			out = append(out, t.lookRow(g, false, true, photopic))
		}
	}
	return out
}
