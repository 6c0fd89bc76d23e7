package show

import (
	"slices"
	"time"

	"lampblack/si"
	"lampblack/source"
)

// Span is a stretch of the show's line.
type Span struct{ From, To time.Duration }

// setStage works out when each object and performer is on stage: it enters as its first cue
// begins, and has left when the next cue after its last one begins, bumps not counted. What
// is not written is always there, and is not in the map.
func (s *Show) setStage(faults *source.Faults) {
	s.stage = nil
	if len(s.Score.Stage) == 0 {
		return
	}
	s.stage = map[string][]Span{}
	for i := range s.Score.Stage {
		e := &s.Score.Stage[i]
		if e.Value == nil {
			continue // it has its fault
		}
		if !s.onBill(e.Name) {
			faults.Add(e.Pos, source.OneOf(e.Name, s.staged()), "the room has no object, performer, surface or box %q", e.Name)
			continue
		}
		spans := []Span{}
		for k := range e.Value {
			span := &e.Value[k]
			one := Span{0, endless}
			from, to := s.numbered(span.FromCue), s.numbered(span.ToCue)
			if from != nil {
				one.From = from.Start
			}
			if to != nil {
				one.To = s.after(to)
			}
			if from != nil && to != nil && from.Start > to.Start {
				faults.Add(span.Pos, "", "%s enters by cue %s at %s and leaves with cue %s, which comes before it", e.Name, from.Number, si.FormatTime(from.Start), to.Number)
				continue
			}
			if s.Length > 0 && one.From > s.Length {
				faults.Note(span.Pos, "", "%s enters at %s, and the piece is over at %s", e.Name, si.FormatTime(one.From), si.FormatTime(s.Length))
			}
			if span.FromTime != nil {
				one.From = *span.FromTime
			}
			if span.ToTime != nil {
				one.To = *span.ToTime
			}
			if one.To <= one.From {
				faults.Add(span.Pos, "", "%s leaves at %s and enters at %s", e.Name, si.FormatTime(one.To), si.FormatTime(one.From))
				continue
			}
			spans = append(spans, one)
		}
		slices.SortFunc(spans, func(a, b Span) int { return int(min(max(a.From-b.From, -1), 1)) })
		s.stage[e.Name] = spans
	}
}

// endless is later than any show ends.
const endless = time.Duration(1) << 60

func (s *Show) numbered(number string) *Cue {
	if i := slices.IndexFunc(s.Cues, func(c Cue) bool { return number != "" && c.Number.Name == number }); i >= 0 {
		return &s.Cues[i]
	}
	return nil
}

// after is when the next cue that stays begins, after one.
func (s *Show) after(c *Cue) time.Duration {
	for i := range s.Cues {
		if n := &s.Cues[i]; !n.Bump() && n.Start > c.Start {
			return n.Start
		}
	}
	return endless
}

// players are the names of what may enter and leave.
func (s *Show) players() []string {
	out := source.Names(s.Room.Objects)
	for _, p := range s.Room.People {
		out = append(out, p.Name)
	}
	return out
}

// staged are these, and what stands in the light and may come and go.
func (s *Show) staged() []string {
	return slices.Concat(s.players(), source.Names(s.Room.Surfaces), source.Names(s.Room.Boxes))
}

func (s *Show) onBill(name string) bool { return slices.Contains(s.staged(), name) }

// OnStage tells whether an object or a performer is on stage at t; what nobody wrote of
// always is.
func (s *Show) OnStage(name string, t time.Duration) bool {
	return s.onStage(name, s.InTrack(t))
}

// onStage is OnStage in the piece's own time. What is carried is there when who carries it is,
// unless it has times of its own.
func (s *Show) onStage(name string, t time.Duration) bool {
	spans, said := s.spansOf(name)
	return !said || slices.ContainsFunc(spans, func(p Span) bool { return t >= p.From && t < p.To })
}

func (s *Show) spansOf(name string) ([]Span, bool) {
	spans, said := s.stage[name]
	if o := s.Room.Objects.Get(name); !said && o != nil {
		spans, said = s.stage[o.Carried.Name]
	}
	return spans, said
}

// Absent tells by panel of the transport what is not on stage at t, or drawn away; nil where all
// is there.
func (s *Show) Absent(t time.Duration) []bool {
	if len(s.stage) == 0 && !s.divided() || s.Transport == nil {
		return nil
	}
	out := s.Transport.AwayIn(s.opened(s.InTrack(t)))
	for i := range s.Transport.Panels {
		if p := &s.Transport.Panels[i]; s.Room.Objects.Get(p.Name) != nil && !s.OnStage(p.Name, t) {
			if out == nil {
				out = make([]bool, len(s.Transport.Panels))
			}
			out[i] = true
		}
	}
	return out
}

// Misplaced is a glow or lux that a look asks of what is not on stage while a cue brings it.
type Misplaced struct {
	source.Pos
	Cue    int // index in Cues
	Object string
	From   time.Duration
	To     time.Duration
}

// Misplaced lists such glows, by cue.
func (s *Show) Misplaced() []Misplaced {
	if len(s.stage) == 0 {
		return nil
	}
	var out []Misplaced
	for i := range s.Cues {
		c := &s.Cues[i]
		in := s.spanOf(i)
		parts := s.Score.Parts(s.Looks[c.Look].Name)
		for k := range parts {
			ref := parts[k].On
			if g := parts[k].Glow; g != nil {
				ref = g.Object
			} else if parts[k].Lux == nil || !s.onBill(ref.Name) {
				continue
			}
			if !s.everOn(ref.Name, s.InTrack(in.From), s.InTrack(in.To)) {
				out = append(out, Misplaced{ref.Pos, i, ref.Name, in.From, in.To})
			}
		}
	}
	return out
}

// everOn tells whether something is on stage at any time of a stretch of the piece's own time.
func (s *Show) everOn(name string, from, to time.Duration) bool {
	spans, said := s.spansOf(name)
	return !said || slices.ContainsFunc(spans, func(p Span) bool { return p.From < to && p.To > from })
}
