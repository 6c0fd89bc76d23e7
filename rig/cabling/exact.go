package cabling

import (
	"math"
	"math/bits"
	"slices"
)

// How much is gone through: ways to share units out among sources, and ways to cut sets in two.
const (
	mostShares = 600_000
	mostCuts   = 10_000_000
)

// small tells whether the least of all layouts can be found in about a second: up to 14 units of one
// source or two, 12 of three, 9 of four.
func (p *problem) small() bool {
	sources, n := float64(p.sources), float64(p.n)
	return math.Pow(sources, n) <= mostShares && sources*math.Pow(3, n) <= mostCuts
}

// table is what one source can do with each set of units, a bit for a unit: the least runs of one
// chain, its last unit, and of several chains with the chain that is laid beside the rest.
type table struct {
	one  []float64
	way  [][]int8 // by set and last unit: the unit before it; -1 for the source
	end  []int8   // by set: the last unit of its chain
	all  []float64
	cuts [][]int // by how many chains there may be, and set: the set of one of its chains; 0 where one less will do
}

// exact is the least layout of all, or nil where none keeps the limits.
func (p *problem) exact() *layout {
	tables := make([]*table, p.sources)
	for s := range tables {
		tables[s] = p.tableOf(s)
	}
	best := &layout{cost: math.Inf(1), exact: true}
	share := make([]int, p.sources)
	p.shareOut(tables, 0, 1<<p.n-1, 0, share, best)
	if math.IsInf(best.cost, 1) {
		return nil
	}
	best.bound = best.cost
	return best
}

// members lists the units of a set.
func members(set int) []int {
	out := make([]int, 0, bits.OnesCount(uint(set)))
	for ; set != 0; set &= set - 1 {
		out = append(out, bits.TrailingZeros(uint(set)))
	}
	return out
}

// tableOf fills in a source's table.
func (p *problem) tableOf(source int) *table {
	t := &table{one: make([]float64, 1<<p.n), end: make([]int8, 1<<p.n), way: make([][]int8, 1<<p.n)}
	p.singles(source, t)
	p.several(source, t)
	return t
}

// singles finds the least chain through every set (Held and Karp).
func (p *problem) singles(source int, t *table) {
	ends := make([][]float64, 1<<p.n)
	for set := 1; set < 1<<p.n; set++ {
		t.one[set] = math.Inf(1)
		units := members(set)
		if !p.chainFits(source, units) {
			continue // and so is every larger set: its ends stay nil
		}
		ends[set], t.way[set] = make([]float64, p.n), make([]int8, p.n)
		for _, last := range units {
			ends[set][last], t.way[set][last] = p.reach(source, ends[set&^(1<<last)], set&^(1<<last), last)
			if d := ends[set][last]; d < t.one[set] && d <= p.longest {
				t.one[set], t.end[set] = d, int8(last)
			}
		}
	}
}

// reach is the least chain through a set to one more unit, and the unit before it.
func (p *problem) reach(source int, ends []float64, set, last int) (float64, int8) {
	if set == 0 {
		return p.first[source][last], -1
	}
	best, before := math.Inf(1), int8(-1)
	if ends == nil {
		return best, before
	}
	for _, u := range members(set) {
		if d := ends[u] + p.hop[u][last]; p.passes[u] && d < best {
			best, before = d, int8(u)
		}
	}
	return best, before
}

// several finds the least chains through every set, as many as the source may have.
func (p *problem) several(source int, t *table) {
	size := 1 << p.n
	t.all = slices.Repeat([]float64{math.Inf(1)}, size)
	t.all[0] = 0
	for range min(p.chains[source], p.n) {
		next, cut := slices.Clone(t.all), make([]int, size)
		for set := 1; set < size; set++ {
			next[set], cut[set] = p.cut(t, set)
		}
		if slices.Equal(next, t.all) {
			break
		}
		t.all, t.cuts = next, append(t.cuts, cut)
	}
	for set := 1; set < size; set++ {
		if !math.IsInf(t.all[set], 1) && !p.fits(source, members(set)) {
			t.all[set] = math.Inf(1)
		}
	}
}

// cut takes one chain more out of a set, that of its first unit, where that is better.
func (p *problem) cut(t *table, set int) (least float64, part int) {
	least = t.all[set]
	lowest := set & -set
	for others := set &^ lowest; ; others = (others - 1) & (set &^ lowest) {
		one := lowest | others
		if d := t.one[one] + p.perChain + t.all[set&^one]; d < least {
			least, part = d, one
		}
		if others == 0 {
			return least, part
		}
	}
}

// chains are the least chains through a set.
func (t *table) chains(set int) (out [][]int) {
	for _, cut := range slices.Backward(t.cuts) {
		if part := cut[set]; part != 0 {
			out, set = append(out, t.chain(part)), set&^part
		}
	}
	return out
}

// shareOut goes through the ways to give each source its set, and leaves those that cannot become
// better than the best.
func (p *problem) shareOut(tables []*table, source, left int, cost float64, share []int, best *layout) {
	if source == p.sources-1 {
		share[source] = left
		p.settle(tables, cost+tables[source].all[left], share, best)
		return
	}
	for set := left; ; set = (set - 1) & left {
		if c := cost + tables[source].all[set]; c < best.cost {
			share[source] = set
			p.shareOut(tables, source+1, left&^set, c, share, best)
		}
		if set == 0 {
			return
		}
	}
}

// settle takes a way to share out when it is the best so far.
func (p *problem) settle(tables []*table, cost float64, share []int, best *layout) {
	if cost >= best.cost {
		return
	}
	sets := make([][]int, p.sources)
	for s, set := range share {
		sets[s] = members(set)
	}
	if cost += p.balanceOf(sets); cost >= best.cost || !p.allHold(sets) {
		return
	}
	best.cost = cost
	best.chains = make([][][]int, p.sources)
	for s, set := range share {
		best.chains[s] = tables[s].chains(set)
	}
}

// chain is the order of the units of a set in its least chain.
func (t *table) chain(set int) []int {
	var out []int
	for at := t.end[set]; at >= 0; {
		out = append(out, int(at))
		before := t.way[set][at]
		set &^= 1 << at
		at = before
	}
	slices.Reverse(out)
	return out
}
