package suspect

import (
	"math/rand/v2"
	"slices"
	"strings"

	"lampblack/rig"
)

// site is a rig on which one thing is at fault, in code of its own: signals and mains are followed from
// where they come to each unit, and steps change what they go through.
type site struct {
	r     *rig.Rig
	fault Suspect
	does  Symptom // what units do by the fault, where it reaches them
	first int     // of an adaptor: the place that it is at
}

// line is the name of a unit's line, its place there, and the units of the line.
func (s *site) line(u int) (name string, place int, units []string) {
	for i := range s.r.Lines {
		if p := slices.Index(s.r.Lines[i].Value.Order, s.r.Units[u].Name.Name); p >= 0 {
			return s.r.Lines[i].Name, p, s.r.Lines[i].Value.Order
		}
	}
	panic("a unit without a line")
}

// live tells whether a unit has mains inside.
func (s *site) live(u int) bool {
	dead := s.fault.Unit == u && (s.fault.Kind == Lead || s.fault.Kind == Lamp && s.does == Dead)
	return !dead && s.mains(u)
}

// mains tells whether they come to the outlet of a unit: a fuse of its own is behind that.
func (s *site) mains(u int) bool {
	if s.fault.Kind == Lead && s.fault.Unit == u && s.does != Fine {
		return false
	}
	if by := s.r.Index(s.r.Units[u].FedBy.Name); by >= 0 {
		return !(s.fault.Kind == Through && s.fault.Unit == by) && s.mains(by)
	}
	tripped := s.fault.Kind == Breaker || s.fault.Kind == Device
	return !tripped || s.fault.Circuit != s.r.Units[u].Circuit.Name
}

// change is what a step does to the way to a unit.
type change struct {
	cut      string // the unit behind which its line ends, in a terminator
	straight bool   // the unit has a cable of its own from the output
	port     string // the line that has another output
}

// works tells whether a unit does as it should, after a change.
func (s *site) works(u int, c change) bool {
	name, place, order := s.line(u)
	f := &s.fault
	if !s.live(u) || f.Unit == u && (f.Kind == Lamp || f.Kind == Settings) || f.Kind == Computer {
		return false
	}
	if f.Kind == Output && c.port != name {
		return false
	}
	if c.straight {
		return f.Kind != Drags || f.Unit != u
	}
	if f.Line != name {
		return true
	}
	end := len(order) - 1
	if c.cut != "" {
		end = slices.Index(order, c.cut)
	}
	switch f.Kind {
	case Leg, Radio:
		return c.port == name && f.Kind == Leg
	case Cable:
		return f.at > place
	case Passing:
		return f.at >= place
	case Adaptor:
		return s.first > place
	case Drags:
		return f.at > end
	case Terminator:
		return c.cut != ""
	}
	return true
}

// answer is what a person says to a step: what is so, but for one look in fourteen that misleads.
func (s *site) answer(rng *rand.Rand, step *Step) Answer {
	yes := s.comes(step)
	if !step.Mend && rng.IntN(14) == 0 {
		yes = !yes
	}
	return map[bool]Answer{true: Yes, false: No}[yes]
}

// comes tells what comes of a step.
func (s *site) comes(step *Step) (yes bool) {
	what, of, _ := strings.Cut(step.ID, " ")
	u := s.r.Index(of)
	switch what {
	case "mend":
		yes = step.suspect == s.fault.Name
	case "computer":
		yes = s.fault.Kind == Computer
	case "board":
		yes = (s.fault.Kind == Breaker || s.fault.Kind == Device) && s.fault.Circuit == of
	case "outlet":
		yes = !(s.fault.Kind == Lamp && s.fault.Unit == u)
	case "straight":
		// With a lead and an outlet as they are.
		yes = s.works(u, change{straight: true})
	case "light":
		f := s.fault
		bent := f.Kind == Drags || f.Kind == Terminator || f.Kind == Lamp && f.Unit == u || f.Kind == Settings
		if f.Kind == Output || f.Kind == Computer {
			yes = false
		} else if yes = s.works(u, change{}) || bent; !s.live(u) {
			yes = false
		}
	case "halve":
		_, place, order := s.line(u)
		yes = true
		for _, o := range order[:place+1] {
			yes = yes && s.works(s.r.Index(o), change{cut: of})
		}
	case "port":
		yes = true
		for _, o := range s.r.Lines.Get(of).Order {
			yes = yes && s.works(s.r.Index(o), change{port: of})
		}
	default:
		panic("what is " + step.ID)
	}
	return yes
}
