package desk

import (
	"slices"

	"lampblack/light"
	"lampblack/rig"
)

// decoder turns slot values into light: what units do with values that were
// not meant for them.
type decoder struct {
	rig   *rig.Rig
	units []unitDecoder // of the desk's universe
}

// unitDecoder is one unit's slot table.
type unitDecoder struct {
	unit        int
	address     int // from 0
	footprint   int
	first, last int // drives
	parts       []slotDecoder
}

// slotDecoder is one slot of the table. curve is over the whole slot, or over the span
// that dims, whose first value is its 0; of two slots over both together.
type slotDecoder struct {
	*rig.Slot
	curve  light.Curve
	level  *rig.Range // the span that dims, when only a part of the slot does
	drives []int      // from the rig's first
}

// newDecoder makes the decoder of one universe. Units whose slots do not lie inside the
// universe are left out, as they are in package rig.
func newDecoder(r *rig.Rig, universe int) *decoder {
	d := &decoder{rig: r}
	for i := range r.Units {
		u := &r.Units[i]
		if u.Mode == nil || u.Universe != universe || u.Address < 1 || u.Address+u.Mode.Footprint-1 > 512 {
			continue
		}
		d.units = append(d.units, newUnitDecoder(r, i))
	}
	return d
}

// newUnitDecoder makes the decoder of one unit that has a mode. The curve is measured
// against the span that dims, so its Max is the span's length; a curve that is full
// before the end of the slot cannot be full later than the span ends.
func newUnitDecoder(r *rig.Rig, unit int) unitDecoder {
	u := &r.Units[unit]
	d := unitDecoder{unit: unit, address: u.Address - 1, footprint: u.Mode.Footprint}
	d.first, d.last = r.UnitDrives(unit)
	for j := range u.Mode.Slots {
		s := &u.Mode.Slots[j]
		p := slotDecoder{Slot: s, curve: s.Curve.Light()}
		for k := range s.Ranges {
			if does := s.Ranges[k].Does; does == rig.Level || does == rig.LevelDown {
				p.level = &s.Ranges[k]
				p.curve.Max = uint16(p.level.To - p.level.From)
				p.curve.Full = min(p.curve.Full, p.curve.Max)
			}
		}
		if s.Fine > 0 {
			p.curve = p.curve.Wide()
		}
		for drive := d.first; drive < d.last; drive++ {
			if p.reaches(u, &r.Drives[drive], j) {
				p.drives = append(p.drives, drive)
			}
		}
		d.parts = append(d.parts, p)
	}
	return d
}

// reaches tells whether the slot drives or dims the drive, or is a shutter
// before it.
func (p *slotDecoder) reaches(u *rig.Unit, drive *rig.Drive, slot int) bool {
	switch {
	case p.Drives != "":
		return drive.Slot == slot
	case len(p.Dims) > 0:
		name := u.Type.Emitters[drive.Emitter].Name
		here := p.Cell == 0 || slices.Contains(drive.Cells, p.Cell-1)
		return here && (slices.Contains(p.Dims, "all") || slices.Contains(p.Dims, name))
	}
	return len(p.Ranges) > 0
}

// decode puts what the units make of a universe into levels. A flash counts as
// full light.
func (d *decoder) decode(levels []float32, universe []byte) {
	for i := range d.units {
		d.units[i].light(levels, universe[d.units[i].address:], true)
	}
}

// light decodes a unit's slots into levels, by drive of the rig; ok is false when a
// value lies where the unit would do what nobody asked for, as to flash when it was not
// asked to. A drive's light is the product of all that stands before it: its own slot,
// each master that dims it, and a shutter. slots begins with the unit's first; drives
// of other units stay as they were.
func (d *unitDecoder) light(levels []float32, slots []byte, asked bool) (ok bool) {
	for i := d.first; i < d.last; i++ {
		levels[i] = 1
	}
	ok = true
	for i := range d.parts {
		share, fine := d.parts[i].share(slots, asked)
		ok = ok && fine
		for _, drive := range d.parts[i].drives {
			levels[drive] *= float32(share)
		}
	}
	return ok
}

// share returns what a slot lets through, 0 to 1. What a range does comes first; only
// values in no range, or in one that says nothing of light, go by the curve. A
// forbidden value lets all through, as the worst that may happen, and is not ok.
func (p *slotDecoder) share(slots []byte, asked bool) (share float64, ok bool) {
	value := int(slots[p.Coarse-1])
	if r := p.At(value); r != nil {
		switch r.Does {
		case rig.Never:
			return 1, false
		case rig.Flash, rig.FlashRandom:
			return 1, asked
		case rig.Closed:
			return 0, true
		case rig.Open:
			return 1, true
		case rig.Level:
			return p.curve.Level(uint16(value - r.From)), true
		case rig.LevelDown:
			return p.curve.Level(uint16(r.To - value)), true
		}
	}
	if p.Drives == "" && len(p.Dims) == 0 || p.level != nil {
		return 1, true
	}
	if p.Fine > 0 {
		return p.curve.Level(uint16(value)<<8 | uint16(slots[p.Fine-1])), true
	}
	return p.curve.Level(uint16(value)), true
}
