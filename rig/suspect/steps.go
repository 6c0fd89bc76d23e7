package suspect

import (
	"slices"
)

// Step is one thing to do: a look, whose answer tells suspects apart, or a mend.
type Step struct {
	ID   string // the same for the same step on the same rig
	Do   string
	Ask  string
	Mend bool
	Cost Cost

	suspect string // the name of what a mend mends
	yes     func(*Suspect) float64
}

// How far the answers to looks can be trusted (common practice, no source).
const (
	trustLight  = .88 // small lights for data, where there are any
	trustTry    = .93 // something tried: plugs are moved with it
	trustSwitch = .97
)

// sure gives yes of some suspects with a trust, and no of the others with the same.
func sure(trust float64, of func(*Suspect) bool) func(*Suspect) float64 {
	return func(s *Suspect) float64 {
		if of(s) {
			return trust
		}
		return 1 - trust
	}
}

// stops tells whether a suspect keeps data from a place on a line.
func (m *model) stops(s *Suspect, l *line, place int) bool {
	switch s.Kind {
	case Computer:
		return true
	case Output:
		return m.reaches(s, l, len(l.units)-1)
	case Leg, Radio:
		return s.Line == l.name
	case Adaptor:
		return s.Line == l.name && m.firstBad(l) <= place
	case Cable:
		return s.Line == l.name && s.at <= place
	case Passing:
		return s.Line == l.name && s.at < place
	}
	return false
}

// reaches tells whether a suspect shows in a unit of a line up to a place.
func (m *model) reaches(s *Suspect, l *line, place int) bool {
	for i := range s.ways {
		for _, u := range s.ways[i].units {
			if m.lines[m.on[u]].name == l.name && m.place[u] <= place {
				return true
			}
		}
	}
	return false
}

// firstBad is the place of the first unit of a line that is said not to be fine.
func (m *model) firstBad(l *line) int {
	for place, u := range l.units {
		if m.seen[u] != Fine && m.seen[u] != Unseen {
			return place
		}
	}
	return len(l.units)
}

// looks lists the looks that could tell the suspects apart that are most likely.
func (m *model) looks(of []Suspect) []Step {
	out := []Step{m.fromComputer()}
	units, lines := map[int]bool{}, map[string]bool{}
	var circuits []string
	for i := range of {
		s := &of[i]
		if s.Line != "" {
			lines[s.Line] = true
		}
		for _, w := range s.ways {
			if u := w.units[0]; s.Unit < 0 {
				units[u] = true
			}
		}
		if s.Unit >= 0 {
			units[s.Unit] = true
		}
		if s.Kind == Breaker || s.Kind == Device {
			if !slices.Contains(circuits, s.Circuit) {
				circuits = append(circuits, s.Circuit)
			}
		}
	}
	for i := range m.lines {
		if l := &m.lines[i]; lines[l.name] && len(m.lines) > 1 {
			out = append(out, m.otherPort(l))
		}
	}
	for _, c := range circuits {
		out = append(out, m.board(c))
	}
	for u := range m.rig.Units {
		if units[u] {
			out = append(out, m.atUnit(u)...)
		}
	}
	return out
}

func (m *model) fromComputer() Step {
	return Step{ID: "computer", Do: "Let the computer light a unit alone that does not follow, as lampblack focus does.", Ask: "Does it follow now?", Cost: Cost{Minutes: 1},
		yes: sure(trustSwitch, func(s *Suspect) bool { return s.Kind == Computer })}
}

func (m *model) otherPort(l *line) Step {
	return Step{ID: "port " + l.name, Do: "Plug line " + l.name + " into another output or leg that works.", Ask: "Does all of the line do as it should now?", Cost: Cost{Minutes: 2, Walks: 1},
		yes: sure(trustTry, func(s *Suspect) bool {
			return s.Kind == Leg && s.Line == l.name || s.Kind == Output || !m.reaches(s, l, len(l.units)-1)
		})}
}

