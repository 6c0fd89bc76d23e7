package rig

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"lampblack/si"
	"lampblack/source"
)

// Form is the text of rig.yaml.
type Form struct {
	source.Pos
	Units    []Unit                `key:"units,required"`
	Circuits source.Named[Circuit] `key:"circuits"`
	Lines    source.Named[Line]    `key:"lines"`
	Supports source.Named[Support] `key:"supports"`
}

// MaxUnits bounds a rig: more is another program's job and a sign of the wrong
// file.
const MaxUnits = 2000

// ReadType reads one fixture type; id is the name that units call it by. The type can
// be used even with faults: what was wrong in it was replaced by something that computes.
func ReadType(id, file string, data []byte) (*Type, source.Faults) {
	t := &Type{ID: id}
	faults := source.Decode(file, data, t)
	if t.Pos.Line > 0 {
		t.check(&faults)
	}
	faults.Sort()
	return t, faults
}

// Read reads rig.yaml against the fixture types. A unit whose type or mode is not there
// stays in the list and has no drives.
func Read(file string, data []byte, types source.Named[*Type]) (*Rig, source.Faults) {
	var f Form
	faults := source.Decode(file, data, &f)
	r := &Rig{Types: types, Units: f.Units, Circuits: f.Circuits, Lines: f.Lines, Supports: f.Supports}
	if len(r.Units) > MaxUnits {
		faults.Add(f.Pos, "", "%d units are more than the %d that one show may have", len(r.Units), MaxUnits)
		r.Units = r.Units[:MaxUnits]
	}
	r.link(&faults)
	r.drives()
	faults.Sort()
	return r, faults
}

// checkLens finds openings that are larger than the unit that they are in.
func (t *Type) checkLens(faults *source.Faults) {
	room := [2]si.Length{t.Size[0] / si.Length(max(t.Cells, 1)), t.Size[1]}
	for i, s := range t.Lens {
		switch {
		case s < 0 || s > 20:
			faults.Add(t.Pos, "", "its lens of %v in place %d lies outside 0 to 20 m", s, i+1)
			t.Lens[i] = 0
		case room[i] > 0 && s > room[i]*1.001:
			faults.Add(t.Pos, "lens is one opening, along the cells and across; size is the whole unit", "its lens of %v in place %d is larger than the %v that each cell has", s, i+1, room[i])
			t.Lens[i] = room[i]
		}
	}
}

// check finds what is wrong with a type beyond its form. Its limits, and those below,
// are wide enough for every lamp that is sold and only catch slips of the hand, such as
// mm for m (no source).
func (t *Type) check(faults *source.Faults) {
	if t.Cells < 0 || t.Cells > 512 {
		faults.Add(t.Pos, "", "%d cells lie outside 1 to 512", t.Cells)
		t.Cells = 1
	}
	for i, s := range t.Size {
		if s < 0 || s > 20 {
			faults.Add(t.Pos, "", "its size %v in place %d lies outside 0 to 20 m", s, i+1)
		}
	}
	t.checkLens(faults)
	t.checkBody(faults)
	t.checkIntensity(faults)
	t.Beam.check(faults)
	t.Supply.check(faults)
	for i := range t.Emitters {
		t.Emitters[i].Value.check(t.Emitters[i].Name, faults)
	}
	if len(t.Emitters) == 0 {
		faults.Add(t.Pos, "", "the fixture type has no emitter")
	}
	if len(t.Modes) == 0 {
		faults.Add(t.Pos, "", "the fixture type has no mode")
	}
	for i := range t.Modes {
		t.checkMode(&t.Modes[i].Value, faults)
	}
}

// check holds both full angles inside what a beam can have.
func (b *Beam) check(faults *source.Faults) {
	deg := func(a float64) float64 { return a * 180 / math.Pi }
	if b.Pos.Line == 0 {
		return
	}
	// A laser is no lamp here, and a half-space has no beam; 0.7 rad is 40°.
	if h := deg(float64(b.Half)); h < 1 || h > 179 {
		faults.Add(b.Pos, "the full angle at half of the peak intensity", "a beam of %.4g° lies outside 1° to 179°", h)
		b.Half = 0.7
	}
	if t := deg(float64(b.Tenth)); t != 0 && (t <= deg(float64(b.Half)) || t > 180) {
		faults.Add(b.Pos, "the full angle at a tenth of the peak", "the field angle %.4g° must lie between the beam angle and 180°", t)
		b.Tenth = 0
	}
}

// check finds what is wrong with an emitter, and measures it. Its light is computed
// even then, so that a rig with a fault in it can still be looked at.
func (e *Emitter) check(name string, faults *source.Faults) {
	if e.Pos.Line == 0 {
		return
	}
	before := len(*faults)
	if ways := e.descriptions(); ways != 1 {
		faults.Add(e.Pos, "give peak and width, or like, or spectrum", "emitter %s needs one description of its spectrum, and has %d", name, ways)
	}
	e.checkLine(name, faults)
	e.checkOutput(name, faults)
	for _, row := range e.Spectrum {
		if row.Power < 0 {
			faults.Add(e.Pos, "", "the spectrum of emitter %s has a negative value at %v", name, row.At)
			break
		}
	}
	if len(*faults) > before { // what follows from it is not said again
		faults = &source.Faults{}
	}
	e.measure(name, faults)
}

