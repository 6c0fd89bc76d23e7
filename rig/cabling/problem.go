package cabling

import (
	"math"
	"slices"
)

// problem is chains that are to be laid from sources through all of n units, in metres or what is
// worth metres. All limits are of sets of units, whatever their order, and a set that breaks one is
// not made good by more units.
type problem struct {
	n, sources int
	first      [][]float64 // by source and unit: the first run of a chain
	hop        [][]float64 // by unit and unit; as long there as back
	passes     []bool      // whether anything can hang behind a unit
	perChain   float64     // what each chain costs beside its runs
	chains     []int       // most chains of each source

	leastChains int // that there must be over all

	chainFits func(source int, units []int) bool
	longest   float64                            // most that the runs of a chain may add up to
	fits      func(source int, units []int) bool // what hangs on one source
	allFit    func(sets [][]int) bool            // what sources share; nil when they share nothing
	balance   func(sets [][]int) float64         // what it costs how they are shared out, by source; nil for nothing
	least     func() float64                     // of the balance, over all ways; nil for 0
}

// layout is a way to hang all units: by source its chains, each from the source on.
type layout struct {
	chains [][][]int
	cost   float64
	exact  bool
	bound  float64 // no layout costs less
}

// long is the runs of one chain.
func (p *problem) long(source int, chain []int) float64 {
	sum := p.first[source][chain[0]]
	for k := 1; k < len(chain); k++ {
		sum += p.hop[chain[k-1]][chain[k]]
	}
	return sum
}

// holds tells whether one chain keeps its limits.
func (p *problem) holds(source int, chain []int) bool {
	for _, u := range chain[:len(chain)-1] {
		if !p.passes[u] {
			return false
		}
	}
	return p.chainFits(source, chain) && p.long(source, chain) <= p.longest
}

// sets lists the units of each source.
func sets(chains [][][]int) [][]int {
	out := make([][]int, len(chains))
	for s := range chains {
		out[s] = slices.Concat(chains[s]...)
	}
	return out
}

// price is what a layout costs.
func (p *problem) price(chains [][][]int) float64 {
	sum := 0.0
	for s := range chains {
		for _, c := range chains[s] {
			sum += p.long(s, c) + p.perChain
		}
	}
	return sum + p.balanceOf(sets(chains))
}

func (p *problem) balanceOf(sets [][]int) float64 {
	if p.balance == nil {
		return 0
	}
	return p.balance(sets)
}

func (p *problem) allHold(sets [][]int) bool { return p.allFit == nil || p.allFit(sets) }

// bound is less than every layout costs: the runs join all units with the sources, so they are no
// shorter than the least tree that does, and than every such tree in which crowded places cost more and
// what they cost more is taken off again. A unit has at most two cables, and the sources have as many
// as there must be chains.
func (p *problem) bound() float64 {
	near := make([]float64, p.n)
	for u := range near {
		near[u] = math.Inf(1)
		for s := range p.sources {
			near[u] = min(near[u], p.first[s][u])
		}
	}
	more, less := make([]float64, p.n), 0.
	best, step := 0.0, 1.0
	for range rounds(p.n) {
		sum, crowd, roots := p.tree(near, more, less)
		for _, m := range more {
			sum -= 2 * m
		}
		best = max(best, sum+less*float64(p.leastChains))
		short := float64(p.leastChains - roots)
		square := short * short
		for _, d := range crowd {
			square += float64((d - 2) * (d - 2))
		}
		if square == 0 {
			break
		}
		step *= .98
		along := step * best * .1 / math.Sqrt(square)
		for u, d := range crowd {
			more[u] = max(0, more[u]+along*float64(d-2))
		}
		less = max(0, less+along*short)
	}
	best += p.perChain * float64(p.leastChains)
	if p.least != nil {
		best += p.least()
	}
	return best
}

// rounds is how often the bound is improved: as often as takes a second at most.
func rounds(n int) int { return min(300, max(2, 100_000_000/(n*n+1))) }

// tree is the least tree (Prim) over all units and the sources as one place, with what each unit costs
// more and the sources cost less; how many branches each unit and the sources have.
func (p *problem) tree(near, more []float64, less float64) (sum float64, crowd []int, roots int) {
	crowd = make([]int, p.n)
	dist, from := make([]float64, p.n), make([]int, p.n)
	done := make([]bool, p.n)
	for u := range dist {
		dist[u], from[u] = near[u]+more[u]-less, -1
	}
	for range p.n {
		best := -1
		for u := range dist {
			if !done[u] && (best < 0 || dist[u] < dist[best]) {
				best = u
			}
		}
		done[best] = true
		sum += dist[best]
		crowd[best]++
		if from[best] >= 0 {
			crowd[from[best]]++
		} else {
			roots++
		}
		for u := range dist {
			if d := p.hop[best][u] + more[best] + more[u]; !done[u] && d < dist[u] {
				dist[u], from[u] = d, best
			}
		}
	}
	return sum, crowd, roots
}
