package positions

import (
	"context"
	"math"
	"runtime"
	"sync"
	"sync/atomic"

	"lampblack/rig"
	"lampblack/room"
	"lampblack/si"
)

// carried is the light of many candidates with the goals read from it.
type carried struct {
	*planner
	t     *room.Transport
	at    *standing
	spots []Spot
	first []int   // by candidate: its first drive
	rows  [][]row // by look
	glare []bool  // by candidate: the audience would look into its lens
	of    [][]int // by unit: its candidates
}

// carry carries the light of candidates, and reads what looks ask for from it.
func (p *planner) carry(ctx context.Context, spots []Spot, of [][]int, fine room.Fineness) (*carried, error) {
	units := make([]rig.Unit, len(spots))
	for i := range spots {
		units[i] = p.hung(&spots[i])
	}
	rg := p.files.Rig.With(units)
	t, _ := p.files.Carry(ctx, rg, fine)
	if ctx.Err() != nil {
		return nil, ctx.Err()
	}
	c := &carried{planner: p, t: t, at: &standing{home: t, at: map[string]*room.Transport{}}, spots: spots, of: of, rows: make([][]row, len(p.wishes))}
	for i := range spots {
		from, _ := rg.UnitDrives(i)
		c.first = append(c.first, from)
	}
	c.glare = glares(t, rg)
	c.read(ctx)
	return c, ctx.Err()
}

func (c *carried) read(ctx context.Context) {
	each(ctx, len(c.wishes), func(i int) {
		c.rows[i] = c.wishes[i].rows(c.at, c.stay, c.child, c.narrow)
	})
}

// hung is a unit of the rig at a spot.
func (p *planner) hung(s *Spot) rig.Unit {
	u := p.files.Rig.Units[s.Unit]
	at, aim := [3]si.Length(s.At), [3]si.Length(s.Aim)
	u.Hung, u.Aimed, u.At, u.Aim = &at, &aim, at, aim
	return u
}

// Glare, by the figures of the check of lenses in eyes: cd/m2, and rad off the gaze.
const (
	glareLuminance = 50
	glareAngle     = 30 * math.Pi / 180
)

// glares tells of each unit whether a seat would see its lens near its gaze, lit by all that it has.
func glares(t *room.Transport, rg *rig.Rig) []bool {
	out, full := make([]bool, len(rg.Units)), make([]float32, len(rg.Drives))
	for i := range full {
		full[i] = 1
	}
	for _, v := range t.Lenses() {
		if !out[v.Unit] && t.Places[t.Eyes[v.Eye]].Kind == room.KindSeat && float64(v.OffGaze) <= glareAngle {
			out[v.Unit] = t.LensRadiance(v, room.Seen, full) >= glareLuminance
		}
	}
	return out
}

// lines are the problem of a look with the units at some candidates; a unit at -1 is not there.
func (c *carried) lines(look int, at []int) (out []line, which []int) {
	w := c.wishes[look]
	for k := range w.unknowns {
		for _, u := range w.unknowns[k].units {
			if at[u] >= 0 {
				which = append(which, k)
				break
			}
		}
	}
	store := make([]float64, len(which)*len(c.rows[look]))
	for i := range c.rows[look] {
		r := &c.rows[look][i]
		l := r.line
		l.gain, store = store[:len(which):len(which)], store[len(which):]
		for n, k := range which {
			if x := &w.unknowns[k]; r.part < 0 || r.part == x.part {
				for _, u := range x.units {
					l.gain[n] += c.give(r, at[u], x.drives)
				}
			}
		}
		if r.part < 0 {
			for _, f := range w.fixed {
				l.given += c.give(r, at[f.unit], f.drives)
			}
		}
		out = append(out, l)
	}
	return out, which
}

// give is what the drives of a candidate bring to a row.
func (c *carried) give(r *row, candidate int, drives []given) (sum float64) {
	if candidate < 0 {
		return 0
	}
	from := c.first[candidate]
	for _, g := range drives {
		sum += r.by[from+g.drive] * g.level
	}
	return sum
}

// fits tells whether a unit may go to a candidate while the others are where they are.
func (c *carried) fits(s *state, unit, candidate int) bool {
	spot := &c.spots[candidate]
	if c.glare[candidate] && !spot.Kept && !c.bright {
		return false
	}
	r := c.files.Rig
	weight := float64(r.Units[unit].Type.Weight)
	for u, at := range s.at {
		if u == unit || at < 0 {
			continue
		}
		o := &c.spots[at]
		if c.ground.meet(spot, o, r.Units[unit].Type, r.Units[u].Type) {
			return false
		}
		if o.Support != "" && o.Support == spot.Support {
			weight += float64(r.Units[u].Type.Weight)
		}
	}
	e := r.Supports.Get(spot.Support)
	return e == nil || e.Carries == 0 || weight <= float64(e.Carries)
}

// bestFor is the candidate at which a unit serves best.
func (c *carried) bestFor(ctx context.Context, s *state, unit int) (candidate int, cost float64) {
	list := c.of[unit]
	costs := make([]float64, len(list))
	each(ctx, len(list), func(i int) {
		costs[i] = math.Inf(1)
		if c.fits(s, unit, list[i]) {
			costs[i] = c.with(s, unit, list[i])
		}
	})
	candidate, cost = -1, math.Inf(1)
	if ctx.Err() != nil {
		return
	}
	for i, v := range costs {
		if v < cost {
			candidate, cost = list[i], v
		}
	}
	return candidate, cost
}

// greedy puts one unit after another where it helps most. Of units that are alike the first is asked.
func (c *carried) greedy(ctx context.Context, s *state) {
	left := append([]int(nil), c.free...)
	for len(left) > 0 && ctx.Err() == nil {
		best, where, least := -1, -1, math.Inf(1)
		asked := map[string]bool{}
		for n, u := range left {
			if key := c.alike(u); asked[key] {
				continue
			} else {
				asked[key] = true
			}
			if k, cost := c.bestFor(ctx, s, u); k >= 0 && cost < least {
				best, where, least = n, k, cost
			}
		}
		if best < 0 {
			return
		}
		c.move(s, left[best], where)
		left = append(left[:best], left[best+1:]...)
		c.step()
	}
}

// exchange moves one unit after another to where it serves better, as long as that helps, so many times round
// at most.
func (c *carried) exchange(ctx context.Context, s *state, rounds int) {
	for range rounds {
		before := s.cost
		for _, u := range c.free {
			if k, cost := c.bestFor(ctx, s, u); ctx.Err() == nil && k >= 0 && k != s.at[u] && cost < s.cost-1e-9 {
				c.move(s, u, k)
			}
		}
		if s.cost > before*(1-1e-3)-1e-9 || ctx.Err() != nil {
			return
		}
	}
}

// each runs f for 0..n-1 on all processors.
func each(ctx context.Context, n int, f func(i int)) {
	var next atomic.Int64
	var wg sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), n) {
		wg.Go(func() {
			for ctx.Err() == nil {
				i := int(next.Add(1)) - 1
				if i >= n {
					return
				}
				f(i)
			}
		})
	}
	wg.Wait()
}
