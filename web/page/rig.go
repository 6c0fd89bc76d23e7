package page

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"lampblack/light"
	"lampblack/plate"
	"lampblack/plate/drawing"
	"lampblack/rig"
	"lampblack/room"
	"lampblack/si"
)

// Rig is the rig for its page.
type Rig struct {
	Units    []Unit    `json:"units"`
	Types    []Type    `json:"types"`
	Circuits []Circuit `json:"circuits"`
	Supports []Support `json:"supports"`
	Lines    []string  `json:"lines"`
	BuiltIn  []BuiltIn `json:"builtIn"` // types that units may be of beside those
}

// Support is what units hang or stand on.
type Support struct {
	Name   string  `json:"name"`
	Kind   string  `json:"kind"`
	Height float64 `json:"height"` // 0 where nobody said
}

// BuiltIn is a built-in type by its name and those of its modes.
type BuiltIn struct {
	ID    string `json:"id"`
	Modes []Mode `json:"modes"` // without their slots
}

// Unit is one lamp as hung.
type Unit struct {
	Name     string     `json:"name"`
	Type     int        `json:"type"` // in Rig.Types
	Mode     string     `json:"mode"`
	Universe int        `json:"universe"`
	Address  int        `json:"address"` // start address
	Last     int        `json:"last"`    // last slot
	At       [3]float64 `json:"at"`
	Aim      [3]float64 `json:"aim"`
	Turn     float64    `json:"turn"`    // degrees
	Row      [3]float64 `json:"row"`     // direction of its row of cells
	Guessed  bool       `json:"guessed"` // where it hangs, or aims
	On       string     `json:"on"`      // the support
	Systems  []string   `json:"systems"`
	Circuit  string     `json:"circuit"`
	FedBy    string     `json:"fedBy"`
	Line     string     `json:"line"`
	OnLoss   string     `json:"onLoss"`
	Note     string     `json:"note"`
}

// Type is a fixture type.
type Type struct {
	ID       string     `json:"id"`
	Name     string     `json:"name"`
	Cells    int        `json:"cells"`
	Size     [3]float64 `json:"size"`  // along the row of cells, across, in depth; m
	Half     float64    `json:"half"`  // beam angle, degrees
	Tenth    float64    `json:"tenth"` // field angle, degrees
	Max      float64    `json:"max"`   // W
	Emitters []Emitter  `json:"emitters"`
	Modes    []Mode     `json:"modes"`
}

// Emitter is one colour of light of a type.
type Emitter struct {
	Name     string  `json:"name"`
	Output   string  `json:"output"`   // as written
	Peak     float64 `json:"peak"`     // nm, of the spectrum
	Spectrum string  `json:"spectrum"` // drawn, as SVG
}

// Mode is a slot table.
type Mode struct {
	Name      string `json:"name"`
	Footprint int    `json:"footprint"`
	Slots     []Slot `json:"slots"`
}

// Slot is one row of a slot table.
type Slot struct {
	Number string `json:"number"`
	Does   string `json:"does"`
}

// Circuit is a circuit with what the units on it draw at most.
type Circuit struct {
	Name        string  `json:"name"`
	Breaker     string  `json:"breaker"`
	Voltage     float64 `json:"voltage"`
	VoltageSaid bool    `json:"voltageSaid"` // by the rig file; otherwise the voltage that check assumes
	Watts       float64 `json:"watts"`       // rated maxima of its units of known type, summed
	Units       []int   `json:"units"`
}

const degree = math.Pi / 180

// metres rounds to a millimetre: finer is noise of the file's units, and makes answers
// longer.
func metres(p [3]si.Length) [3]float64 {
	var out [3]float64
	for i, v := range p {
		out[i] = math.Round(float64(v)*1000) / 1000
	}
	return out
}

// typesOf takes the fixture types in the order of their names, which Unit.Type counts
// by.
func typesOf(r *rig.Rig) []Type {
	out := make([]Type, 0, len(r.Types))
	for _, entry := range r.Types {
		t := entry.Value
		p := Type{
			ID: t.ID, Name: t.Name, Cells: t.CellCount(), Size: metres(t.Size),
			Half: tidy(float64(t.Beam.Half) / degree), Tenth: tidy(float64(t.Beam.Tenth) / degree),
			Max: float64(t.Supply.Max), Emitters: []Emitter{}, Modes: []Mode{},
		}
		for i := range t.Emitters {
			p.Emitters = append(p.Emitters, emitterOf(t.Emitters[i].Name, &t.Emitters[i].Value))
		}
		for i := range t.Modes {
			p.Modes = append(p.Modes, modeOf(t.Modes[i].Name, &t.Modes[i].Value))
		}
		out = append(out, p)
	}
	return out
}

func tidy(v float64) float64 { return math.Round(v*10) / 10 }

// emitterOf gives an emitter with its output as the file has it, in lumens or watts,
// and where its spectrum is highest, to the nanometre.
func emitterOf(name string, e *rig.Emitter) Emitter {
	p := Emitter{Name: name, Output: e.Output.Radiant.String()}
	if e.Output.InLumens() {
		p.Output = e.Output.Luminous.String()
	}
	top := 0.0
	for i, v := range e.Light.Spectrum {
		if v > top {
			top, p.Peak = v, float64(light.First+i)
		}
	}
	p.Spectrum = text(plate.SmallSpectrum(name, &e.Light))
	return p
}

