package hand

import (
	"time"
)

// guard keeps hands from flashing: it counts for each drive how often orders turn its light
// round. Two turns of a tenth of full or more are a flash, and three flashes in any second are
// the most (general flash: WCAG 2.2, 2.3.1; ISO 9241-391). One lamp is taken as if it filled the
// view. What a hand gives back to the show goes to where that is: so orders are counted over the
// show as it stands when they come, and over shows that are dark and fully lit, for it may move.
type guard struct {
	over  [3]counter
	flash []float32
	still []float32
}

// counter counts turns over one show.
type counter struct {
	show   []float32 // its light
	levels []float32 // what hands make of it
	drives []turns
	saved  []turns // before the last order
}

// turns is how a drive has turned round.
type turns struct {
	at   [mostTurns]time.Time // the last, oldest first
	peak float32              // the level at the last turn, or beyond it since
	up   int8                 // which way it goes: -1, 0 unknown, 1
}

// mostTurns is how many turns of a drive may lie within a second.
const mostTurns = 6

// turning is the least change that counts, as a share of full.
const turning = .1

// begin returns when light may begin to go from a mix to another, over a show that now has some
// light by drive; nil where that is not known.
func (g *guard) begin(now time.Time, from, to *Mix, show []float32) time.Time {
	if n := len(to.show.Rig.Drives); len(g.over[0].drives) != n {
		g.start(n, len(to.show.Rig.Units), from, now)
	}
	if show != nil {
		copy(g.over[0].show, show)
	}
	begin := now
	for i := range g.over {
		c := &g.over[i]
		g.light(c, to, now)
		c.saved = append(c.saved[:0], c.drives...)
		for d, v := range c.levels {
			if t := &c.drives[d]; t.turns(v) {
				if soonest := t.at[0].Add(time.Second); soonest.After(begin) {
					begin = soonest
				}
			}
		}
	}
	for i := range g.over {
		for d, v := range g.over[i].levels {
			g.over[i].drives[d].goes(v, begin)
		}
	}
	return begin
}

// start begins to count.
func (g *guard) start(drives, units int, from *Mix, now time.Time) {
	g.flash, g.still = make([]float32, units), make([]float32, units)
	for i, v := range []float32{.5, 0, 1} {
		c := &g.over[i]
		*c = counter{show: make([]float32, drives), levels: make([]float32, drives), drives: make([]turns, drives)}
		for d := range c.show {
			c.show[d], c.levels[d] = v, v
		}
		if from != nil {
			g.light(c, from, now)
		}
		for d, v := range c.levels {
			c.drives[d].peak = v
		}
	}
}

// forget takes back the last order, which has not begun.
func (g *guard) forget() {
	for i := range g.over {
		copy(g.over[i].drives, g.over[i].saved)
	}
}

// light is what a mix makes of a counter's show.
func (g *guard) light(c *counter, m *Mix, now time.Time) {
	m.over(c.levels, g.flash, c.show, g.still, now)
	if m.pulse >= 0 { // what pulses does so slowly by itself
		from, to := m.show.Rig.UnitDrives(m.pulse)
		copy(c.levels[from:to], m.focus[from:to])
	}
}

// turns tells whether a drive that goes to v turns round.
func (t *turns) turns(v float32) bool {
	switch {
	case v-t.peak >= turning:
		return t.up <= 0
	case t.peak-v >= turning:
		return t.up >= 0
	}
	return false
}

// goes takes a drive to v.
func (t *turns) goes(v float32, at time.Time) {
	switch {
	case t.turns(v):
		copy(t.at[:], t.at[1:])
		t.at[mostTurns-1] = at
		t.up = 1
		if v < t.peak {
			t.up = -1
		}
		t.peak = v
	case t.up > 0:
		t.peak = max(t.peak, v)
	case t.up < 0:
		t.peak = min(t.peak, v)
	}
}
