package show

import (
	"reflect"
	"slices"

	"lampblack/score"
	"lampblack/source"
)

// memo keeps looks that were solved, so that another score for the same rig in the same room
// solves anew only what is written otherwise, or stands among other things.
type memo map[string][]solvedLook

// solvedLook is a look with all that it was solved of.
type solvedLook struct {
	look   *score.Look
	parts  []score.Part
	there  string // as Show.there says it; "" for as if all were there
	out    []bool // by unit: out
	solved Look
	faults source.Faults
}

func (m memo) find(name string, look *score.Look, parts []score.Part, there string, out []bool) *solvedLook {
	for i, one := range m[name] {
		// With places in the files: faults name them.
		if one.there == there && slices.Equal(one.out, out) && reflect.DeepEqual(one.look, look) && reflect.DeepEqual(one.parts, parts) {
			return &m[name][i]
		}
	}
	return nil
}

// lookOnce is look, or what the show that this one comes from made of the same.
func (s *Show) lookOnce(e *source.Entry[score.Look], m *mixing, in []Span, there string, faults *source.Faults) Look {
	parts := s.Score.Parts(e.Name)
	found := s.known.find(e.Name, &e.Value, parts, there, s.out)
	if found == nil {
		one := solvedLook{look: &e.Value, parts: parts, there: there, out: s.out}
		one.solved = s.look(e.Name, &e.Value, parts, m, in, &one.faults)
		found = &one
	}
	if s.solved == nil { // a piece of an evening, whose looks as if all were there are the evening's
		s.solved = memo{}
	}
	s.solved[e.Name] = append(s.solved[e.Name], *found)
	*faults = append(*faults, found.faults...)
	return found.solved
}
