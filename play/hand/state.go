package hand

import (
	"slices"
	"time"

	"lampblack/rig"
)

// State is what a hand holds. It is a value: After makes a new one, and shares with the
// old what does not change. The zero value holds nothing.
type State struct {
	Look  string // brought up in place of the show's light
	Held  []Held // set by hand, later ones over earlier
	Trims []Trim
	Outs  []Out
	Focus Focus
}

// Held is units set to a light, of one of the two kinds that a look keeps apart: visible
// light, by a colour and a level, or black light.
type Held struct {
	System string   `json:"system"` // of which they are all, for words; "" for units
	Units  []string `json:"units"`
	Dark   bool     `json:"dark"`   // black light
	Colour string   `json:"colour"` // as looks say it; "" is all that the units have
	Level  float64  `json:"level"`  // 0..1
}

// Trim changes the light of a system, or of one unit, by a factor: 1.2 is a fifth more.
// It is for tonight, and apart from the looks.
type Trim struct {
	System string  `json:"system"` // or
	Unit   string  `json:"unit"`
	Factor float64 `json:"factor"`
}

// Out is a unit that is to give no light tonight, as it flickers or smokes.
type Out struct {
	Unit  string    `json:"unit"`
	Why   string    `json:"why"`
	Since time.Time `json:"since"`
}

// Focus is how the lamps stand for someone on a ladder, whatever the show does.
type Focus struct {
	Does Does   `json:"does"`
	Unit string `json:"unit"` // of Alone and Pulse
}

// Does says how lamps stand for focusing.
type Does string

// How lamps stand for focusing.
const (
	Nothing   Does = ""
	Alone     Does = "alone"      // one unit as bright as it is safe, all others dark
	Pulse     Does = "pulse"      // one unit slowly up and down, the others as they were
	AllOff    Does = "all off"    // darkness
	WorkLight Does = "work light" // all visible light
)

// Nothing tells whether the hand holds nothing at all.
func (s State) Nothing() bool {
	return s.Look == "" && len(s.Held) == 0 && len(s.Trims) == 0 && len(s.Outs) == 0 && s.Focus == Focus{}
}

// Tonight is what of the state is for the whole night, and outlives the program: all but
// how lamps stand for focusing and for being looked at.
func (s State) Tonight() State {
	s.Focus, s.Look = Focus{}, ""
	return s
}

// Unlit is the state without the black light that a hand has asked for, for a hand that goes on
// after the lamps were left to themselves for longer than that may stand; set tells whether there
// was any. Units that are held without black light stay so, and where one alone was up for
// somebody on a ladder there is light to work by. Looks are the show's own.
func (s State) Unlit(r *rig.Rig) (next State, set bool) {
	s.Held = slices.Clone(s.Held)
	for i := range s.Held {
		if h := &s.Held[i]; h.Dark && h.Level > 0 {
			h.Level, set = 0, true
		}
	}
	if u := r.Index(s.Focus.Unit); u >= 0 {
		from, to := r.UnitDrives(u)
		for d := from; d < to; d++ {
			if r.Emitter(d).Light.BlackLight() {
				s.Focus, set = Focus{Does: WorkLight}, true
			}
		}
	}
	return s, set
}

// OutUnits lists the units that are out.
func (s State) OutUnits() []string {
	var names []string
	for _, o := range s.Outs {
		names = append(names, o.Unit)
	}
	return names
}

// hold sets units. What they were set to before, of the same kind, is let go.
func (s State) hold(h Held) State {
	s = s.release(h.Units, func(old *Held) bool { return old.Dark == h.Dark })
	s.Held = append(s.Held, h)
	return s
}

// letGo lets units go, whatever they are set to.
func (s State) letGo(units []string) State {
	return s.release(units, func(*Held) bool { return true })
}

// release takes units out of what is held.
func (s State) release(units []string, which func(*Held) bool) State {
	var held []Held
	for _, h := range s.Held {
		if which(&h) && slices.ContainsFunc(h.Units, func(u string) bool { return slices.Contains(units, u) }) {
			h.System = ""
			h.Units = slices.DeleteFunc(slices.Clone(h.Units), func(u string) bool { return slices.Contains(units, u) })
		}
		if len(h.Units) > 0 {
			held = append(held, h)
		}
	}
	s.Held = held
	return s
}

// trim sets a trim; a factor of 1 takes it away.
func (s State) trim(t Trim) State {
	trims := slices.DeleteFunc(slices.Clone(s.Trims), func(o Trim) bool { return o.System == t.System && o.Unit == t.Unit })
	if t.Factor != 1 {
		trims = append(trims, t)
	}
	s.Trims = trims
	return s
}

// takeOut takes a unit out; back brings it back.
func (s State) takeOut(o Out) State {
	s = s.back(o.Unit)
	s.Outs = append(s.Outs, o)
	return s
}

func (s State) back(unit string) State {
	s.Outs = slices.DeleteFunc(slices.Clone(s.Outs), func(o Out) bool { return o.Unit == unit })
	return s
}
