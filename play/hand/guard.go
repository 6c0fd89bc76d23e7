package hand

import (
	"time"
)

// guard keeps hands from flashing: it counts for each drive how often orders turn its light
// round, whatever the show does beneath. Two turns of a tenth of full or more are a flash, and
// three flashes in any second are the most (general flash: WCAG 2.2, 2.3.1; ISO 9241-391).
// One lamp is taken as if it filled the view.
type guard struct {
	drives []turns
	saved  []turns // before the last order
	levels []float32
	flash  []float32
	even   []float32 // the light of a show that stands half lit
	still  []float32
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

// begin returns when light may begin to go from a mix to another.
func (g *guard) begin(now time.Time, from, to *Mix) time.Time {
	n := len(to.show.Rig.Drives)
	if len(g.drives) != n {
		*g = guard{drives: make([]turns, n), levels: make([]float32, n), even: make([]float32, n),
			flash: make([]float32, len(to.show.Rig.Units)), still: make([]float32, len(to.show.Rig.Units))}
		for d := range g.even {
			g.even[d] = .5
		}
		copy(g.levels, g.even)
		if from != nil {
			g.light(from, now)
		}
		for d, v := range g.levels {
			g.drives[d].peak = v
		}
	}
	g.light(to, now)
	begin := now
	g.saved = append(g.saved[:0], g.drives...)
	for d, v := range g.levels {
		t := &g.drives[d]
		if t.turns(v) {
			if soonest := t.at[0].Add(time.Second); soonest.After(begin) {
				begin = soonest
			}
		}
	}
	for d, v := range g.levels {
		g.drives[d].goes(v, begin)
	}
	return begin
}

// forget takes back the last order, which has not begun.
func (g *guard) forget() { copy(g.drives, g.saved) }

// light is what a mix makes of the even show.
func (g *guard) light(m *Mix, now time.Time) {
	m.over(g.levels, g.flash, g.even, g.still, now)
	if m.pulse >= 0 { // what pulses does so slowly by itself
		from, to := m.show.Rig.UnitDrives(m.pulse)
		copy(g.levels[from:to], m.focus[from:to])
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
