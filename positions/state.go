package positions

import (
	"context"
	"math"
)

// state is the units at some candidates, with what each look then misses.
type state struct {
	at    []int       // by unit
	x     [][]float64 // by look, then unknown
	costs []float64   // by look
	cost  float64
}

func (c *carried) newState(at []int) *state {
	s := &state{at: at, x: make([][]float64, len(c.wishes)), costs: make([]float64, len(c.wishes))}
	for i, w := range c.wishes {
		s.x[i] = make([]float64, len(w.unknowns))
		for k := range s.x[i] {
			s.x[i][k] = .5
		}
	}
	for i := range c.wishes {
		s.costs[i] = c.cost(i, at, s.x[i], true)
		s.cost += s.costs[i]
	}
	for _, k := range at {
		s.cost += c.bother(k)
	}
	return s
}

// bother is what a candidate costs beside its light.
func (c *carried) bother(candidate int) float64 {
	if candidate < 0 {
		return 0
	}
	return c.ground.nuisance(&c.spots[candidate])
}

// cost is what a look misses; x is where the search begins, and is left at the answer if keep.
func (c *carried) cost(look int, at []int, x []float64, keep bool) float64 {
	lines, which := c.lines(look, at)
	own := make([]float64, len(which))
	for n, k := range which {
		own[n] = min(x[k], c.top())
	}
	out := solve(lines, own, c.top())
	if keep {
		for n, k := range which {
			x[k] = own[n]
		}
	}
	return out
}

// top is how bright units are taken to be at the most.
func (p *planner) top() float64 { return 1 - p.narrow }

// with is the cost of the state with one unit elsewhere.
func (c *carried) with(s *state, unit, candidate int) float64 {
	at := append([]int(nil), s.at...)
	sum := s.cost + c.bother(candidate) - c.bother(at[unit])
	at[unit] = candidate
	for _, i := range c.looksOf[unit] {
		sum += c.cost(i, at, s.x[i], false) - s.costs[i]
	}
	return sum
}

// move puts a unit elsewhere.
func (c *carried) move(s *state, unit, candidate int) {
	s.cost += c.bother(candidate) - c.bother(s.at[unit])
	s.at[unit] = candidate
	for _, i := range c.looksOf[unit] {
		s.cost -= s.costs[i]
		s.costs[i] = c.cost(i, s.at, s.x[i], true)
		s.cost += s.costs[i]
	}
}

// judge takes the eyes that glows are judged by from the light of the state, and returns whether they changed.
func (c *carried) judge(ctx context.Context, s *state) {
	changed := false
	for i, w := range c.wishes {
		levels := c.levels(i, s)
		for part := range w.parts {
			g := w.parts[part].Glow
			if g == nil {
				continue
			}
			if glow, ok := c.t.Glow(g.Object.Name, levels); ok {
				now := eye{glow.Adapted, float64(glow.Least.High)}
				was := w.eyes[part]
				changed = changed || math.Abs(now.adapted-was.adapted) > .01 || math.Abs(now.enough-was.enough) > .02*now.enough
				w.eyes[part] = now
			}
		}
	}
	if changed {
		c.read(ctx)
		*s = *c.newState(s.at)
	}
}

// levels are those of a look, by drive of the transport.
func (c *carried) levels(look int, s *state) []float32 {
	out := make([]float32, len(c.t.Light))
	w := c.wishes[look]
	set := func(unit int, drives []given, x float64) {
		if s == nil || s.at[unit] < 0 {
			return
		}
		for _, g := range drives {
			out[c.first[s.at[unit]]+g.drive] = float32(g.level * x)
		}
	}
	for _, f := range w.fixed {
		set(f.unit, f.drives, 1)
	}
	for k := range w.unknowns {
		for _, u := range w.unknowns[k].units {
			if s != nil {
				set(u, w.unknowns[k].drives, s.x[look][k])
			}
		}
	}
	return out
}
