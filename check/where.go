package check

import (
	"slices"
	"strings"

	"lampblack/check/finding"
	"lampblack/rig"
	"lampblack/score"
	"lampblack/show"
	"lampblack/source"
)

// tie gives findings that name cues or units, and no place in the files, the place where a person would
// change something: flashing the part of the look that flashes, or moves by itself; else, where several
// cues come together, the first of them, and where one stands, its look; what has no cue, its first
// unit. The show is nil where cues are those of several scores.
func tie(s *show.Show, r *rig.Rig, list []finding.Finding) []finding.Finding {
	for i := range list {
		if f := &list[i]; f.File == "" {
			*f = f.At(place(s, r, f))
		}
	}
	return list
}

func place(s *show.Show, r *rig.Rig, f *finding.Finding) source.Pos {
	if s != nil && !s.CuesGuessed() {
		if pos := ofCues(s, f); pos.File != "" {
			return pos
		}
	}
	for u := range r.Units {
		if name := r.Units[u].Name; slices.Contains(f.Units, name.Name) {
			return name.Pos
		}
	}
	return source.Pos{}
}

func ofCues(s *show.Show, f *finding.Finding) source.Pos {
	var pos source.Pos
	for i := range s.Cues {
		c := &s.Cues[i]
		if !slices.Contains(f.Cues, c.Number.Name) {
			continue
		}
		look := s.Score.Looks.Get(s.Looks[c.Look].Name)
		if look == nil {
			continue
		}
		if p := flashing(look, f); p != nil {
			return p.Pos
		}
		if pos.File == "" {
			pos = c.Number.Pos
			if len(f.Cues) == 1 && !c.Bump() {
				pos = look.Pos
			}
		}
	}
	return pos
}

// flashing is the part of a look by which a finding about flashing comes, or nil.
func flashing(look *score.Look, f *finding.Finding) *score.Part {
	if !strings.HasPrefix(f.ID, "flash-") {
		return nil
	}
	for i := range look.Parts {
		if p := &look.Parts[i]; p.Flash > 0 || p.Lives.Any() {
			return p
		}
	}
	return nil
}
