package show

import (
	"slices"
	"time"

	"lampblack/score"
	"lampblack/source"
)

// Whole is the evening as one show, on the line where everything that waits lasts as long
// as it usually does: for what takes a show from its first second to its last, as a small
// desk, a sheet, or frames. Its cues are called by their step and their number; a standing
// look is a cue that is called by its name. It has no soundtrack, as its pieces have
// several: what moves with the beat goes by slow time in it, and it
// does not say who is on stage.
func (e *Evening) Whole() *Show {
	o := e.Steps[0].Show.again()
	o.Looks, o.stage, o.ways = slices.Clone(o.based), nil, nil
	all := &score.Score{Pos: o.Score.Pos, Looks: o.Score.Looks, Brief: o.Score.Brief}
	o.Score, o.Track, o.Cues, o.Waits, o.written = all, nil, nil, nil, nil
	o.Bill.Soundtrack, o.softened = source.Ref{}, map[int]Softened{}
	at := time.Duration(0)
	for i := range e.Steps {
		step := &e.Steps[i]
		s := step.Show
		if len(s.Waits) > 0 {
			s = s.Waited(s.UsualGaps(len(s.Waits)), 0)
		}
		for k := range s.Cues {
			c := s.Cues[k].later(at)
			text := *c.Cue
			text.Number.Name = step.calls(&text)
			start := c.Moment
			text.At, text.On, text.Follows = &start, nil, source.Ref{}
			all.Cues = append(all.Cues, text)
			c.Index = len(all.Cues) - 1
			c.Look = o.lookLike(s, c.Look)
			o.softened[c.Index] = s.softenedAs(&s.Cues[k])
			o.Cues = append(o.Cues, c)
		}
		for _, span := range s.Score.Calm {
			span.From, span.To = s.OnLine(span.From)+at, s.OnLine(span.To)+at
			all.Calm = append(all.Calm, span)
		}
		at += step.Usual()
	}
	for i := range o.Cues { // the list has stopped growing
		o.Cues[i].Cue = &all.Cues[o.Cues[i].Index]
	}
	slices.SortStableFunc(o.Cues, func(a, b Cue) int { return int(min(max(a.Start-b.Start, -1), 1)) })
	o.Length = at
	o.compile()
	return o
}

// lookLike is the look of s that one cue brings, among those of the whole evening: a look that is
// solved for what is on stage in that piece is added to them.
func (s *Show) lookLike(piece *Show, look int) int {
	l := &piece.Looks[look]
	for i := range s.Looks {
		if s.Looks[i].Name == l.Name && slices.Equal(s.Looks[i].Levels, l.Levels) {
			return i
		}
	}
	s.Looks = append(s.Looks, *l)
	return len(s.Looks) - 1
}

// calls is what a cue of the step is called among those of the whole evening.
func (s *Step) calls(c *score.Cue) string {
	if s.Stands() {
		return s.Name()
	}
	return s.Name() + " " + c.Number.Name
}
