package positions

import (
	"context"
	"slices"

	"lampblack/room"
	"lampblack/si"
)

// refine moves and turns each unit by a reach, or by half of it, where that helps.
func (p *planner) refine(ctx context.Context, reach float64, fine room.Fineness) error {
	var spots []Spot
	of := make([][]int, len(p.spots))
	at := slices.Repeat([]int{-1}, len(p.spots))
	for u := range p.spots {
		if p.spots[u].Unit < 0 {
			continue
		}
		at[u] = len(spots)
		of[u] = []int{len(spots)}
		spots = append(spots, p.spots[u])
		if !slices.Contains(p.free, u) {
			continue
		}
		for _, s := range p.around(u, reach) {
			of[u] = append(of[u], len(spots))
			spots = append(spots, s)
		}
	}
	c, err := p.carry(ctx, spots, of, fine)
	if err != nil {
		return err
	}
	s := c.newState(at)
	c.judge(ctx, s)
	c.exchange(ctx, s, 4)
	p.keep(c, s)
	return ctx.Err()
}

// around are the spots a reach from that of a unit, as far as it may go there.
func (p *planner) around(unit int, reach float64) (out []Spot) {
	u := &p.files.Rig.Units[unit]
	now := p.spots[unit]
	q := p.ground.targets[now.Target]
	add := func(s Spot) {
		p.ground.clamp(&s, u)
		for i := range s.Aim {
			s.Aim[i] = rounded(s.Aim[i])
		}
		if q := p.ground.targets[s.Target]; q != nil && !p.ground.near(q, s.Aim) {
			return
		}
		if s != now && !slices.Contains(out, s) && (u.Hung != nil || p.ground.may(&s, u)) && p.ground.sees(&s, u) {
			out = append(out, s)
		}
	}
	if u.Hung == nil {
		for axis := range 3 {
			for _, d := range []float64{-reach, reach} {
				s := now
				s.At[axis] += si.Length(d)
				add(s)
			}
		}
	}
	if q == nil || u.Aimed != nil {
		return out
	}
	for _, way := range []room.Point{q.U, q.V} {
		for _, d := range []float64{-reach, reach} {
			s := now
			for i := range s.Aim {
				s.Aim[i] += way[i] * si.Length(d)
			}
			add(s)
		}
	}
	for range 2 { // something else altogether, so that it is not held by where it began
		all := p.ground.candidates(p.random, u, p.targetsOf(unit), 1)
		for _, s := range all {
			s.Unit = unit
			add(s)
		}
	}
	return out
}
