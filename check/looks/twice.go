package looks

import (
	"slices"
	"time"

	"lampblack/check/finding"
	"lampblack/score"
)

// twice finds parts of a look that another part of the same look covers: both say what light the same lamps give,
// and the last counts. Parts that a look has from another are there to be covered.
func (r *limits) twice(look int, from, to time.Duration, cues []string) {
	name := r.Show.Looks[look].Name
	written := r.Show.Score.Looks.Get(name)
	if written == nil {
		return
	}
	for i := range written.Parts {
		first := &written.Parts[i]
		for j := i + 1; plain(first) && j < len(written.Parts); j++ {
			last := &written.Parts[j]
			if !plain(last) || len(last.Cells) > 0 || !r.within(first, last) || (first.Colour == nil) != (last.Colour == nil) || alike(first, last) {
				continue
			}
			f := finding.Finding{ID: "look-twice", Severity: finding.Warn, Place: finding.Thing("look", name), Cues: cues, Source: "common practice, no source",
				Says: finding.Say("look %s says twice what the same lamps give, in lines %d and %d: only the last counts", name, first.Pos.Line, last.Pos.Line),
				Cure: finding.Say("take one of the two out, or give one to other lamps")}
			for _, u := range r.partUnits(first) {
				f.Units = append(f.Units, r.Unit(u))
			}
			r.Add(f.At(last.Pos).During(from, to))
			break
		}
	}
}

// plain tells whether a part says how bright lamps are, or of which colour, and nothing else.
func plain(p *score.Part) bool {
	return (p.Colour != nil || p.Level != nil) && len(p.Emitters) == 0 && p.Lux == nil && p.Glow == nil && p.Flash == 0 && p.Use == "" && !p.Any()
}

// alike tells whether two parts say the same.
func alike(a, b *score.Part) bool {
	same := func(x, y *score.Colour) bool { return (x == nil) == (y == nil) && (x == nil || x.Text == y.Text) }
	return same(a.Colour, b.Colour) && (a.Level == nil) == (b.Level == nil) && (a.Level == nil || *a.Level == *b.Level)
}

// within tells whether a part has no lamps but those of another.
func (r *limits) within(part, of *score.Part) bool {
	units, all := r.partUnits(part), r.partUnits(of)
	for _, u := range units {
		if !slices.Contains(all, u) {
			return false
		}
	}
	return len(units) > 0
}
