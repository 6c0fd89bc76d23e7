package rig

import (
	"math"
	"slices"

	"lampblack/light"
)

// Still is the slots of light that stands: for every unit the nearest of all
// that its master and its drives can do together, in colour first.
type Still struct {
	slots [][]byte  // by unit of the encoder
	Light []float32 // by drive: what the slots give
}

// kind is what units must share for the same levels to need the same slots.
type kind struct {
	*Type
	*Mode
}

// emitted is what a drive gives at full, for the eye; black light has none.
type emitted struct {
	colour light.XYZ
	seen   bool
}

// colours lists what the drives give, by drive.
func (r *Rig) colours() []emitted {
	out := make([]emitted, len(r.Drives))
	for d := range out {
		l := &r.Emitter(d).Light
		out[d] = emitted{l.Colour, !l.BlackLight() && l.Colour.Y > 0}
	}
	return out
}

// group finds the drives that light the same cells.
func (c *unitCode) group(r *Rig) {
	var keys [][]int
	for d := c.first; d < c.last; d++ {
		cells := r.Drives[d].Cells
		g := slices.IndexFunc(keys, func(k []int) bool { return slices.Equal(k, cells) })
		if g < 0 {
			g = len(keys)
			keys, c.cells = append(keys, cells), append(c.cells, nil)
		}
		c.cells[g] = append(c.cells[g], d-c.first)
	}
}

// Still finds the slots for levels that stand. It searches, where Encode
// computes: it is for what is prepared beforehand.
func (e *Encoder) Still(levels []float32) *Still {
	s := &Still{slots: make([][]byte, len(e.units)), Light: make([]float32, len(levels))}
	type same struct {
		kind   kind
		levels string
	}
	known := map[same]int{}
	for i := range e.units {
		u := &e.units[i]
		own := levels[u.first:u.last]
		key := same{u.kind, bits(own)}
		if k, ok := known[key]; ok {
			other := &e.units[k]
			s.slots[i] = s.slots[k]
			copy(s.Light[u.first:u.last], s.Light[other.first:other.last])
			continue
		}
		known[key] = i
		s.slots[i] = make([]byte, u.kind.Footprint)
		u.still(s.slots[i], s.Light[u.first:u.last], own)
	}
	return s
}

// bits makes levels a key for a map.
func bits(levels []float32) string {
	out := make([]byte, 0, 4*len(levels))
	for _, v := range levels {
		b := math.Float32bits(v)
		out = append(out, byte(b), byte(b>>8), byte(b>>16), byte(b>>24))
	}
	return string(out)
}

// still writes a unit's slots and what they give: drives behind masters first, then
// those that nothing stands before, cell by cell, since it is a cell's colour that is seen.
func (u *unitCode) still(slots []byte, out, levels []float32) {
	for i := range u.masters {
		u.stillMaster(i, slots, out, levels)
	}
	for _, cell := range u.cells {
		var free []int
		for _, d := range cell {
			if u.drives[d].master < 0 {
				free = append(free, d)
			}
		}
		u.put(slots, out, levels, u.nearest(free, levels, 1), 1)
	}
	for _, f := range u.fixed {
		slots[f.slot] = byte(f.value)
	}
	u.shutter(slots, 0)
}

// stillMaster tries every step of a master that is bright enough, up to where
// the strongest drive would stand at a quarter: further up drives are set coarser and
// coarser, and nothing is won. A 16-bit master, one with nothing of its own to carry, or
// one before light that another master carries is set by itself.
func (u *unitCode) stillMaster(index int, slots []byte, out, levels []float32) {
	m := &u.masters[index]
	top := m.top(levels, u.drives, index)
	if m.fine >= 0 || top <= 0 || len(m.own) == 0 || m.before(levels, u.drives, index) {
		through := m.put(slots, top)
		u.put(slots, out, levels, u.choose(m, levels, through), through)
		return
	}
	const most = 4 // times the light needed
	best, off, step := choice{}, math.Inf(1), 0
	for i := range m.steps {
		through := m.steps[i].light
		// Half a per cent too dark counts as bright enough: nobody sees it.
		if through <= 0 || through < .995*top && i+1 < len(m.steps) {
			continue
		}
		c := u.choose(m, levels, through)
		// Of equally good steps the first, the lowest, stays, whatever rounding does.
		if c.off < off*(1-1e-9) {
			best, off, step = c, c.off, i
		}
		// An error of 1e-4 is a hundredth of what oneUV and oneLight count as one.
		if through > most*top || off < 1e-4 {
			break
		}
	}
	slots[m.coarse] = m.steps[step].slot
	u.put(slots, out, levels, best, m.steps[step].light)
}

