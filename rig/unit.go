package rig

import (
	"slices"

	"lampblack/si"
	"lampblack/source"
)

// Unit is one lamp as hung.
type Unit struct {
	source.Pos
	Name     source.Ref    `key:"unit,required"`
	TypeName source.Ref    `key:"type,required"`
	ModeName source.Ref    `key:"mode"`                         // may be left out where the type has one mode, or is built in
	Universe int           `key:"universe" within:"1 to 63999"` // as ANSI E1.31 numbers them; 1 when absent
	Address  int           `key:"address,required" within:"1 to 512"`
	Hung     *[3]si.Length `key:"at"`   // as written; nil where nobody said
	Aimed    *[3]si.Length `key:"aim"`  // the same
	Turn     si.Angle      `key:"turn"` // of its row of cells out of the level, about the beam
	Systems  []string      `key:"systems"`
	Use      Use           `key:"use"`     // what it is for beside the show
	Circuit  source.Ref    `key:"circuit"` // fed straight from this circuit
	FedBy    source.Ref    `key:"fed by"`  // or through the unit before it in a link chain
	Lead     Cable         `key:"lead"`    // the supply cable that reaches this unit
	Line     source.Ref    `key:"line"`
	On       source.Ref    `key:"on"`          // the support that it hangs or stands on
	Bond     *bool         `key:"safety bond"` // a second suspension, as a steel rope; nil where nobody said
	Outside  bool          `key:"outdoors"`    // in rain, dew or damp
	Mask     si.Angle      `key:"mask"`        // flag: no light above this angle over the level
	OnLoss   DataLoss      `key:"on data loss"`
	Note     string        `key:"note"`

	Type *Type // set by Read
	Mode *Mode // set by Read

	// At and Aim are Hung and Aimed, or what is guessed in their place (Guessed).
	At, Aim [3]si.Length
	guessed Guess
}

// Use says that light is there for people to work or walk by. A draft leaves
// such light alone.
type Use string

// Uses of light beside the show.
const (
	WorkLight   Use = "work light"
	SafetyLight Use = "safety light" // for people to walk by: paths, steps, doors
)

// Choices lists the uses.
func (Use) Choices() []string { return []string{string(WorkLight), string(SafetyLight)} }

// Drive is one amount of light that can be set alone.
type Drive struct {
	Unit    int   // index in Rig.Units
	Emitter int   // index in Type.Emitters
	Cells   []int // the cells that it lights, from 0
	Slot    int   // index in Mode.Slots
}

// Rig is everything that hangs and feeds. Units keep the file's order.
type Rig struct {
	Types    source.Named[*Type]
	Units    []Unit
	Circuits source.Named[Circuit]
	Lines    source.Named[Line]
	Supports source.Named[Support]
	Drives   []Drive // by unit, then slot
	first    []int   // index of each unit's first drive, and one past the last
}

// With is the rig with other units in place of its own, each with its type and mode set: what it takes to try
// many ways to hang it. Circuits, lines and supports are shared with r, which stays as it was.
func (r *Rig) With(units []Unit) *Rig {
	o := *r
	o.Units, o.Drives, o.first = units, nil, nil
	o.drives()
	return &o
}

// UnitDrives returns the range of Drives that belongs to unit u.
func (r *Rig) UnitDrives(u int) (from, to int) { return r.first[u], r.first[u+1] }

// Emitter returns the emitter that drive d feeds.
func (r *Rig) Emitter(d int) *Emitter {
	drive := r.Drives[d]
	return &r.Units[drive.Unit].Type.Emitters[drive.Emitter].Value
}

// Index returns the unit with the name, or -1.
func (r *Rig) Index(name string) int {
	for i := range r.Units {
		if r.Units[i].Name.Name == name {
			return i
		}
	}
	return -1
}

// All is the system of all units that are there for the show, where no unit names a
// system of that name itself.
const All = "all"

// System returns the indexes of the units that belong to the system, in the file's
// order. A unit may belong to several.
func (r *Rig) System(name string) []int {
	out := r.naming(name)
	if out != nil || name != All {
		return out
	}
	for i := range r.Units {
		if r.Units[i].Use == "" {
			out = append(out, i)
		}
	}
	return out
}

// naming lists the units that name a system.
func (r *Rig) naming(name string) []int {
	var out []int
	for i := range r.Units {
		for _, s := range r.Units[i].Systems {
			if s == name {
				out = append(out, i)
				break
			}
		}
	}
	return out
}

// Systems lists the names of all systems, in the order in which units name
// them first.
func (r *Rig) Systems() []string {
	var out []string
	for i := range r.Units {
		for _, s := range r.Units[i].Systems {
			if !slices.Contains(out, s) {
				out = append(out, s)
			}
		}
	}
	return out
}

// UnitNames lists the names of all units.
func (r *Rig) UnitNames() []string {
	out := make([]string, len(r.Units))
	for i := range r.Units {
		out[i] = r.Units[i].Name.Name
	}
	return out
}

// BlackLight tells whether the unit gives nothing but ultraviolet.
func (u *Unit) BlackLight() bool {
	if u.Type == nil || len(u.Type.Emitters) == 0 {
		return false
	}
	for i := range u.Type.Emitters {
		if !u.Type.Emitters[i].Value.Light.BlackLight() {
			return false
		}
	}
	return true
}

// WithoutData is what the unit does when its data stops: by its own word, else by its type's.
func (u *Unit) WithoutData() DataLoss {
	if u.OnLoss != LossUnknown || u.Type == nil {
		return u.OnLoss
	}
	return u.Type.OnLoss
}
