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
	kind              kind
	universe, address int // index in the frame's universes; from 0
	first, last       int // drives
	masters           []masterCode
	drives            []driveCode
	fixed             []fixedCode
	shutters          []shutterCode
	colours           []emitted // by drive
	cells             [][]int   // drives that light the same cells
}

// masterCode is a slot that dims several drives at once.
type masterCode struct {
	slotCode
	dims  []int // drives, counted from the unit's first, that it dims
	own   []int // of these, the ones whose level it carries
	rungs []int // of 8 bits: the steps that fades use, ascending
	// A master that flashes in some of its range gives its rate there.
	flash *Range
}

// driveCode is the slot of one drive.
type driveCode struct {
	slotCode
	master int // the master that carries its level, -1 without
}

// fixedCode is a slot that is always sent the same: of a mode, or without function.
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
	colours := r.colours()
	for i := range r.Units {
		u := &r.Units[i]
		if u.Mode == nil || u.Address < 1 || u.Address+u.Mode.Footprint-1 > 512 {
			continue // said by Read
		}
		first, last := r.UnitDrives(i)
		turn := turns[u.Type]
		turns[u.Type]++
		c := unitCode{unit: i, kind: kind{u.Type, u.Mode}, turn: turn, colours: colours[first:last], universe: slices.Index(universes, u.Universe), address: u.Address - 1, first: first, last: last}
		for j := range u.Mode.Slots {
			c.add(r, u, j)
		}
		c.carry()
		c.group(r)
		e.units = append(e.units, c)
	}
	return e
}

// add files one slot under what it is for. Only flash rates move a shutter, so one that
// cannot flash stays where it lets light through.
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
		c.shutters = append(c.shutters, shutterCode{s.Coarse - 1, s.Rest(), s.find(Flash, FlashRandom)})
	default:
		c.fixed = append(c.fixed, fixedCode{s.Coarse - 1, s.Rest()})
	}
}

// carry gives every drive the first master that dims it: where two stand before one
// drive, the first is set by the light and the other held open.
func (c *unitCode) carry() {
	for m := range c.masters {
		for _, d := range c.masters[m].dims {
			if c.drives[d].master < 0 {
				c.drives[d].master = m
				c.masters[m].own = append(c.masters[m].own, d)
			}
		}
		c.masters[m].climb()
	}
}

// rungRatio is how far apart in light the rungs of a master are, where it has
// steps so near. Between two of them the master stays at the rung or just
// above, and the strongest drive, never much under half of its travel, does
// the fading.
const rungRatio = 1.5

// climb chooses the rungs, from full down.
func (m *masterCode) climb() {
	for i := len(m.steps) - 1; i >= 0 && m.steps[i].light > 0; {
		m.rungs = append(m.rungs, i)
		next := i - 1
		for next > 0 && m.steps[next-1].light >= m.steps[i].light/rungRatio {
			next--
		}
		i = next
	}
	slices.Reverse(m.rungs)
}

// Dimmed tells whether the slot is a master that dims a drive of the unit.
func (s *Slot) Dimmed(u *Unit, d *Drive) bool {
	return len(s.Dims) > 0 && s.dims(u.Type.Emitters[d.Emitter].Name, d.Cells)
}

