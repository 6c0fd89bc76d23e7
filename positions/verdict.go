package positions

import (
	"context"
	"fmt"
	"slices"
	"time"

	"lampblack/rig"
	"lampblack/room"
	"lampblack/show"
	"lampblack/si"
	"lampblack/source"
)

// conclude computes the light finely, looks once more where goals are missed, and says what is left.
func (p *planner) conclude(ctx, search context.Context) (*Plan, error) {
	began := time.Now()
	plan, err := p.verdict(ctx, search)
	took := time.Since(began)
	for try := 0; err == nil && len(plan.Misses) > 0 && search.Err() == nil && try < 3 && p.left() > 2*took; try++ {
		p.narrow = []float64{.03, .015, .06}[try]
		if p.refine(search, []float64{.3, .15, .5}[try], middle) != nil {
			break
		}
		var next *Plan
		if next, err = p.verdict(ctx, search); err != nil || better(plan, next) {
			break
		}
		plan = next
	}
	p.tell(1)
	return plan, err
}

// left is how much time there is.
func (p *planner) left() time.Duration {
	if p.o.For <= 0 {
		return time.Hour
	}
	return p.o.For - time.Since(p.began)
}

// better tells whether the first of two plans misses less.
func better(a, b *Plan) bool { return missed(a.Misses) <= missed(b.Misses) }

func missed(of []show.Miss) (sum float64) {
	for _, m := range of {
		if m.Wanted > 0 {
			sum += max(m.Found, m.Wanted)/max(min(m.Found, m.Wanted), 1e-3*m.Wanted) - 1
		}
		sum += 1e-6
	}
	return sum
}

// placed is the rig with all units where they are suggested.
func (p *planner) placed() *rig.Rig {
	units := slices.Clone(p.files.Rig.Units)
	for _, u := range p.free {
		if p.spots[u].Unit >= 0 {
			units[u] = p.hung(&p.spots[u])
		}
	}
	return p.files.Rig.With(units)
}

// finer is about how many times as long the verdict takes as a coarse one.
const finer = 3

// verdict solves the looks with the units where they are: finely, or coarsely when it was cut off.
func (p *planner) verdict(ctx, search context.Context) (*Plan, error) {
	plan := &Plan{Rig: p.placed(), Idle: p.idle, Cut: search.Err() != nil, Ground: p.ground.rules()}
	fine := room.Usual
	if late := p.left() < finer*p.once; late || ctx.Err() != nil {
		plan.Cut, plan.Coarse = true, true
		ctx, fine = context.WithoutCancel(ctx), room.Fineness{Patches: 200, Elements: 40, Bands: 3}
	}
	t, _ := p.files.Carry(ctx, plan.Rig, fine)
	if ctx.Err() != nil {
		return p.verdict(ctx, search)
	}
	s, faults := p.files.Hung(ctx, plan.Rig, t, nil)
	if err := faults.Err(); err != nil {
		return nil, err
	}
	plan.Show, plan.Bright = s, p.glare(s.Transport, plan.Rig)
	for i := range s.Looks {
		for _, m := range s.Looks[i].Misses {
			if !slices.ContainsFunc(plan.Misses, func(o show.Miss) bool { return o.Pos == m.Pos && o.Text == m.Text }) {
				plan.Misses = append(plan.Misses, m)
			}
		}
	}
	for _, u := range p.free {
		switch {
		case p.spots[u].Unit < 0:
			plan.Nowhere = append(plan.Nowhere, u)
		default:
			plan.Spots = append(plan.Spots, p.spots[u])
		}
	}
	return plan, nil
}

// glare lists the placed units whose lens a seat sees near its gaze.
func (p *planner) glare(t *room.Transport, rg *rig.Rig) (out []int) {
	for u, bright := range glares(t, rg) {
		if bright && slices.Contains(p.free, u) && p.spots[u].Unit >= 0 {
			out = append(out, u)
		}
	}
	return out
}

// rules says what places were allowed by.
func (g *ground) rules() (out Rules) {
	for _, p := range g.places {
		switch {
		case p.kind == "stand" && p.name == "":
			out = append(out, fmt.Sprintf("stands, lenses %s to %s high, as the rig names no stand", si.Say(float64(p.low[2]), "m"), si.Say(float64(p.high[2]), "m")))
		case p.kind == "floor":
			out = append(out, "the floor")
		default:
			out = append(out, p.kind+" "+source.Visible(p.name))
		}
	}
	return out
}
