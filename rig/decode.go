package rig

import (
	"slices"

	"lampblack/light"
)

// Decoder turns slots into light: what units make of them. It is made once and
// may be used by many goroutines.
type Decoder struct {
	units []unitDecoder
}

// unitDecoder is one unit's slot table.
type unitDecoder struct {
	universe, address int // index in the frame's universes; from 0
	first, last       int // drives
	slots             []slotDecoder
}

// slotDecoder is one slot of the table, or a pair.
type slotDecoder struct {
	coarse, fine int // from 0; fine is -1 without
	// What the slot lets through at each value, 0 to 1; unused with fine.
	share [256]float32
	wide  light.Curve // of a pair
	// It multiplies the light of these.
	drives []int // from the rig's first
}

// NewDecoder makes a decoder; universes gives the place of each universe
// number in the frames to come.
func NewDecoder(r *Rig, universes []int) *Decoder {
	d := &Decoder{}
	for i := range r.Units {
		u := &r.Units[i]
		if u.Mode == nil || u.Address < 1 || u.Address+u.Mode.Footprint-1 > 512 {
			continue // said by Read
		}
		c := unitDecoder{universe: slices.Index(universes, u.Universe), address: u.Address - 1}
		c.first, c.last = r.UnitDrives(i)
		for j := range u.Mode.Slots {
			s := u.Mode.Slots[j].decoder()
			for k := c.first; k < c.last; k++ {
				if u.Mode.Slots[j].reaches(u, &r.Drives[k], j) {
					s.drives = append(s.drives, k)
				}
			}
			if len(s.drives) > 0 {
				c.slots = append(c.slots, s)
			}
		}
		d.units = append(d.units, c)
	}
	return d
}

// decoder tabulates the slot. Where a slot dims in a part of its travel only (level), its
// curve runs from end to end of that part.
func (s *Slot) decoder() slotDecoder {
	d := slotDecoder{coarse: s.Coarse - 1, fine: s.Fine - 1}
	if s.Fine > 0 {
		d.wide = s.Curve.Light().Wide()
	}
	level := s.find(Level, LevelDown)
	curve := s.Curve.Light()
	if level != nil {
		curve.Max = uint16(level.To - level.From)
		curve.Full = min(curve.Full, curve.Max)
	}
	for v := range d.share {
		d.share[v] = s.through(v, level, &curve)
	}
	return d
}

// through is what a slot of 8 bits lets through at a value; a flash counts as
// open, and so does a program that nobody knows: light that may be there is there, for
// checks that count on the most. Values that no range names are open too, unless the
// slot is a drive or a master without a part for dimming.
func (s *Slot) through(v int, level *Range, curve *light.Curve) float32 {
	if r := s.At(v); r != nil {
		switch r.Does {
		case Closed:
			return 0
		case Level:
			return float32(curve.Level(uint16(v - r.From)))
		case LevelDown:
			return float32(curve.Level(uint16(r.To - v)))
		case Open, Never, Flash, FlashRandom:
			return 1
		}
	}
	if s.Drives == "" && len(s.Dims) == 0 || level != nil {
		return 1
	}
	return float32(curve.Level(uint16(v)))
}

// reaches tells whether the slot, the j-th of its mode, drives or dims the
// drive, or is a shutter before it.
func (s *Slot) reaches(u *Unit, d *Drive, j int) bool {
	switch {
	case s.Drives != "":
		return d.Slot == j
	case len(s.Dims) > 0:
		return s.dims(u.Type.Emitters[d.Emitter].Name, d.Cells)
	}
	return len(s.Ranges) > 0
}

// Decode puts what the units make of universes, in the order that was given to
// NewDecoder, into levels, by drive. A unit that flashes counts as lit.
func (d *Decoder) Decode(levels []float32, universes []Universe) {
	clear(levels)
	for i := range d.units {
		u := &d.units[i]
		slots := universes[u.universe].Slots[u.address:]
		for k := u.first; k < u.last; k++ {
			levels[k] = 1
		}
		for j := range u.slots {
			s := &u.slots[j]
			share := s.share[slots[s.coarse]]
			if s.fine >= 0 {
				share = float32(s.wide.Level(uint16(slots[s.coarse])<<8 | uint16(slots[s.fine])))
			}
			for _, k := range s.drives {
				levels[k] *= share
			}
		}
	}
}