// dims tells whether a master slot dims the emitter in any of the cells.
func (s *Slot) dims(emitter string, cells []int) bool {
	if s.Cell > 0 && !slices.Contains(cells, s.Cell-1) {
		return false
	}
	return slices.Contains(s.Dims, "all") || slices.Contains(s.Dims, emitter)
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

// Bounds keeps the light of a fade, by drive, between that of the slots that it
// comes from and that of the slots it goes to: rounding makes it neither begin
// nor end with a step back.
type Bounds struct{ Low, High []float32 }

// Loose, in place of what stands, lets a unit move without the bounds: it does
// something else than the fade does that they are for.
var Loose = &Still{}

// Drifts is Loose for a unit whose light drifts slowly, in every second frame and in those
// between: where a slot of 8 bits has no step near enough, it changes between two, one value
// apart, from frame to frame.
var Drifts = [2]*Still{{}, {}}

// drifts is in which of two frames a unit drifts, 0 or 1; -1 where it does not.
func (s *Still) drifts() int { return slices.Index(Drifts[:], s) }

// Encode writes the slots of all units into universes, in the order that was
// given to NewEncoder, while light moves. Levels is by drive, flash by unit
// index in Hz. Units that stand still, by unit index, are written as their
// Still says; both it and bounds may be nil.
//
// Master and drives share the work, in the same frame: the master takes a step
// near the lowest of its rungs that is bright enough, and the drives take the
// rest. So a level is met to a part of a drive's step and not to the master's. Units without a
// master change at different points between two steps, so that a slow fade on
// 8 bits has more steps than one unit has. A unit that cannot flash ignores
// its rate.
func (e *Encoder) Encode(universes []Universe, levels, flash []float32, still []*Still, bounds *Bounds) {
	for i := range e.units {
		u := &e.units[i]
		slots := universes[u.universe].Slots[u.address:]
		rate := float64(flash[u.unit])
		var stands *Still
		if still != nil {
			stands = still[u.unit]
		}
		drifts := stands.drifts()
		switch {
		case drifts >= 0 && rate <= 0:
			u.encode(slots, levels[u.first:u.last], rate, Bounds{}, (drifts+u.turn)%2)
		case stands != nil && stands != Loose && drifts < 0 && (rate <= 0 || !u.flashesByMaster()):
			copy(slots, stands.slots[i])
		case stands != nil || bounds == nil || bounds.High == nil:
			u.encode(slots, levels[u.first:u.last], rate, Bounds{}, -1)
		default:
			u.encode(slots, levels[u.first:u.last], rate, Bounds{bounds.Low[u.first:u.last], bounds.High[u.first:u.last]}, -1)
		}
		u.shutter(slots, rate)
	}
}

// flashesByMaster tells whether the unit flashes by a range of a master slot, and not by its
// drives going on and off.
func (u *unitCode) flashesByMaster() bool {
	for i := range u.masters {
		if u.masters[i].flash != nil {
			return true
		}
	}
	return false
}

// encode writes masters first, since what a master really lets through, after rounding,
// is what its drives share out. drifts is in which of two frames light drifts: drives without a
// master then take half steps. It is -1 for other light.
func (u *unitCode) encode(slots []byte, levels []float32, flash float64, bounds Bounds, drifts int) {
	for i := range u.masters {
		m := &u.masters[i]
		top := m.top(levels, u.drives, i)
		carried := float32(0)
		switch {
		case flash > 0 && top > 0 && m.flash != nil:
			slots[m.coarse] = byte(m.flash.Value(flash))
			carried = 1 // it lets all through while it flashes
		case m.fine >= 0:
			carried = m.put(slots, top)
		default:
			s := m.steps[m.share(u, levels, top)]
			slots[m.coarse], carried = s.slot, s.light
		}
		for _, d := range m.own {
			u.drives[d].carry(slots, levels[d], carried, .5, d, bounds)
		}
	}
	for d := range u.drives {
		if c := &u.drives[d]; c.master < 0 && drifts >= 0 && c.halves {
			slots[c.coarse] = c.steps[c.half(levels[d], drifts == 1)].slot
		} else if c.master < 0 {
			c.carry(slots, levels[d], 1, c.point, d, bounds)
		}
	}
	for _, f := range u.fixed {
		slots[f.slot] = byte(f.value)
	}
}

// top is the light that a master must let through: the most of what it
// carries, or all where it stands before another's.
func (m *masterCode) top(levels []float32, drives []driveCode, index int) float32 {
	if m.before(levels, drives, index) {
		return 1
	}
	top := float32(0)
	for _, d := range m.own {
		top = max(top, levels[d])
	}
	return top
}

// before tells whether a master stands before light that another one carries.
func (m *masterCode) before(levels []float32, drives []driveCode, index int) bool {
	return slices.ContainsFunc(m.dims, func(d int) bool { return drives[d].master != index && levels[d] > 0 })
}

// sharers is how many steps from the rung on are tried for the one with which
// the strongest drive meets its level best: four make its steps four times as
// fine, 0.15 % or less of the light.
const sharers = 4

// share returns the step that a master takes in a fade.
func (m *masterCode) share(u *unitCode, levels []float32, top float32) int {
	rung := m.rung(top)
	var strongest *driveCode
	for _, d := range m.own {
		if levels[d] == top {
			strongest = &u.drives[d]
			break
		}
	}
	if strongest == nil || top <= 0 || strongest.fine >= 0 {
		return rung
	}
	best, off := rung, float32(2)
	for i := rung; i < min(rung+sharers, len(m.steps)); i++ {
		through := m.steps[i].light
		if through > rungRatio*m.steps[rung].light {
			break
		}
		miss := strongest.steps[strongest.nearest(top/through)].light*through - top
		if miss = max(miss, -miss); miss < off {
			best, off = i, miss
		}
	}
	return best
}

// rung returns the step of the lowest rung that gives a light, or the first
// step of all for none.
func (m *masterCode) rung(light float32) int {
	if light <= 0 || len(m.rungs) == 0 {
		return 0
	}
	for _, i := range m.rungs {
		if m.steps[i].light >= light {
			return i
		}
	}
	return m.rungs[len(m.rungs)-1]
}

// carry writes a drive that a master, or nothing, stands before: a share of the
// light that comes through.
func (c *driveCode) carry(slots []byte, level, through, point float32, d int, bounds Bounds) {
	share := float32(0)
	if through > 0 {
		share = level / through
	}
	if c.fine >= 0 {
		c.put(slots, share)
		return
	}
	i := c.passed(share, point)
	if bounds.High != nil && level > 0 {
		// Rounding may take the light past either end of the fade; a step back inside is found
		// near. slack is far under any step and over the error of float32.
		const slack = 1e-6
		for i+1 < len(c.steps) && c.steps[i].light*through < bounds.Low[d]-slack {
			i++
		}
		for i > 0 && c.steps[i].light*through > bounds.High[d]+slack {
			i--
		}
	}
	slots[c.coarse] = c.steps[i].slot
}

// shutter writes the slots that let light through, or make it flash.
func (u *unitCode) shutter(slots []byte, flash float64) {
	for i := range u.shutters {
		s := &u.shutters[i]
		slots[s.slot] = byte(s.open)
		if flash > 0 {
			slots[s.slot] = byte(s.flash.Value(flash))
		}
	}
}
