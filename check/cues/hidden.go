package cues

import (
	"lampblack/check/finding"
	"lampblack/si"
)

// hidden finds bumps into a look that a bump before them still holds: nobody sees them begin.
func (r *limits) hidden() {
	for i := range r.Show.Cues {
		c := &r.Show.Cues[i]
		if !c.Bump() {
			continue
		}
		held := c.Complete - *c.Returns
		for j := i + 1; j < len(r.Show.Cues) && r.Show.Cues[j].Start < held; j++ {
			next := &r.Show.Cues[j]
			if next.Start < c.Peak || !next.Bump() || next.Look != c.Look {
				continue
			}
			f := r.cue(next).As("cue-unreached", finding.Warn, "bump %s begins while bump %s still holds the same look, for %s more: nobody sees it", next.Number, c.Number, si.Say((held-next.Start).Seconds(), "s"))
			f.Cues = append(f.Cues, c.Number.Name)
			f.Value, f.Unit = (held - next.Start).Seconds(), "s"
			f.Cure = finding.Say("a shorter hold of cue %s, or leave cue %s out", c.Number, next.Number)
			r.Add(f)
			break
		}
	}
}