// descriptions counts the ways in which the spectrum is given: by a line, by a
// likeness, by a table.
func (e *Emitter) descriptions() (ways int) {
	for _, given := range []bool{e.Peak != 0 || e.Width != 0, e.Like != "", len(e.Spectrum) > 0} {
		if given {
			ways++
		}
	}
	return ways
}

// checkLine holds peak and width inside the wavelengths that are computed with, 300 nm
// to 780 nm, and inside what single LEDs have.
func (e *Emitter) checkLine(name string, faults *source.Faults) {
	if (e.Peak != 0 || e.Width != 0) && (e.Peak < 300 || e.Peak > 780) {
		faults.Add(e.Pos, "", "the peak of emitter %s, %v, lies outside 300 nm to 780 nm", name, e.Peak)
		e.Peak = min(max(e.Peak, 300), 780)
	}
	if e.Peak != 0 && (e.Width < 1 || e.Width > 200) {
		faults.Add(e.Pos, "the full width at half maximum, 10 nm to 35 nm for most", "the width of emitter %s, %v, lies outside 1 nm to 200 nm", name, e.Width)
		e.Width = 20
	}
}

// checkOutput holds the output inside 0 and what no lamp for a small stage reaches:
// 10 kW of light, or ten million lumens.
func (e *Emitter) checkOutput(name string, faults *source.Faults) {
	if e.Output.Radiant.Low < 0 || e.Output.Luminous.Low < 0 {
		faults.Add(e.Pos, "", "the output of emitter %s is negative, or its spread reaches below zero", name)
		e.Output = Output{}
	}
	if e.Output.Radiant.Best > 10000 || e.Output.Luminous.Best > 1e7 {
		faults.Add(e.Pos, "", "the output of emitter %s is beyond any lamp", name)
	}
}

// checkMode holds the slots of a mode against the emitters and cells of the type, and
// finds numbers that are used twice.
func (t *Type) checkMode(m *Mode, faults *source.Faults) {
	names := source.Names(t.Emitters)
	used := map[int]int{}
	for i := range m.Slots {
		s := &m.Slots[i]
		for _, n := range []int{s.Coarse, s.Fine} {
			if line, twice := used[n]; twice && n != 0 {
				faults.Add(s.Pos, fmt.Sprintf("also on line %d", line), "slot %d of the mode is used twice", n)
			}
			used[n] = s.Line
		}
		// "all" is what a master dims, not the name of an emitter.
		for _, e := range append(slices.Clone(s.Dims), s.Drives) {
			if e != "" && e != "all" && !slices.Contains(names, e) {
				faults.Add(s.Pos, source.OneOf(e, names), "the type has no emitter %q", e)
			}
		}
		if s.Cell < 0 || s.Cell > t.CellCount() {
			faults.Add(s.Pos, "", "cell %d lies outside 1 to %d", s.Cell, t.CellCount())
			s.Cell = 0
		}
		s.Curve.check(faults)
	}
}

// check holds the dead bands at the ends of a curve inside the slot's travel.
func (c *Curve) check(faults *source.Faults) {
	if c.DarkTo < 0 || c.DarkTo > 254 || c.FullFrom != 0 && (c.FullFrom <= c.DarkTo || c.FullFrom > 255) {
		faults.Add(c.Pos, "dark to must be below full from, both inside 0-255", "the curve is dark to %d and full from %d", c.DarkTo, c.FullFrom)
		c.DarkTo, c.FullFrom = 0, 0
	}
}

// link ties units to types and modes, and reports dangling and double names.
func (r *Rig) link(faults *source.Faults) {
	lines := map[string]int{}
	for i := range r.Units {
		u := &r.Units[i]
		if u.Universe == 0 {
			u.Universe = 1
		}
		if u.Name.Name != "" {
			if line, twice := lines[u.Name.Name]; twice {
				faults.Add(u.Name.Pos, fmt.Sprintf("the first is on line %d", line), "two units have the name %q", u.Name.Name)
			}
			lines[u.Name.Name] = u.Name.Pos.Line
		}
		r.linkType(u, faults)
		u.checkPlace(faults)
	}
	r.linkSupply(faults)
	r.linkSupports(faults)
}

