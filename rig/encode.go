package rig

import (
	"slices"

	"lampblack/light"
)

// Encoder turns linear light into slots. It is made once and may be used by
// many goroutines.
type Encoder struct {
	units []unitCode
}

// unitCode is a unit made ready for encoding.
type unitCode struct {
	unit, turn        int
	universe, address int // index in the frame's universes; from 0
	first, last       int // drives
	masters           []masterCode
	drives            []driveCode
	fixed             []fixedCode
	shutters          []shutterCode
}

// slotCode writes one value, of 8 or 16 bits.
type slotCode struct {
	coarse, fine int // from 0 within the mode; fine is -1 without
	curve        light.Curve
	from, to     int // slot values that stand for dark and full
	turn         int // of the unit among those of its kind
	never        []Range
}

type masterCode struct {
	slotCode
	dims []int // drives, counted from the unit's first
	// A master that flashes in some of its range gives its rate there.
	flash *Range
}

type driveCode struct {
	slotCode
	master int // the master that carries its level, -1 without
}

type fixedCode struct{ slot, value int }

// shutterCode is a slot of ranges alone: open, or a flash rate.
type shutterCode struct {
	slot, open int
	flash      *Range
}

// Universe is the slots of one universe at one instant.
type Universe struct {
	Number int
	Slots  [512]byte
}

