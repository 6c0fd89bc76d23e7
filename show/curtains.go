package show

import (
	"slices"

	"lampblack/score"
	"lampblack/si"
	"lampblack/source"
)

// setCurtains makes the curtains of all that opens, comes or goes and stands in the light.
func (s *Show) setCurtains(faults *source.Faults) {
	s.curtains = nil
	for i := range s.Score.Opens {
		e := &s.Score.Opens[i]
		f := s.Room.Surfaces.Get(e.Name)
		switch {
		case f == nil:
			faults.Add(e.Pos, source.OneOf(e.Name, source.Names(s.Room.Surfaces)), "the room has no surface %q that opens", e.Name)
			continue
		case f.Opens == "":
			faults.Add(e.Pos, "opens: to the sides, to the left, to the right or upward, of "+e.Name+" in room.yaml", "how %s opens is not said", e.Name)
			continue
		}
		c := curtain{name: e.Name, shares: s.Room.Divided(e.Name)}
		for k := range e.Value {
			s.addDraw(&c, &e.Value[k], faults)
		}
		s.curtains = append(s.curtains, c)
	}
	for name := range s.stage {
		if stands(s.Room, name) && !slices.ContainsFunc(s.curtains, func(c curtain) bool { return c.name == name }) {
			s.curtains = append(s.curtains, curtain{name: name, shares: s.Room.Divided(name)})
		}
	}
	sortCurtains(s.curtains)
}

// addDraw adds one opening or closing behind those before it.
func (s *Show) addDraw(c *curtain, d *score.Draw, faults *source.Faults) {
	l := leg{pace: d.Pace, start: s.setsOut(&d.Going)}
	from := 0.
	if n := len(c.draws); n > 0 {
		last := &c.draws[n-1]
		if l.start <= last.start {
			faults.Add(d.Pos, "write the openings in the order of their times, each with a beginning of its own", "%s opens or closes at %s, and the opening that is written before it begins at %s", c.name, si.FormatTime(l.start), si.FormatTime(last.start))
			return
		}
		from = float64(last.pose(last.share(l.start)).At[0])
	}
	if s.Length > 0 && l.start > s.Length {
		faults.Note(d.Pos, "", "%s opens or closes at %s, and the piece is over at %s", c.name, si.FormatTime(l.start), si.FormatTime(s.Length))
	}
	l.points = [][3]float64{{from}, {float64(d.To)}}
	l.from, l.to = [3]float64{0, -1, 0}, [3]float64{0, -1, 0}
	l.measure()
	l.end = s.arrival(&l, "the opening of "+c.name, d.Pos, &d.Going, faults)
	c.draws = append(c.draws, l)
}
