package looks

import (
	"lampblack/check/finding"
)

// misplaced tells of a glow that is asked of what is not on stage.
func (r *limits) misplaced() {
	for _, m := range r.Show.Misplaced() {
		c := &r.Show.Cues[m.Cue]
		look := r.Show.Looks[c.Look].Name
		f := finding.Finding{ID: "glow-absent", Severity: finding.Warn, Place: finding.Thing("look", look), Cues: []string{c.Number.Name}, Source: "the show's own score",
			Says: finding.Say("look %s is to light %s, and in cue %s that is not on stage: it gives no light for it", look, m.Object, c.Number.Name),
			Cure: finding.Say("let it, or who carries it, enter before (on stage), or take it out of that look")}
		r.Add(f.At(m.Pos).During(m.From, m.To))
	}
}
