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
// several; what moves with the sound goes by that of its own piece. Everybody is on
// stage, and goes about, as in their own pieces.
func (e *Evening) Whole() *Show {
	o := e.Steps[0].Show.again()
	o.Looks, o.stage, o.ways, o.curtains = slices.Clone(o.based), nil, nil, nil
	all := &score.Score{Pos: o.Score.Pos, Looks: o.Score.Looks, Brief: o.Score.Brief}
	o.Score, o.Track, o.Cues, o.Waits, o.written = all, nil, nil, nil, nil
	o.Bill.Soundtrack, o.softened = source.Ref{}, map[int]Softened{}
	o.lent = map[int]*alive{}
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
			o.softened[c.Index] = s.softenedAs(&s.Cues[k]).later(at)
			o.lent[c.Index] = s.livesOf(k).later(at)
			o.Cues = append(o.Cues, c)
		}
		for _, span := range s.Score.Calm {
			span.From, span.To = s.OnLine(span.From)+at, s.OnLine(span.To)+at
			all.Calm = append(all.Calm, span)
		}
		o.join(s, at, at+step.Usual())
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

// join adds when things of a piece are on stage, and their ways, on the line of the whole from an
// instant to another. A piece that says nothing of a thing has it there, at home.
func (s *Show) join(piece *Show, from, to time.Duration) {
	for name := range piece.stage {
		if s.stage == nil {
			s.stage = map[string][]Span{}
		}
		if _, known := s.stage[name]; !known && from > 0 {
			s.stage[name] = []Span{{0, from}} // it was there all the time
		} else if !known {
			s.stage[name] = []Span{}
		}
	}
	for name := range s.stage {
		spans, said := piece.stage[name]
		if !said {
			spans = []Span{{0, endless}}
		}
		for _, p := range spans {
			a, b := from+piece.OnLine(p.From), to
			if p.To != endless {
				b = min(from+piece.OnLine(p.To), to)
			}
			if a < b {
				s.stage[name] = append(s.stage[name], Span{a, b})
			}
		}
	}
	s.joinWays(piece, from)
	s.joinCurtains(piece, from)
}

// joinCurtains adds what opens in a piece that begins at an instant; what opened in one before is
// closed again.
func (s *Show) joinCurtains(piece *Show, from time.Duration) {
	for i := range s.curtains {
		s.curtains[i].draws = append(s.curtains[i].draws, still(from))
	}
	for i := range piece.curtains {
		c := &piece.curtains[i]
		k := slices.IndexFunc(s.curtains, func(o curtain) bool { return o.name == c.name })
		if k < 0 {
			k = len(s.curtains)
			s.curtains = append(s.curtains, curtain{name: c.name, shares: c.shares})
		}
		for _, l := range c.draws {
			s.curtains[k].draws = append(s.curtains[k].draws, l.later(piece, from))
		}
	}
	sortCurtains(s.curtains)
}

// still is that a curtain is closed from an instant on.
func still(from time.Duration) leg {
	ahead := [3]float64{0, -1, 0}
	l := leg{start: from, end: from, points: [][3]float64{{}, {}}, from: ahead, to: ahead}
	l.measure()
	return l
}

// later is a leg of a piece that begins at an instant of another line.
func (l leg) later(piece *Show, from time.Duration) leg {
	l.start, l.end = from+piece.OnLine(l.start), from+piece.OnLine(l.end)
	l.bars = slices.Clone(l.bars)
	for i := range l.bars {
		l.bars[i] = from + piece.OnLine(l.bars[i])
	}
	return l
}

// joinWays adds the ways of a piece that begins at an instant; who crossed in one before is at
// home again.
func (s *Show) joinWays(piece *Show, from time.Duration) {
	for _, w := range s.ways {
		if w.bears == nil {
			faces := unit(metres(w.home.Faces))
			w.legs = append(w.legs, leg{start: from, end: from, points: [][3]float64{metres(w.home.At)}, runs: []float64{0}, from: faces, to: faces})
		}
	}
	for name, w := range piece.ways {
		if w.bears == nil {
			s.joinWay(name, w, piece, from)
		}
	}
	for name, w := range piece.ways {
		if w.bears != nil && s.ways[name] == nil {
			s.ways[name] = &way{home: w.home, bears: bearingOf(s.ways[s.Room.Objects.Get(name).Carried.Name], w.home)}
		}
	}
}

func (s *Show) joinWay(name string, w *way, piece *Show, from time.Duration) {
	if s.ways == nil {
		s.ways = map[string]*way{}
	}
	if s.ways[name] == nil {
		s.ways[name] = &way{home: w.home}
	}
	for _, l := range w.legs {
		s.ways[name].legs = append(s.ways[name].legs, l.later(piece, from))
	}
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
