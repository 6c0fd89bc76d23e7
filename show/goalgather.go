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
		case p.Lux != nil && f.transport.Find(p.On.Name) == nil:
			f.unknown(p.On)
		case p.Lux != nil && f.follows(i) && !f.taken[i]:
			f.gatherFollowed(i)
		case p.Glow != nil && !f.taken[i]:
			f.gatherGlow(i, p.Glow)
		}
	}
	for i := range f.look.Dark {
		f.gatherDark(&f.look.Dark[i])
	}
	f.gatherOnly()
	f.gatherEyes()
}

// follows tells whether a part's lux is on what moves while the look stands: it is to have at
// least so much wherever it is.
func (f *fitting) follows(part int) bool {
	return len(f.where(f.parts[part].On.Name)) > 1
}

// gatherFollowed makes the goals of lux on what moves, one for each place.
func (f *fitting) gatherFollowed(part int) {
	want := *f.parts[part].Lux
	if want < leastLux {
		return
	}
	for _, t := range f.where(f.parts[part].On.Name) {
		if row := t.MeanRow(f.parts[part].On.Name, room.Photopic); row != nil {
			f.addHinge(scaled(f.ofPart(part, row), 1/want), 1)
		}
	}
}

// gatherOnly makes the limits of all objects on stage that are not to be seen.
func (f *fitting) gatherOnly() {
	o := f.look.Only
	if o == nil {
		return
	}
	for _, ref := range o.Objects {
		if f.show.Room.Objects.Get(ref.Name) == nil {
			f.faults.Add(ref.Pos, source.OneOf(ref.Name, source.Names(f.show.Room.Objects)), "the room has no object %q", ref.Name)
		}
	}
	for i := range f.show.Room.Objects {
		name := f.show.Room.Objects[i].Name
		if f.seenToo(name) || f.away(name) {
			continue
		}
		for _, t := range f.ever(name) {
			if _, whole, _ := t.GlowRows(name); whole != nil {
				f.addLimit(whole, f.othersMost(), "the wish that "+name+" is not seen")
			}
		}
	}
}

// seenToo tells whether a thing may be seen where only some are.
func (f *fitting) seenToo(name string) bool {
	return slices.ContainsFunc(f.look.Only.Objects, func(r source.Ref) bool { return r.Name == name })
}

// unseen is what a thing may look like that is not to be seen, where the look does not say
// (a choice, no source).
const unseen = .01 // cd/m2

func (f *fitting) othersMost() float64 {
	if m := f.look.Only.Most; m > 0 {
		return float64(m)
	}
	return unseen
}

func (f *fitting) unknown(ref source.Ref) {
	switch {
	case ref.Name == "":
		return // said by score.Read
	case f.unnamed(ref.Name):
		f.bare = append(f.bare, ref)
		return
	}
	f.faults.Add(ref.Pos, source.OneOf(ref.Name, f.transport.Names()), "the room has no surface or object %q", ref.Name)
}

// gatherGlow makes the goals of one glow: enough of it, and enough over its background.
// Own is the fluoresced light alone, behind is what the background shows; the second
// goal is linear too, for an eye of one adaptation: own - over·behind ≥ 0.
func (f *fitting) gatherGlow(part int, g *score.Glow) {
	own, _, _ := f.transport.GlowRows(g.Object.Name)
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
	if f.away(g.Object.Name) {
		return // the checks tell that it is not there
	}
	for _, t := range f.where(g.Object.Name) {
		own, _, _ := t.GlowRows(g.Object.Name)
		f.wantGlow(g, t, own)
	}
}

// wantGlow makes the goals of a glow with the object at one place.
func (f *fitting) wantGlow(g *score.Glow, t *room.Transport, own []float64) {
	want := f.wantedGlow(g)
	seen, _, behind := t.SeenRows(g.Object.Name, f.eyes[g].adapted)
	enough := own
	if g.Luminance == 0 {
		enough = seen
	}
	row, offset := f.project(enough)
	f.addHinge(scaled(row, 1/want), 1-offset/want)
	if g.Over > 0 {
		over := make([]float64, len(own))
		for d := range over {
			over[d] = (seen[d] - g.Over*behind[d]) / want
		}
		row, offset := f.project(over)
		mine, others := t.SeenStray(g.Object.Name, f.eyes[g].adapted)
		f.addHinge(row, (g.Over*others-mine)/want-offset)
	}
	if g.Most > 0 {
		f.addLimit(own, float64(g.Most), "the ceiling on the glow of "+g.Object.Name)
	}
	if g.Even <= 0 {
		return
	}
	pieces := t.GlowPieces(g.Object.Name)
	for _, piece := range pieces {
		even := make([]float64, len(own))
		for d := range even {
			even[d] = (piece[d] - float64(g.Even)*own[d]) / want
		}
		row, offset := f.project(even)
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

// gatherDark makes the limits of one wish for darkness. Every piece of the surface is a
// limit of its own: a mean would let a bright edge through.
func (f *fitting) gatherDark(d *score.Darkness) {
	if f.transport.Find(d.On.Name) == nil {
		f.unknown(d.On)
		return
	}
	if f.away(d.On.Name) {
		return
	}
	for _, t := range f.ever(d.On.Name) {
		for _, row := range t.PieceRows(d.On.Name, room.Photopic) {
			f.addLimit(row, max(float64(d.Most), darkest), "the darkness asked for on "+d.On.Name)
		}
	}
}

func (f *fitting) gatherEyes() {
	if f.look.Eyes == nil {
		return
	}
	t := f.transport
	for i := range t.Eyes {
		name := t.Places[t.Eyes[i]].Name
		for _, t := range f.ever(name) {
			f.addLimit(highUVA(t, i), max(float64(f.look.Eyes.Most), leastUVA), "the ceiling on ultraviolet at the eyes of "+name)
		}
	}
}

// highUVA is the UV-A at an eye, turned to the light, with every emitter at
// the upper end of its interval.
func highUVA(t *room.Transport, eye int) []float64 {
	row := t.MostRow(eye, room.UVA)
	for d := range row {
		row[d] *= t.Spread[d].High
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
