package hand

import (
	"fmt"
	"slices"
	"time"

	"lampblack/light"
	"lampblack/show"
	"lampblack/source"
)

// Order is what a person wants of the lamps, as a page or a fader says it. Every order
// says how things are to be: given twice it does what it does once.
type Order struct {
	Do     string   `json:"do"`
	System string   `json:"system,omitempty"` // whom: a system,
	Units  []string `json:"units,omitempty"`  // units, or where both are empty all
	Dark   bool     `json:"dark,omitempty"`   // black light is meant
	Colour string   `json:"colour,omitempty"`
	Level  float64  `json:"level,omitempty"` // of its brightest, 0..1; of a trim the factor
	Look   string   `json:"look,omitempty"`
	Why    string   `json:"why,omitempty"`
	Over   float64  `json:"over,omitempty"` // seconds; 0 is what is usual for it
}

// What may be ordered.
const (
	Set       = "set"        // units to a colour and a level, or black light to a level
	LetGo     = "let go"     // of units, back to the show
	Bring     = "look"       // a look in place of the show's light; "" gives the show back
	TrimTo    = "trim"       // a system, or units, to a factor; 1 takes the trim away
	TakeOut   = "out"        // units, for tonight
	Back      = "back"       // that were out
	OneAlone  = "alone"      // a unit
	OnePulse  = "pulse"      // a unit
	Darkness  = "all off"    //
	Work      = "work light" //
	Unfocused = "as it was"  // ends the four before
	Drop      = "drop"       // all that is set for tonight: trims, what is held, units that are out
)

// mostTrim is the most that a trim may brighten: beyond twice as bright it is another look.
const mostTrim = 2

// whom lists the units that an order names.
func (o *Order) whom(s *show.Show) ([]string, error) {
	r := s.Rig
	switch {
	case o.System != "" && len(o.Units) > 0:
		return nil, fmt.Errorf("the order names the system %s and units: one of them", o.System)
	case o.System != "":
		var names []string
		for _, u := range r.System(o.System) {
			names = append(names, r.Units[u].Name.Name)
		}
		if names == nil {
			return nil, fmt.Errorf("there is no system %q: %s", o.System, source.OneOf(o.System, r.Systems()))
		}
		return names, nil
	case len(o.Units) == 0:
		return r.UnitNames(), nil
	}
	var names []string
	for _, name := range o.Units {
		if r.Index(name) < 0 {
			return nil, fmt.Errorf("there is no unit %q: %s", name, source.OneOf(name, r.UnitNames()))
		}
		if !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	return names, nil
}

// one is the unit of an order that means a single one.
func (o *Order) one(s *show.Show) (string, error) {
	if len(o.Units) != 1 {
		return "", fmt.Errorf("%q is for one unit", o.Do)
	}
	units, err := o.whom(s)
	if err != nil {
		return "", err
	}
	return units[0], nil
}

// After is the state when an order has been carried out, with the rig and the looks of a
// show. It fails, and nothing changes, when the order names what is not there.
func (s State) After(o Order, on *show.Show, now time.Time) (State, error) {
	most := 1.0
	if o.Do == TrimTo {
		most = mostTrim
	}
	if !(o.Level >= 0 && o.Level <= most) {
		return s, fmt.Errorf("a level of %g is not between 0 and %g", o.Level, most)
	}
	if !(o.Over >= 0 && o.Over <= mostFade) {
		return s, fmt.Errorf("%g s lie outside 0 to %d s", o.Over, mostFade)
	}
	o.Level = tidy(o.Level)
	units, err := o.whom(on)
	if err != nil {
		return s, err
	}
	switch o.Do {
	case Set:
		return s.set(o, units, on)
	case LetGo:
		return s.letGo(units), nil
	case Bring:
		if o.Look != "" && on.Score.Looks.Index(o.Look) < 0 {
			return s, fmt.Errorf("there is no look %q: %s", o.Look, source.OneOf(o.Look, source.Names(on.Score.Looks)))
		}
		s.Look = o.Look
		return s, nil
	case TrimTo:
		if o.System != "" {
			return s.trim(Trim{System: o.System, Factor: o.Level}), nil
		}
		for _, u := range units {
			s = s.trim(Trim{Unit: u, Factor: o.Level})
		}
		return s, nil
	case TakeOut, Back:
		if o.System == "" && len(o.Units) == 0 {
			return s, fmt.Errorf("%q needs the names of units", o.Do)
		}
		for _, u := range units {
			if o.Do == TakeOut {
				s = s.takeOut(Out{u, o.Why, now.Round(time.Second)})
			} else {
				s = s.back(u)
			}
		}
		return s, nil
	case OneAlone, OnePulse:
		unit, err := o.one(on)
		if err == nil {
			s.Focus = Focus{Does(o.Do), unit}
		}
		return s, err
	case Darkness, Work:
		s.Focus = Focus{Does: Does(o.Do)}
		return s, nil
	case Unfocused:
		s.Focus = Focus{}
		return s, nil
	case Drop:
		return State{Look: s.Look, Focus: s.Focus}, nil
	}
	return s, fmt.Errorf("%q is no order for the lamps", o.Do)
}

// set sets units.
func (s State) set(o Order, units []string, on *show.Show) (State, error) {
	if o.Colour != "" {
		if _, err := light.ParseColour(o.Colour); err != nil {
			return s, err
		}
	}
	h := Held{Units: slices.Clone(units), Dark: o.Dark, Colour: o.Colour, Level: o.Level}
	if o.Dark {
		h.Colour = ""
	}
	h.Units = slices.DeleteFunc(h.Units, func(name string) bool { return !gives(on, name, o.Dark) })
	if len(h.Units) == len(units) {
		h.System = o.System
	}
	if len(h.Units) == 0 {
		return s, fmt.Errorf("none of these units gives %s", map[bool]string{true: "black light", false: "light to be seen"}[o.Dark])
	}
	return s.hold(h), nil
}

// gives tells whether a unit has light of a kind.
func gives(s *show.Show, unit string, dark bool) bool {
	from, to := s.Rig.UnitDrives(s.Rig.Index(unit))
	for d := from; d < to; d++ {
		if s.Rig.Emitter(d).Light.BlackLight() == dark {
			return true
		}
	}
	return false
}

// fade is how long an order takes, when it does not say so.
func (o *Order) fade() time.Duration {
	if o.Over > 0 {
		return time.Duration(o.Over * float64(time.Second))
	}
	switch o.Do {
	case Set, TrimTo:
		return 150 * time.Millisecond // follows a finger on a slider
	case LetGo, Back, Drop:
		return time.Second
	case Bring:
		return 500 * time.Millisecond
	}
	return 300 * time.Millisecond
}

// mostFade bounds how long an order may take, in seconds.
const mostFade = 600