// linkType finds a unit's type and mode. A type without a mode counts as none, so that
// whoever has a Type may ask for its modes.
func (r *Rig) linkType(u *Unit, faults *source.Faults) {
	if u.TypeName.Name == "" {
		return
	}
	if u.Type = r.typeNamed(u.TypeName.Name); u.Type == nil {
		known := append(source.Names(r.Types), source.Names(Generic())...)
		faults.Add(u.TypeName.Pos, source.OneOf(u.TypeName.Name, known), "there is no fixture type %q", u.TypeName.Name)
		return
	}
	if _, guessed := u.Type.Shining(); guessed {
		u.guessed |= GuessedLens
	}
	modes := source.Names(u.Type.Modes)
	switch {
	case len(modes) == 0:
		u.Type = nil
	case u.ModeName.Name == "" && (len(modes) == 1 || u.Type.Generic()):
		u.Mode = &u.Type.Modes[0].Value
		if len(modes) > 1 {
			u.guessed |= GuessedMode
		}
	case u.ModeName.Name == "":
		faults.Add(u.Name.Pos, "it has "+strings.Join(modes, ", "), "unit %s does not say which mode of %s it is in", u.Name.Name, u.TypeName.Name)
	default:
		u.Mode = u.Type.Modes.Get(u.ModeName.Name)
		if u.Mode == nil {
			faults.Add(u.ModeName.Pos, source.OneOf(u.ModeName.Name, modes), "fixture type %s has no mode %q", u.TypeName.Name, u.ModeName.Name)
		}
	}
}

// typeNamed is the type of a name: one of the show's own, or else a built-in one, which
// then is one of the show's as well; nil when there is none.
func (r *Rig) typeNamed(name string) *Type {
	if t := r.Types.Get(name); t != nil {
		return *t
	}
	i := Generic().Index(name)
	if i < 0 {
		return nil
	}
	r.Types = append(r.Types[:len(r.Types):len(r.Types)], Generic()[i])
	return Generic()[i].Value
}

// checkPlace looks at address and position.
func (u *Unit) checkPlace(faults *source.Faults) {
	if u.Mode != nil && u.Address+u.Mode.Footprint-1 > 512 {
		faults.Add(u.Name.Pos, fmt.Sprintf("the highest address that fits is %d", 513-u.Mode.Footprint),
			"unit %s at address %d needs %d slots and runs past 512", u.Name.Name, u.Address, u.Mode.Footprint)
	}
	if u.Hung != nil {
		u.At = *u.Hung
	}
	if u.Aimed != nil {
		u.Aim = *u.Aimed
	}
	// A direction is needed even of a unit that lights nothing: plans draw it.
	if u.Hung != nil && u.Aimed != nil && u.At == u.Aim {
		faults.Add(u.Name.Pos, "aim is the point that it is pointed at", "unit %s is aimed at itself", u.Name.Name)
	}
	for i := range 3 {
		if max(u.At[i], u.Aim[i], -u.At[i], -u.Aim[i]) > 1000 {
			faults.Add(u.Name.Pos, "", "unit %s hangs or aims more than 1 km away", u.Name.Name)
		}
	}
}

// linkSupply holds the names of circuits, data lines and units that feed others against
// those that there are. Loops in a chain are for the checks of the supply.
func (r *Rig) linkSupply(faults *source.Faults) {
	circuits, lines := source.Names(r.Circuits), source.Names(r.Lines)
	for i := range r.Circuits {
		r.Circuits[i].Value.check(r.Circuits[i].Name, circuits, faults)
	}
	for i := range r.Lines {
		r.Lines[i].Value.check(r.Lines[i].Name, faults)
	}
	for i := range r.Units {
		u := &r.Units[i]
		if n := u.Circuit.Name; n != "" && !slices.Contains(circuits, n) {
			faults.Add(u.Circuit.Pos, source.OneOf(n, circuits), "there is no circuit %q", n)
		}
		if n := u.Line.Name; n != "" && !slices.Contains(lines, n) {
			faults.Add(u.Line.Pos, source.OneOf(n, lines), "there is no data line %q", n)
		}
		if n := u.FedBy.Name; n != "" && r.Index(n) < 0 {
			faults.Add(u.FedBy.Pos, source.OneOf(n, r.UnitNames()), "there is no unit %q to be fed by", n)
		}
	}
	for _, l := range r.Lines {
		for _, n := range l.Value.Order {
			if r.Index(n) < 0 {
				faults.Add(l.Pos, source.OneOf(n, r.UnitNames()), "data line %s names a unit %q that is not in the rig", l.Name, n)
			}
		}
	}
}

// drives lists every drive of every unit that has a mode: unit by unit, in the order of the
// slots, so that a unit's drives lie side by side from first[unit] to first[unit+1]. Masters
// and slots that light nothing are no drives.
func (r *Rig) drives() {
	for i := range r.Units {
		r.first = append(r.first, len(r.Drives))
		u := &r.Units[i]
		if u.Mode == nil {
			continue
		}
		for j := range u.Mode.Slots {
			s := &u.Mode.Slots[j]
			e := u.Type.Emitters.Index(s.Drives)
			if e < 0 {
				continue
			}
			r.Drives = append(r.Drives, Drive{Unit: i, Emitter: e, Cells: u.Type.cells(s.Cell), Slot: j})
		}
	}
	r.first = append(r.first, len(r.Drives))
}

// cells lists the cells from 0 that a slot's cell number means; no number, 0, is all.
func (t *Type) cells(number int) []int {
	if number > 0 {
		return []int{number - 1}
	}
	all := make([]int, t.CellCount())
	for i := range all {
		all[i] = i
	}
	return all
}
