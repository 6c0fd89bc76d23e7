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
		return slices.ContainsFunc(s.ways[0].units, func(u int) bool { return m.lines[m.on[u]].name == l.name })
	case Leg, Radio:
		return s.Line == l.name
	case Cable:
		return s.Line == l.name && s.at <= place
	case Passing:
		return s.Line == l.name && s.at < place
	}
	return false
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
	return Step{ID: "computer", Do: "Let the computer light one unit alone, as lampblack focus does.", Ask: "Does any unit follow?", Cost: Cost{Minutes: 1},
		yes: sure(trustSwitch, func(s *Suspect) bool { return s.Kind == Computer })}
}

func (m *model) otherPort(l *line) Step {
	return Step{ID: "port " + l.name, Do: "Plug line " + l.name + " into another output or leg that works.", Ask: "Does the line behave now?", Cost: Cost{Minutes: 2, Walks: 1},
		yes: sure(trustTry, func(s *Suspect) bool {
			return s.Kind == Leg && s.Line == l.name || s.Kind == Output && m.stops(s, l, 0)
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
	name, l, place := m.name(u), &m.lines[m.on[u]], m.place[u]
	up := m.ladder(u)
	out := []Step{
		{ID: "straight " + name, Do: "Lay the spare data cable from the output straight into " + name + ".", Ask: "Does " + name + " do as it should now?", Cost: Cost{3, 2, up},
			yes: sure(trustTry, func(s *Suspect) bool {
				inTheWay := m.stops(s, l, place) && s.Kind != Output && s.Kind != Computer
				return inTheWay || s.Line == l.name && (s.Kind == Drags && s.Unit != u || s.Kind == Terminator || s.Kind == Adaptor)
			})},
		{ID: "outlet " + name, Do: "Plug " + name + " into an outlet that works, with another lead.", Ask: "Is something lit on it now?", Cost: Cost{2, 1, up},
			yes: sure(trustSwitch, func(s *Suspect) bool { return m.keepsDead(s, u) })},
	}
	// A light shows whether data comes, not whether it is good.
	if does := m.seen[u]; does == Deaf || does == Alone || does == Unseen {
		out = append(out, Step{ID: "light " + name, Do: "Look at the small light for data on " + name + ", if it has one.", Ask: "Does it show data?", Cost: Cost{1, 1, up},
			yes: sure(trustLight, func(s *Suspect) bool { return !m.stops(s, l, place) })})
	}
	if place < len(l.units)-1 {
		out = append(out, Step{ID: "halve " + name, Do: "Take the cable out of the data outlet of " + name + " and put a terminator in there.", Ask: "Do the units up to " + name + " do as they should now?", Cost: Cost{3, 1, up},
			yes: sure(trustTry, func(s *Suspect) bool {
				if s.Line != l.name {
					return false
				}
				behind := (s.Kind == Drags || s.Kind == Cable) && s.at > place || s.Kind == Passing && s.at >= place
				return behind || s.Kind == Terminator
			})})
	}
	return out
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
