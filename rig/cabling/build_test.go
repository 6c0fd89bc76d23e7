package cabling

import (
	"math/rand/v2"
	"testing"

	"lampblack/rig"
	"lampblack/si"
	"lampblack/source"
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

// tight is a supply of eight to ten units on two or three circuits that hold them hardly, or not.
func tight(rng *rand.Rand) *supply {
	types := []*rig.Type{
		{ID: "par", Supply: rig.Supply{Max: 150, Factor: .9, Inrush: rig.Inrush{Peak: 18, For: 250e-6}, Leakage: .5e-3, Link: 4}},
		{ID: "bar", Supply: rig.Supply{Max: 300, Factor: .8, Inrush: rig.Inrush{Peak: 30, For: 400e-6}, Leakage: 1e-3, Through: 6}},
		{ID: "spot", Supply: rig.Supply{Max: 100, Leakage: .7e-3}},
	}
	r := &rig.Rig{}
	for range 8 + rng.IntN(3) {
		u := rig.Unit{Type: types[rng.IntN(3)]}
		u.At = Place{si.Length(rng.Float64()*10 - 5), si.Length(rng.Float64()*14 - 7), si.Length(rng.Float64() * 4)}
		r.Units = append(r.Units, u)
	}
	for i := range 2 + rng.IntN(2) {
		c := rig.Circuit{Breaker: rig.Breaker{Curve: "B", Rated: []si.Current{6, 6, 10, 10}[rng.IntN(4)]}, RCD: .03, Sockets: 2 + rng.IntN(3), At: &Place{si.Length(i*4 - 4), 6, .3}}
		r.Circuits = append(r.Circuits, source.Entry[rig.Circuit]{Name: string(rune('a' + i)), Value: c})
	}
	s := supplyOf(r, &Supply{Leads: Usual, Voltage: 230})
	s.share = breakerShare
	return s
}

// The same for circuits whose limits leave little room: what can be fed at all is fed.
func TestBuiltCircuits(t *testing.T) {
	rng := rand.New(rand.NewPCG(20260314, 36))
	rigs, missed, worst, sum := 0, 0, 0., 0.
	for range 150 {
		s := tight(rng)
		p := s.problem()
		least := p.exact()
		if least == nil {
			continue
		}
		rigs++
		built := p.build()
		if built == nil {
			missed++
			continue
		}
		if bound := p.bound(); bound > least.cost+1e-9 || built.cost < least.cost-1e-9 {
			t.Errorf("bound %v, least %v, built %v", bound, least.cost, built.cost)
		}
		worst, sum = max(worst, built.cost/least.cost-1), sum+built.cost/least.cost-1
	}
	t.Logf("%d rigs of 8 to 10 units that can be fed: %d not built; %.1f %% over the least on the mean, %.1f %% at worst", rigs, missed, 100*sum/float64(rigs-missed), 100*worst)
	if rigs < 30 || missed > rigs/20 || worst > .2 {
		t.Errorf("%d rigs, %d missed, %.1f %% at worst", rigs, missed, 100*worst)
	}
}
