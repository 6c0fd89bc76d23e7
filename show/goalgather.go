package show

import (
	"slices"

	"lampblack/room"
	"lampblack/score"
	"lampblack/source"
)

// gather collects limits and "at least" goals; it finds names that dangle.
func (f *fitting) gather() {
	for i := range f.parts {
		p := &f.parts[i]
		switch {
		case p.Lux != nil && f.show.Transport.Find(p.On.Name) == nil:
			f.unknown(p.On)
		case p.Glow != nil && !f.taken[i]:
			f.gatherGlow(i, p.Glow)
		}
	}
	for i := range f.look.Dark {
		f.gatherDark(&f.look.Dark[i])
	}
	f.gatherEyes()
}

func (f *fitting) unknown(ref source.Ref) {
	switch {
	case ref.Name == "":
		return // said by score.Read
	case f.unnamed(ref.Name):
		f.bare = append(f.bare, ref)
		return
	}
	f.faults.Add(ref.Pos, source.OneOf(ref.Name, f.show.Transport.Names()), "the room has no surface or object %q", ref.Name)
}

// gatherGlow makes the goals of one glow: enough of it, and enough over its background.
// Own is the fluoresced light alone, behind is what the background shows; the second
// goal is linear too: own - over·behind ≥ 0.
func (f *fitting) gatherGlow(part int, g *score.Glow) {
	own, _, behind := f.show.Transport.GlowRows(g.Object.Name)
	if own == nil && len(f.show.Room.Objects) == 0 {
		f.bare = append(f.bare, g.Object)
		return
	}
	if own == nil {
		if g.Object.Name != "" && f.show.Room.Objects.Get(g.Object.Name) == nil {
			f.faults.Add(g.Object.Pos, source.OneOf(g.Object.Name, source.Names(f.show.Room.Objects)), "the room has no object %q", g.Object.Name)
		}
		return
	}
	if !slices.Contains(f.owner, part) && len(f.units[part]) > 0 {
		f.faults.Add(f.parts[part].Pos, "", "no unit of this part has black light of its own")
	}
	want := wantedGlow(g)
	row, offset := f.project(own)
	f.addHinge(scaled(row, 1/want), 1-offset/want)
	if g.Over > 0 {
		over := make([]float64, len(own))
		for d := range over {
			over[d] = (own[d] - g.Over*behind[d]) / want
		}
		row, offset := f.project(over)
		f.addHinge(row, -offset)
	}
}

// addHinge adds row·x ≥ want, made smaller where other light lies so heavy on the
// background that missing it would outweigh that light's own goal. The most that a
// hinge can miss is held to 3, in wholes of what is wanted.
func (f *fitting) addHinge(row []float64, want float64) {
	h := hinge{row, want}
	if scale := h.most() / 3; scale > 1 {
		h = hinge{scaled(row, 1/scale), want / scale}
	}
	f.hinges = append(f.hinges, h)
}

// wantedGlow is the luminance that a glow is to have at least.
func wantedGlow(g *score.Glow) float64 {
	if g.Luminance > 0 {
		return float64(g.Luminance)
	}
	return enoughGlow
}

// gatherDark makes the limits of one wish for darkness. Every piece of the surface is a
// limit of its own: a mean would let a bright edge through.
func (f *fitting) gatherDark(d *score.Darkness) {
	if f.show.Transport.Find(d.On.Name) == nil {
		f.unknown(d.On)
		return
	}
	for _, row := range f.show.Transport.PieceRows(d.On.Name, room.Photopic) {
		f.addLimit(row, max(float64(d.Most), darkest), "the darkness asked for on "+d.On.Name)
	}
}

func (f *fitting) gatherEyes() {
	if f.look.Eyes == nil {
		return
	}
	t := f.show.Transport
	for i := range t.Eyes {
		f.addLimit(f.highUVA(i), max(float64(f.look.Eyes.Most), leastUVA), "the ceiling on ultraviolet at the eyes of "+t.Places[t.Eyes[i]].Name)
	}
}

// highUVA is the UV-A at an eye, turned to the light, with every emitter at
// the upper end of its interval.
func (f *fitting) highUVA(eye int) []float64 {
	row := f.show.Transport.MostRow(eye, room.UVA)
	for d := range row {
		row[d] *= f.show.Transport.Spread[d].High
	}
	return row
}

// addLimit adds a bound. When what is fixed leaves no room the unknowns get next to
// none: a hundredth of the limit. A limit that all unknowns at full would not reach is
// left out: it can never press.
func (f *fitting) addLimit(row []float64, most float64, text string) {
	out, offset := f.project(row)
	room := max(most-offset, .01*most)
	reach, strongest := 0.0, 0.0
	for _, v := range out {
		reach += v
		strongest = max(strongest, v)
	}
	if unit := max(most, strongest); reach > room {
		f.limits = append(f.limits, limit{scaled(out, 1/unit), room / unit, text})
	}
}

func scaled(row []float64, factor float64) []float64 {
	out := make([]float64, len(row))
	for i, v := range row {
		out[i] = v * factor
	}
	return out
}
