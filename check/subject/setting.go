package subject

import (
	"slices"
	"time"

	"lampblack/room"
)

// Setting is a way in which the room stands, and when it stands so, or is on the way from or to it.
type Setting struct {
	Room  *room.Transport
	Spans [][2]time.Duration // in order and apart
}

// Settings lists them, each once; one that lasts from the beginning to the end for a room in which
// nothing opens, comes or goes. They are found once a run.
func (r *Run) Settings() []Setting {
	if r.settings == nil {
		r.settings = settingsOf(r.Subject)
	}
	return r.settings
}

func settingsOf(s Subject) []Setting {
	var out []Setting
	for _, one := range s.Standings() {
		for _, t := range one.Ends {
			i := slices.IndexFunc(out, func(s Setting) bool { return s.Room == t })
			if i < 0 {
				i = len(out)
				out = append(out, Setting{Room: t})
			}
			out[i].Spans = joined(out[i].Spans, one.From, one.To)
		}
	}
	return out
}

// StandsAs lists the ways in which the room stands at any time from one instant to another.
func (r *Run) StandsAs(from, to time.Duration) []*room.Transport {
	var out []*room.Transport
	s := r.Settings()
	for i := range s {
		if s[i].within(from, to) {
			out = append(out, s[i].Room)
		}
	}
	return out
}

// At tells whether the room stands so at an instant.
func (s *Setting) At(t time.Duration) bool { return s.within(t, t) }

func (s *Setting) within(from, to time.Duration) bool {
	return slices.ContainsFunc(s.Spans, func(span [2]time.Duration) bool { return span[0] <= to && span[1] >= from })
}
