package desk

import (
	"slices"
)

// settle gives the scenes their places: those that the run uses where a
// message reaches, in the order of their first use; the others where none
// does, if there is room.
func (p *Plan) settle() {
	order := make([]int, len(p.Scenes))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		x, y := &p.Scenes[a], &p.Scenes[b]
		if (x.Uses == 0) != (y.Uses == 0) {
			return x.order() - y.order()
		}
		return int(min(max(x.First-y.First, -1), 1))
	})
	triggers := p.Desk.triggers()
	taken := make([]bool, len(triggers))
	for _, i := range order {
		s := &p.Scenes[i]
		n := free(triggers, taken, s.Uses > 0)
		taken[n] = true
		s.Number, s.Trigger = n+1, triggers[n]
		s.Bank, s.Place = p.Desk.Bank(s.Number)
	}
	p.arrange()
}

func (s *Scene) order() int {
	if s.Uses > 0 {
		return 0
	}
	return 1
}

// free returns the first free place, one that a message reaches or one that none does;
// the other kind when there is no more of it. There are never more scenes than places:
// chooseScenes takes at most as many as messages reach, less one where lights up needs
// a place of its own.
func free(triggers []*Trigger, taken []bool, reached bool) int {
	other := -1
	for n, t := range triggers {
		if taken[n] {
			continue
		}
		if (t != nil) == reached {
			return n
		}
		if other < 0 {
			other = n
		}
	}
	if other < 0 {
		panic("desk: more scenes than places")
	}
	return other
}

// count notes how often and when first each scene is recalled, by the show's
// line.
func (p *Plan) count() {
	for i := range p.Scenes {
		p.Scenes[i].Uses, p.Scenes[i].First = 0, -1
	}
	for _, r := range p.Recalls {
		s := &p.Scenes[r.Scene]
		if s.Uses++; s.First < 0 {
			s.First = r.due
		}
	}
}

// arrange sorts the scenes by their numbers. All that holds an index of a scene is
// renumbered with it.
func (p *Plan) arrange() {
	order := make([]int, len(p.Scenes))
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(a, b int) int { return p.Scenes[a].Number - p.Scenes[b].Number })
	at := make([]int, len(order))
	sorted := make([]Scene, len(order))
	for to, from := range order {
		at[from], sorted[to] = to, p.Scenes[from]
	}
	p.Scenes = sorted
	for i := range p.Recalls {
		p.Recalls[i].Scene = at[p.Recalls[i].Scene]
	}
	for i := range p.of {
		p.of[i] = at[p.of[i]]
	}
	for i, s := range p.variant {
		p.variant[i] = at[s]
	}
	for k, way := range p.steps {
		for i := range way {
			way[i] = at[way[i]]
		}
		p.steps[k] = way
	}
	steps := map[pair][]int{}
	for k, way := range p.steps {
		steps[pair{at[k.a], at[k.b]}] = way
	}
	p.steps = steps
}
