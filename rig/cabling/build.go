package cabling

import (
	"math"
	"math/rand/v2"
	"slices"
)

// solve is the least layout where that can be found, else a good one; nil where none was found that
// keeps the limits.
func (p *problem) solve() *layout {
	if p.n == 0 {
		return &layout{chains: make([][][]int, p.sources), exact: true}
	}
	if p.small() {
		return p.exact()
	}
	l := p.build()
	if l != nil {
		l.bound = min(p.bound(), l.cost)
	}
	return l
}

// builder is chains that are being built.
type builder struct {
	*problem
	chains [][][]int
	sets   [][]int
	shared float64 // what it costs how they are shared out now
}

// Some more is tried the smaller a rig is; the same every time.
const (
	seed       = 17
	mostTries  = 400
	triesTimes = 400_000 // tries times the square of units
)

// build inserts unit after unit where it costs least, and then takes neighbours out again and puts
// them back, as long as that is worth the time.
func (p *problem) build() *layout {
	b := &builder{problem: p, chains: make([][][]int, p.sources), sets: make([][]int, p.sources)}
	units := make([]int, p.n)
	for u := range units {
		units[u] = u
	}
	rng := rand.New(rand.NewPCG(seed, uint64(p.n)))
	if !b.insert(units) && !b.insertShuffled(units, rng) {
		return nil
	}
	cost := p.price(b.chains)
	for range max(min(mostTries, triesTimes/(p.n*p.n)), 8) {
		kept := copyOf(b.chains)
		again := b.takeOut(rng)
		if b.insert(again) {
			if now := p.price(b.chains); now < cost-1e-9 {
				cost = now
				continue
			}
		}
		b.set(kept)
	}
	return &layout{chains: b.chains, cost: cost}
}

// insertShuffled tries other orders in which to insert, where limits are tight.
func (b *builder) insertShuffled(units []int, rng *rand.Rand) bool {
	for range 30 {
		b.set(make([][][]int, b.sources))
		rng.Shuffle(len(units), func(i, j int) { units[i], units[j] = units[j], units[i] })
		if b.insert(units) {
			return true
		}
	}
	return false
}

func copyOf(chains [][][]int) [][][]int {
	out := make([][][]int, len(chains))
	for s := range chains {
		for _, c := range chains[s] {
			out[s] = append(out[s], slices.Clone(c))
		}
	}
	return out
}

func (b *builder) set(chains [][][]int) {
	b.chains, b.sets = chains, sets(chains)
	b.shared = b.balanceOf(b.sets)
}

// takeOut takes some units out that are near one another.
func (b *builder) takeOut(rng *rand.Rand) []int {
	middle := rng.IntN(b.n)
	near := make([]int, b.n)
	for u := range near {
		near[u] = u
	}
	slices.SortStableFunc(near, func(x, y int) int {
		switch dx, dy := b.hop[middle][x], b.hop[middle][y]; {
		case dx < dy:
			return -1
		case dx > dy:
			return 1
		}
		return 0
	})
	near = near[:1+rng.IntN(min(b.n, 12))]
	out := func(u int) bool { return slices.Contains(near, u) }
	for s := range b.chains {
		for c := range b.chains[s] {
			b.chains[s][c] = slices.DeleteFunc(b.chains[s][c], out)
		}
		b.chains[s] = slices.DeleteFunc(b.chains[s], func(c []int) bool { return len(c) == 0 })
	}
	b.set(b.chains)
	rng.Shuffle(len(near), func(i, j int) { near[i], near[j] = near[j], near[i] })
	return near
}

// spot is where a unit could go: chain of a source, and place in it; a chain behind the last is new.
type spot struct {
	source, chain, at int
	cost              float64
}

// insert puts each unit where it costs least; false where one goes nowhere.
func (b *builder) insert(units []int) bool {
	for _, u := range units {
		best := spot{cost: math.Inf(1)}
		for s := range b.sources {
			b.tryAt(s, u, &best)
		}
		if math.IsInf(best.cost, 1) {
			return false
		}
		if best.chain == len(b.chains[best.source]) {
			b.chains[best.source] = append(b.chains[best.source], nil)
		}
		c := &b.chains[best.source][best.chain]
		*c = slices.Insert(*c, best.at, u)
		b.sets[best.source] = append(b.sets[best.source], u)
		b.shared = b.balanceOf(b.sets)
	}
	return true
}

// tryAt looks at all places that a source has for a unit.
func (b *builder) tryAt(s, u int, best *spot) {
	before := b.sets[s]
	b.sets[s] = append(slices.Clone(before), u)
	defer func() { b.sets[s] = before }()
	if !b.fits(s, b.sets[s]) || !b.allHold(b.sets) {
		return
	}
	shared := b.balanceOf(b.sets) - b.shared
	if len(b.chains[s]) < b.problem.chains[s] {
		b.trySpot(spot{s, len(b.chains[s]), 0, shared + b.perChain}, nil, u, best)
	}
	for c, chain := range b.chains[s] {
		if !b.chainFits(s, append(slices.Clone(chain), u)) {
			continue
		}
		for at := 0; at <= len(chain); at++ {
			b.trySpot(spot{s, c, at, shared}, chain, u, best)
		}
	}
}

// trySpot takes a place when it is the best so far and the chain keeps its limits.
func (b *builder) trySpot(at spot, chain []int, u int, best *spot) {
	if at.cost += b.longer(at.source, chain, at.at, u); at.cost >= best.cost {
		return
	}
	if b.holds(at.source, slices.Insert(slices.Clone(chain), at.at, u)) {
		*best = at
	}
}

// longer is how much longer a chain becomes by a unit in it.
func (p *problem) longer(s int, chain []int, at, u int) float64 {
	to := func(v int) float64 {
		if at == 0 {
			return p.first[s][v]
		}
		return p.hop[chain[at-1]][v]
	}
	d := to(u)
	if at < len(chain) {
		d += p.hop[u][chain[at]] - to(chain[at])
	}
	return d
}
