package positions

import (
	"context"
	"fmt"
	"slices"

	"lampblack/rig"
	"lampblack/show"
)

// mostMore is how many units more are tried where goals are missed.
const mostMore = 3

// more finds how many units more would do, each like one of those that the missed goals ask for light. The
// units that are placed stay where they are, so that fewer may do than are told.
func (p *planner) more(ctx context.Context, plan *Plan) {
	ctx, cancel := context.WithTimeout(ctx, p.left()*9/10)
	defer cancel()
	for n := 1; n <= mostMore && ctx.Err() == nil; n++ {
		units, like := p.andMore(plan, n)
		if units == nil {
			return
		}
		o := Options{Seed: p.o.Seed + uint64(n)}
		if p.o.For > 0 {
			if o.For = p.left(); o.For < p.o.For/10 {
				return
			}
		}
		f := p.files
		f.Rig = plan.Rig.With(units)
		try, err := find(ctx, f, o)
		if err != nil || try.Cut {
			return
		}
		plan.Tried = n
		if len(try.Misses) == 0 && len(try.Nowhere) == 0 {
			plan.More, plan.Like = n, like
			return
		}
	}
}

// andMore is the planned rig with n units more: in turn like those that serve the goals that are missed. It is
// nil where the goals name their units one by one, so that no other would count.
func (p *planner) andMore(plan *Plan, n int) (units []rig.Unit, like int) {
	var kinds []int
	for _, m := range plan.Misses {
		if u := p.servesMissed(&m); u >= 0 && !slices.Contains(kinds, u) {
			kinds = append(kinds, u)
		}
	}
	if len(kinds) == 0 {
		return nil, 0
	}
	units = slices.Clone(plan.Rig.Units)
	for i := range n {
		u := units[kinds[i%len(kinds)]]
		u.Name.Name = fmt.Sprintf("%s, one more %d", u.Name.Name, i+1)
		u.Hung, u.Aimed, u.On.Name = nil, nil, ""
		u.Universe, u.Address = nextFree(plan.Rig.With(units))
		if u.Address+u.Mode.Footprint-1 > 512 {
			u.Universe, u.Address = u.Universe+1, 1
		}
		units = append(units, u)
	}
	return units, kinds[0]
}

// servesMissed is a unit of the part whose goal is missed, -1 where none is known.
func (p *planner) servesMissed(m *show.Miss) int {
	for _, w := range p.wishes {
		if w.name != m.Look {
			continue
		}
		for k := range w.unknowns {
			x := &w.unknowns[k]
			part := &w.parts[x.part]
			mine := part.Pos == m.Pos || part.Glow != nil && part.Glow.Pos == m.Pos
			if mine && part.System.Name != "" {
				return x.units[0]
			}
		}
	}
	return -1
}
