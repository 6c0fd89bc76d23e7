package cabling

import (
	"math/rand/v2"
	"testing"

	"lampblack/si"
)

// What is built by insertion, held against the least where that is known.
func TestBuiltIsNearTheLeast(t *testing.T) {
	rng := rand.New(rand.NewPCG(20260314, 33))
	same, worst := 0, 0.
	const rigs = 60
	for range rigs {
		n := 8 + rng.IntN(4)
		places := make([]Place, n)
		for i := range places {
			places[i] = Place{si.Length(rng.Float64()*12 - 6), si.Length(rng.Float64()*20 - 10), si.Length(rng.Float64() * 4)}
		}
		p := &problem{n: n, sources: 1, longest: 60, chains: []int{n}, perChain: 20, leastChains: 1 + n/6}
		p.hop, p.first = hops(places, Usual), [][]float64{firsts(Place{}, places, Usual)}
		p.passes = make([]bool, n)
		for i := range p.passes {
			p.passes[i] = rng.IntN(5) > 0
		}
		p.chainFits = func(_ int, c []int) bool { return len(c) <= 6 }
		p.fits = func(int, []int) bool { return true }
		least, built, bound := p.exact(), p.build(), p.bound()
		if (least == nil) != (built == nil) {
			t.Fatalf("least %v, built %v", least, built)
		}
		if least == nil {
			continue
		}
		if bound > least.cost+1e-9 || built.cost < least.cost-1e-9 || p.price(built.chains) != built.cost {
			t.Errorf("bound %v, least %v, built %v", bound, least.cost, built.cost)
		}
		more := built.cost/least.cost - 1
		worst = max(worst, more)
		if more < 1e-9 {
			same++
		}
	}
	t.Logf("the least was found in %d of %d; %.1f %% more at worst", same, rigs, 100*worst)
	if worst > .08 || same < rigs*3/4 {
		t.Errorf("%d of %d at the least, %.1f %% more at worst", same, rigs, 100*worst)
	}
}