// text is a drawing without pictures as SVG, which cannot fail.
func text(d *drawing.Drawing) string {
	data, err := d.SVG()
	if err != nil {
		panic("page: " + err.Error())
	}
	return string(data)
}

// unitsIn takes the units in the order of the rig. What a unit does without data is its
// own, else its type's.
func unitsIn(r *rig.Rig) []Unit {
	out := make([]Unit, 0, len(r.Units))
	for i := range r.Units {
		u := &r.Units[i]
		p := Unit{
			Name: u.Name.Name, Type: r.Types.Index(u.TypeName.Name), Mode: u.ModeName.Name,
			Universe: u.Universe, Address: u.Address, At: metres(u.At), Aim: metres(u.Aim), Turn: tidy(float64(u.Turn) / degree), On: u.On.Name, Guessed: u.Guessed(rig.GuessedPlace | rig.GuessedAim),
			Systems: append([]string{}, u.Systems...), Circuit: u.Circuit.Name, FedBy: u.FedBy.Name,
			Line: u.Line.Name, OnLoss: string(u.OnLoss), Note: u.Note,
		}
		_, row := room.Hung(u)
		p.Row = direction(row)
		if u.Mode != nil {
			p.Last = u.Address + u.Mode.Footprint - 1
		}
		if p.OnLoss == "" && u.Type != nil {
			p.OnLoss = string(u.Type.OnLoss)
		}
		out = append(out, p)
	}
	return out
}

// supportsOf takes what units hang or stand on.
func supportsOf(r *rig.Rig) []Support {
	out := []Support{}
	for _, e := range r.Supports {
		out = append(out, Support{e.Name, string(e.Value.Kind), float64(e.Value.Height)})
	}
	return out
}

// builtIn lists the built-in types that the show has no type of the name of.
func builtIn(r *rig.Rig) []BuiltIn {
	out := []BuiltIn{}
	for _, e := range rig.Generic() {
		if r.Types.Index(e.Name) >= 0 {
			continue
		}
		one := BuiltIn{ID: e.Name, Modes: []Mode{}}
		for i := range e.Value.Modes {
			m := &e.Value.Modes[i]
			one.Modes = append(one.Modes, Mode{m.Name, m.Value.Footprint, []Slot{}})
		}
		out = append(out, one)
	}
	return out
}

// circuitsOf follows link chains back to the circuit that feeds them. Watts are rated
// maxima, without power factors or other loads: what a person adds up, and not what
// package check judges.
func circuitsOf(r *rig.Rig) []Circuit {
	out := make([]Circuit, 0, len(r.Circuits))
	for _, entry := range r.Circuits {
		c := Circuit{Name: entry.Name, Breaker: entry.Value.Breaker.String(), Voltage: float64(entry.Value.Mains()), VoltageSaid: entry.Value.Voltage > 0, Units: []int{}}
		for i := range r.Units {
			if feeder(r, i) == entry.Name {
				c.Units = append(c.Units, i)
				if t := r.Units[i].Type; t != nil {
					c.Watts += float64(t.Supply.Max)
				}
			}
		}
		out = append(out, c)
	}
	return out
}

// feeder is the circuit at the head of a unit's link chain, "" when there is
// none. A chain longer than the rig runs in a circle.
func feeder(r *rig.Rig, unit int) string {
	for range r.Units {
		u := &r.Units[unit]
		if u.FedBy.Name == "" {
			return u.Circuit.Name
		}
		if unit = r.Index(u.FedBy.Name); unit < 0 {
			return ""
		}
	}
	return ""
}

// modeOf writes a slot table for people, "5–6" for a pair.
func modeOf(name string, m *rig.Mode) Mode {
	out := Mode{Name: name, Footprint: m.Footprint, Slots: []Slot{}}
	for i := range m.Slots {
		s := &m.Slots[i]
		number := strconv.Itoa(s.Coarse)
		if s.Fine > 0 {
			number += "–" + strconv.Itoa(s.Fine)
		}
		out.Slots = append(out.Slots, Slot{number, slotInWords(s)})
	}
	return out
}

// slotInWords says what a slot does, for the patch list.
func slotInWords(s *rig.Slot) string {
	var parts []string
	if s.Drives != "" {
		parts = append(parts, s.Drives)
	}
	if s.Cell > 0 {
		parts = append(parts, fmt.Sprintf("cell %d", s.Cell))
	}
	if len(s.Dims) > 0 {
		parts = append(parts, "dims "+strings.Join(s.Dims, ", "))
	}
	if s.Curve.DarkTo > 0 {
		parts = append(parts, fmt.Sprintf("dark to %d", s.Curve.DarkTo))
	}
	if s.Curve.FullFrom > 0 {
		parts = append(parts, fmt.Sprintf("full from %d", s.Curve.FullFrom))
	}
	if s.Idle != "" {
		parts = append(parts, s.Idle)
	}
	for i := range s.Ranges {
		parts = append(parts, rangeInWords(&s.Ranges[i]))
	}
	if s.Set != nil {
		parts = append(parts, fmt.Sprintf("held at %d", *s.Set))
	}
	return strings.Join(parts, "; ")
}

// rangeInWords is a range of slot values as its file has it: "10 to 127 flash
// 1 Hz to 12 Hz".
func rangeInWords(r *rig.Range) string {
	text := strconv.Itoa(r.From)
	if r.To > r.From {
		text = fmt.Sprintf("%d to %d", r.From, r.To)
	}
	return text + " " + r.Meaning()
}
