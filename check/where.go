package check

import (
	"slices"
	"strings"
	"time"

	"lampblack/check/finding"
	"lampblack/check/subject"
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
		f := &list[i]
		if f.File == "" {
			*f = f.At(place(s, r, f))
		}
		if s != nil && Signable(f) && f.Light == "" {
			f.Light = brought(s, seconds(f.From), seconds(f.To))
		}
	}
	return list
}

func seconds(s float64) time.Duration { return time.Duration(s * float64(time.Second)) }

// brought is the sum of the cues that move or stand between two instants of a show, to which a signature
// is bound; "" where none does.
func brought(s *show.Show, from, to time.Duration) string {
	if to == 0 {
		return ""
	}
	names := subject.Of(s).Playing(from, to)
	var cues []*score.Cue
	for i := range s.Cues {
		if slices.Contains(names, s.Cues[i].Number.Name) {
			cues = append(cues, s.Cues[i].Cue)
		}
	}
	if cues == nil {
		return ""
	}
	return s.Score.Digest(cues)
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