// choice is steps for some drives, and how far off they are.
type choice struct {
	drives, steps []int
	off           float64
}

// choose finds the steps of all drives that a master carries.
func (u *unitCode) choose(m *masterCode, levels []float32, through float32) choice {
	var all choice
	for _, cell := range u.cells {
		var own []int
		for _, d := range cell {
			if slices.Contains(m.own, d) {
				own = append(own, d)
			}
		}
		c := u.nearest(own, levels, through)
		all.drives, all.steps = append(all.drives, c.drives...), append(all.steps, c.steps...)
		all.off += c.off
	}
	return all
}

// mostTried bounds how many drives of a cell are tried both ways of rounding.
const mostTried = 5

// nearest finds the steps of the drives of one cell that look nearest to the
// levels. Drives that are off stay off; of the others the coarsest are tried
// both ways, the rest take the nearer step. Rounding each by itself is not best: red too
// high and blue too low by half a step each is a colour off by a whole one, and both up
// may be a light too bright by little. Five drives make 32 tries; lamps with more than
// five colours are rare, and their finest steps matter least.
func (u *unitCode) nearest(drives []int, levels []float32, through float32) choice {
	c := choice{drives: drives, steps: make([]int, len(drives))}
	var rough []int // indexes in drives
	for k, d := range drives {
		code := &u.drives[d]
		if levels[d] <= 0 || code.fine >= 0 || through <= 0 {
			continue
		}
		c.steps[k] = code.below(levels[d] / through)
		if c.steps[k]+1 < len(code.steps) && code.steps[c.steps[k]].light*through != levels[d] {
			rough = append(rough, k)
		}
	}
	// The light between a drive's two steps, in lumens. Black light has next to none, and
	// comes last.
	gap := func(k int) float64 {
		d := drives[k]
		a := u.drives[d].steps[c.steps[k]:]
		return float64(a[1].light-a[0].light) * max(u.colours[d].colour.Y, 1e-9)
	}
	slices.SortStableFunc(rough, func(a, b int) int {
		switch ga, gb := gap(a), gap(b); {
		case ga > gb:
			return -1
		case ga < gb:
			return 1
		}
		return 0
	})
	for _, k := range rough[min(mostTried, len(rough)):] {
		c.steps[k] = u.drives[drives[k]].nearest(levels[drives[k]] / through)
	}
	rough = rough[:min(mostTried, len(rough))]
	low := slices.Clone(c.steps)
	try := slices.Clone(low)
	c.off = math.Inf(1)
	for up := range 1 << len(rough) {
		copy(try, low)
		for i, k := range rough {
			try[k] += up >> i & 1
		}
		if off := u.off(drives, try, levels, through); off < c.off {
			c.off = off
			copy(c.steps, try)
		}
	}
	return c
}

// What counts as one in an error: a step in u'v' that is just seen side by side
// (three steps of a MacAdam ellipse, as lamps are sorted by; from memory), and
// a share of light.
const (
	oneUV    = .003
	oneLight = .03
)

// off is how far steps are from levels: of the cell's colour in u'v', of its
// light, and of every black light by itself.
func (u *unitCode) off(drives, steps []int, levels []float32, through float32) float64 {
	var want, got light.XYZ
	sum := 0.0
	for k, d := range drives {
		l := levels[d]
		if u.drives[d].fine < 0 {
			l = u.drives[d].steps[steps[k]].light * through
		}
		if e := &u.colours[d]; e.seen {
			want, got = want.Plus(e.colour, float64(levels[d])), got.Plus(e.colour, float64(l))
		} else if levels[d] > 0 {
			miss := float64(l/levels[d]-1) / oneLight
			sum += miss * miss
		}
	}
	if want.Y <= 0 {
		return sum
	}
	miss := (got.Y/want.Y - 1) / oneLight
	sum += miss * miss
	if got.Y > 0 {
		apart := got.UV().Distance(want.UV()) / oneUV
		sum += apart * apart
	}
	return sum
}

// put writes what was chosen, and notes what it gives.
func (u *unitCode) put(slots []byte, out, levels []float32, c choice, through float32) {
	for k, d := range c.drives {
		code := &u.drives[d]
		if code.fine >= 0 {
			share := float32(0)
			if through > 0 {
				share = levels[d] / through
			}
			out[d] = code.put(slots, share) * through
			continue
		}
		s := code.steps[c.steps[k]]
		slots[code.coarse] = s.slot
		out[d] = s.light * through
	}
}
