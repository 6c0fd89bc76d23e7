package check

import (
	"lampblack/check/finding"
	"lampblack/check/subject"
	"lampblack/show"
)

var unusedTells = finding.Tells{"look-unused": "a look that no cue brings"}

// unused finds looks that nothing brings: no cue, no other look, and nothing of the bill. Who holds one
// by hand knows it.
func unused(r *subject.Run) {
	s := r.Show
	if s == nil || s.CuesGuessed() || len(s.Score.Cues) == 0 {
		return
	}
	used := s.Score.Brought()
	used[s.Bill.Timecode.Look.Name], used[s.Bill.Live.Silent.Name] = true, true
	for i := range s.Score.Looks {
		e := &s.Score.Looks[i]
		if used[e.Name] || e.Value.Purpose == show.LightsUpPurpose {
			continue
		}
		r.Add(finding.Finding{ID: "look-unused", Severity: finding.Note, Place: finding.Thing("look", e.Name), Source: "the show's own score",
			Says: finding.Say("no cue brings look %s", e.Name),
			Cure: finding.Say("is a cue missing? A look for the hand alone may stay")}.At(e.Pos))
	}
}
