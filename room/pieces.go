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
	var out [][]float64
	for _, g := range grouped(t.parts(object), func(p part) piece {
		c := t.cell(p.place, glowPieces, glowPieces)
		c.panel = 0 // parts of an outline are cut alike and counted together
		return c
	}) {
		out = append(out, t.lookRow(g, false, true, photopic))
	}
	return out
}