func (m *model) board(circuit string) Step {
	return Step{ID: "board " + circuit, Do: "Look at the board, at the breaker of circuit " + circuit + " and its residual current device.", Ask: "Has one of them tripped?", Cost: Cost{Minutes: 1, Walks: 1},
		yes: sure(trustSwitch, func(s *Suspect) bool {
			return (s.Kind == Breaker || s.Kind == Device) && s.Circuit == circuit
		})}
}

// atUnit are the looks at one unit.
func (m *model) atUnit(u int) []Step {
	l, place := &m.lines[m.on[u]], m.place[u]
	out := []Step{m.straight(u)}
	does := m.seen[u]
	// A light shows whether data comes, not whether it is good.
	if does == Deaf || does == Alone || does == Unseen {
		out = append(out, m.light(u))
	}
	if does == Dead || does == Unseen {
		out = append(out, m.outlet(u))
	}
	if place < len(l.units)-1 {
		out = append(out, m.halve(u))
	}
	return out
}

func (m *model) light(u int) Step {
	l, place := &m.lines[m.on[u]], m.place[u]
	return Step{ID: "light " + m.name(u), Do: "Look at the small light for data on " + m.name(u) + ", if it has one.", Ask: "Does it show data?", Cost: Cost{1, 1, m.ladder(u)},
		yes: sure(trustLight, func(s *Suspect) bool { return !m.stops(s, l, place) && !m.keepsDead(s, u) })}
}

// straight is a cable of its own from the output to one unit: what is between does not count.
func (m *model) straight(u int) Step {
	return Step{ID: "straight " + m.name(u), Do: "Lay the spare data cable from the output straight into " + m.name(u) + ".", Ask: "Does " + m.name(u) + " do as it should now?", Cost: Cost{3, 2, m.ladder(u)},
		yes: sure(trustTry, func(s *Suspect) bool {
			atIt := s.Unit == u && (s.Kind == Settings || s.Kind == Lamp || s.Kind == Drags)
			before := s.Kind == Computer || s.Kind == Output && m.reaches(s, &m.lines[m.on[u]], m.place[u])
			return !atIt && !before && !m.keepsDead(s, u)
		})}
}

// outlet is another feed for one unit.
func (m *model) outlet(u int) Step {
	return Step{ID: "outlet " + m.name(u), Do: "Plug " + m.name(u) + " into an outlet that works, with another lead.", Ask: "Is something lit on it now?", Cost: Cost{2, 1, m.ladder(u)},
		yes: sure(trustSwitch, func(s *Suspect) bool { return s.Kind != Lamp || s.Unit != u })}
}

// halve cuts a line behind a unit and ends it there.
func (m *model) halve(u int) Step {
	l, place := &m.lines[m.on[u]], m.place[u]
	return Step{ID: "halve " + m.name(u), Do: "Take the cable out of the data outlet of " + m.name(u) + " and put a terminator in there.", Ask: "Do the units up to " + m.name(u) + " do as they should now?", Cost: Cost{3, 1, m.ladder(u)},
		yes: sure(trustTry, func(s *Suspect) bool {
			switch {
			case s.Line != l.name:
			case s.Kind == Drags:
				return s.at > place
			case s.Kind == Terminator:
				return true
			case s.Kind == Adaptor:
				return m.firstBad(l) > place
			}
			return !m.reaches(s, l, place)
		})}
}

// keepsDead tells whether a suspect keeps the mains from a unit.
func (m *model) keepsDead(s *Suspect, u int) bool {
	switch s.Kind {
	case Lead, Through, Breaker, Device:
		return slices.Contains(s.ways[0].units, u)
	}
	return false
}

// mend is the step that mends a suspect.
func mend(s *Suspect) Step {
	return Step{ID: "mend " + s.Name, Do: s.Mend, Ask: "Is all as it should be now?", Mend: true, Cost: s.Cost, suspect: s.Name,
		yes: func(o *Suspect) float64 {
			if o.Name == s.Name {
				return 1
			}
			return 0
		}}
}