// Universes lists the numbers of the universes that the rig uses, ascending.
func (r *Rig) Universes() []int {
	var out []int
	for i := range r.Units {
		out = append(out, r.Units[i].Universe)
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// NewEncoder makes an encoder for the rig; universes gives the place of each
// universe number in the frames to come.
func NewEncoder(r *Rig, universes []int) *Encoder {
	e := &Encoder{}
	turns := map[*Type]int{}
	for i := range r.Units {
		u := &r.Units[i]
		if u.Mode == nil || u.Address < 1 || u.Address+u.Mode.Footprint-1 > 512 {
			continue // said by Read
		}
		first, last := r.UnitDrives(i)
		turn := turns[u.Type]
		turns[u.Type]++
		c := unitCode{unit: i, turn: turn, universe: slices.Index(universes, u.Universe), address: u.Address - 1, first: first, last: last}
		for j := range u.Mode.Slots {
			c.add(r, u, j)
		}
		c.carry()
		e.units = append(e.units, c)
	}
	return e
}

func (c *unitCode) add(r *Rig, u *Unit, slot int) {
	s := &u.Mode.Slots[slot]
	switch {
	case s.Drives != "":
		c.drives = append(c.drives, driveCode{slotCode: s.code(c.turn), master: -1})
	case len(s.Dims) > 0:
		m := masterCode{slotCode: s.code(c.turn), flash: s.find(Flash, FlashRandom)}
		for d := c.first; d < c.last; d++ {
			if s.dims(u.Type.Emitters[r.Drives[d].Emitter].Name, r.Drives[d].Cells) {
				m.dims = append(m.dims, d-c.first)
			}
		}
		c.masters = append(c.masters, m)
	case s.find(Flash, FlashRandom) != nil:
		c.shutters = append(c.shutters, shutterCode{s.Coarse - 1, s.rest(), s.find(Flash, FlashRandom)})
	default:
		c.fixed = append(c.fixed, fixedCode{s.Coarse - 1, s.rest()})
	}
}

// carry gives every drive the first master that dims it.
func (c *unitCode) carry() {
	for m := range c.masters {
		for _, d := range c.masters[m].dims {
			if c.drives[d].master < 0 {
				c.drives[d].master = m
			}
		}
	}
}

// dims tells whether a master slot dims the emitter in any of the cells.
func (s *Slot) dims(emitter string, cells []int) bool {
	if s.Cell > 0 && !slices.Contains(cells, s.Cell-1) {
		return false
	}
	return slices.Contains(s.Dims, "all") || slices.Contains(s.Dims, emitter)
}

// find returns the first range that does one of the actions.
func (s *Slot) find(actions ...Action) *Range {
	for i := range s.Ranges {
		if slices.Contains(actions, s.Ranges[i].Does) {
			return &s.Ranges[i]
		}
	}
	return nil
}

// rest is the value at which the slot lets light through and does nothing
// else: the middle of its open or empty range, or an end of it that is 0 or
// 255, since a value just inside a range may be another on the next batch.
func (s *Slot) rest() int {
	r := s.find(Open)
	if r == nil {
		r = s.find(Nothing)
	}
	switch {
	case r == nil:
		return s.Set
	case r.From == 0:
		return 0
	case r.To == 255:
		return 255
	}
	return (r.From + r.To) / 2
}

func (s *Slot) code(turn int) slotCode {
	c := slotCode{turn: turn, coarse: s.Coarse - 1, fine: s.Fine - 1, curve: s.Curve.Light(), to: 255}
	if l := s.find(Level); l != nil {
		c.from, c.to = l.From, l.To
		c.curve.Max = uint16(l.To - l.From)
		c.curve.Full = min(c.curve.Full, c.curve.Max)
	}
	if s.Fine > 0 {
		c.curve = c.curve.Wide()
	}
	for _, r := range s.Ranges {
		if r.Does == Never || r.Does == Flash || r.Does == FlashRandom || r.Does == Closed {
			c.never = append(c.never, r)
		}
	}
	return c
}

// Light returns the curve as package light computes it.
func (c Curve) Light() light.Curve {
	out := light.Curve{Law: light.Law(c.Then), Dark: uint16(c.DarkTo), Full: uint16(c.FullFrom), Max: 255}
	if n := len(c.Table); n > 1 {
		out.Law = light.Measured
		for i, l := range c.Table {
			out.Knots = append(out.Knots, light.Knot{Travel: float64(i) / float64(n-1), Light: l})
		}
	}
	return out
}

// put writes the slot value for a share of light. Units that fade together
// step at different points, so that a slow fade on 8 bits has more steps than
// one unit has.
func (c *slotCode) put(slots []byte, level float64) {
	v := int(c.curve.Stagger(level, c.turn, c.coarse))
	if c.fine >= 0 {
		slots[c.coarse], slots[c.fine] = byte(v>>8), byte(v)
		return
	}
	slots[c.coarse] = byte(c.outside(min(c.from+v, c.to)))
}

// outside moves a value out of ranges that must not be entered, downward if it
// can.
func (c *slotCode) outside(v int) int {
	for i := range c.never {
		if r := &c.never[i]; v >= r.From && v <= r.To {
			if r.From > 0 {
				return c.outside(r.From - 1)
			}
			return r.To + 1
		}
	}
	return v
}

// Encode writes the slots of all units into universes, in the order that was
// given to NewEncoder. Levels is by drive, flash by unit index in Hz. The
// master slot carries the brightest of what it dims, so that the colour keeps
// its steps at low levels; a unit that cannot flash ignores its rate.
func (e *Encoder) Encode(universes []Universe, levels, flash []float32) {
	for i := range e.units {
		u := &e.units[i]
		page := &universes[u.universe].Slots
		u.encode(page[u.address:], levels[u.first:u.last], float64(flash[u.unit]))
	}
}

func (u *unitCode) encode(slots []byte, levels []float32, flash float64) {
	for i := range u.masters {
		m := &u.masters[i]
		top := float32(0)
		for _, d := range m.dims {
			if u.drives[d].master == i {
				top = max(top, levels[d])
			} else if levels[d] > 0 {
				top = 1
			}
		}
		m.put(slots, float64(top))
		if flash > 0 && top > 0 && m.flash != nil {
			slots[m.coarse] = byte(m.flash.value(flash))
		}
		for _, d := range m.dims {
			if u.drives[d].master == i {
				u.drives[d].put(slots, ratio(levels[d], top))
			}
		}
	}
	for d := range u.drives {
		if u.drives[d].master < 0 {
			u.drives[d].put(slots, float64(levels[d]))
		}
	}
	for _, f := range u.fixed {
		slots[f.slot] = byte(f.value)
	}
	for i := range u.shutters {
		s := &u.shutters[i]
		slots[s.slot] = byte(s.open)
		if flash > 0 {
			slots[s.slot] = byte(s.flash.value(flash))
		}
	}
}

func ratio(level, top float32) float64 {
	if top <= 0 {
		return 0
	}
	return float64(level / top)
}

// value returns the slot value in the range whose flash rate is nearest to
// hz, the lower of two.
func (r *Range) value(hz float64) int {
	if r.High == r.Low {
		return r.From
	}
	x := (hz - float64(r.Low)) / float64(r.High-r.Low)
	x = min(max(x, 0), 1)
	return r.From + int(x*float64(r.To-r.From)+.5)
}
