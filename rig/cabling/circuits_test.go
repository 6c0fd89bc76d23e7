package cabling_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"lampblack/rig"
	"lampblack/rig/cabling"
	"lampblack/si"
	"lampblack/source"
)

// boards are circuits for a rig: breakers, sockets, phases and devices drawn by lot.
func boards(rng *rand.Rand, n int) (out source.Named[rig.Circuit]) {
	for i := range n {
		c := rig.Circuit{Breaker: rig.Breaker{Curve: []string{"B", "C", ""}[rng.IntN(3)], Rated: []si.Current{6, 10, 16}[rng.IntN(3)]}, RCD: .03,
			Sockets: 1 + rng.IntN(3), Phase: rig.Phase([]string{"", "L1", "L2"}[rng.IntN(3)]), Cable: rig.Cable{Connector: []si.Current{0, 10}[rng.IntN(2)]},
			At: &cabling.Place{si.Length(rng.Float64()*12 - 6), 5, .3}}
		if rng.IntN(3) == 0 {
			c.Other = 500
		}
		if i > 0 && rng.IntN(3) == 0 {
			c.Shares.Name = "c0"
		}
		out = append(out, source.Entry[rig.Circuit]{Name: fmt.Sprintf("c%d", i), Value: c})
	}
	return out
}

// tally is what one circuit of a way comes to.
type tally struct{ va, surge, long, leak float64 }

// leastFeeds goes through all orders of the units, cut anywhere into chains, each chain on every
// circuit, and returns the least that a way costs which keeps all limits; Inf where none does. It says
// the limits in its own words.
func leastFeeds(r *rig.Rig) float64 {
	best := math.Inf(1)
	orders(len(r.Units), func(order []int) {
		for cuts := range 1 << (len(order) - 1) {
			var chains [][]int
			for k, u := range order {
				if k == 0 || cuts>>(k-1)&1 == 1 {
					chains = append(chains, nil)
				}
				chains[len(chains)-1] = append(chains[len(chains)-1], u)
			}
			sorted := slices.IsSortedFunc(chains, func(a, b []int) int { return a[0] - b[0] }) // each way once
			if !sorted || slices.ContainsFunc(chains, func(c []int) bool { return !linked(r, c) }) {
				continue
			}
			on := make([]int, len(chains))
			for more := true; more; more = count(on, len(r.Circuits)) {
				best = min(best, feedsCost(r, chains, on))
			}
		}
	})
	return best
}

// count goes to the next number of digits to a base.
func count(digits []int, base int) bool {
	for i := range digits {
		if digits[i]++; digits[i] < base {
			return true
		}
		digits[i] = 0
	}
	return false
}

func voltAmperes(t *rig.Type) float64 {
	if t.Supply.Factor == 0 {
		return float64(t.Supply.Max) / .5
	}
	return float64(t.Supply.Max) / float64(t.Supply.Factor)
}

// linked tells whether units can be plugged into one another: no more of them than any maker says, no
// more current than any coupler carries, and none behind one that has no outlet.
func linked(r *rig.Rig, chain []int) bool {
	most, sum := 10., 0.
	for k, u := range chain {
		s := &r.Units[u].Type.Supply
		if k < len(chain)-1 && s.Link == 0 && s.Through == 0 || s.Link > 0 && len(chain) > int(s.Link) {
			return false
		}
		if s.Through > 0 {
			most = min(most, float64(s.Through))
		}
		sum += voltAmperes(r.Units[u].Type) / 230
	}
	return sum <= most
}

func feedsCost(r *rig.Rig, chains [][]int, on []int) float64 {
	of := make([]tally, len(r.Circuits))
	heads := make([]int, len(r.Circuits))
	cost := 0.
	for k, chain := range chains {
		c := on[k]
		heads[c]++
		at := *r.Circuits[c].Value.At
		for _, u := range chain {
			unit := &r.Units[u]
			cost += runCosts(metres(at, unit.At))
			at = unit.At
			s := &unit.Type.Supply
			of[c].va += voltAmperes(unit.Type)
			of[c].surge += float64(s.Inrush.Peak)
			of[c].long = max(of[c].long, s.Inrush.For)
			of[c].leak += float64(s.Leakage)
		}
	}
	worst, all, pulses, rated, poor := 0., 0., 0., 0., false
	leak, phase, used := map[string]float64{}, map[rig.Phase]float64{}, map[rig.Phase]bool{}
	for c := range of {
		v := &r.Circuits[c].Value
		a := of[c].va / 230
		all += a
		limit := .8 * float64(v.Breaker.Rated)
		if k := float64(v.Cable.Connector); k > 0 {
			limit = min(limit, k)
		}
		limit -= float64(v.Other) / 230
		stands := map[string]float64{"B": 3, "C": 5, "": 3}[v.Breaker.Curve] * float64(v.Breaker.Rated)
		if of[c].long > 0 {
			stands *= math.Sqrt(.01 / of[c].long)
		}
		if a > limit || of[c].surge > stands || heads[c] > v.Sockets {
			return math.Inf(1)
		}
		if a > 0 {
			worst = max(worst, a/limit)
		}
		device := r.Circuits[c].Name
		if v.Shares.Name != "" {
			device = v.Shares.Name
		}
		leak[device] += of[c].leak
		if v.Phase != "" {
			phase[v.Phase] += a
			if a > 0 {
				used[v.Phase] = true
				pulses, rated = pulses+a+float64(v.Other)/230, max(rated, float64(v.Breaker.Rated))
			}
		}
	}
	for k, chain := range chains {
		for _, u := range chain {
			poor = poor || r.Circuits[on[k]].Value.Phase != "" && r.Units[u].Type.Supply.Factor < .9
		}
	}
	if len(used) > 1 && poor && 1.7*pulses/3 > rated {
		return math.Inf(1)
	}
	for _, l := range leak {
		if l > .3*.03 {
			return math.Inf(1)
		}
	}
	cost += 50 * worst
	if len(phase) > 1 {
		most := 0.
		for _, a := range phase {
			most = max(most, a)
		}
		cost += 20 * most * float64(len(phase)) / all
	}
	return cost
}

// On small rigs no way to feed the units that keeps the limits costs less than the plan, and where there
// is none the plan says which limit it could not keep, or that there is no way.
func TestCircuitsAreLeast(t *testing.T) {
	rng := rand.New(rand.NewPCG(20260314, 35))
	const rigs = 150
	least, none := 0, 0
	for range rigs {
		r := hung(rng, 1+rng.IntN(5), 1)
		r.Circuits = boards(rng, 1+rng.IntN(3))
		want := leastFeeds(r)
		plan, err := cabling.PlanCircuits(r, cabling.Supply{})
		kept := err == nil && len(plan.Eased) == 0 || err == nil && slices.Equal(plan.Eased, []cabling.Ease{cabling.EaseDrop})
		switch {
		case kept != !math.IsInf(want, 1):
			t.Errorf("planned %v with %+v, and the least is %v", err, plan, want)
		case !kept:
			none++
		case !plan.Exact || math.Abs(plan.Cost-want) > 1e-6:
			t.Errorf("the plan costs %v, the least is %v", plan.Cost, want)
		default:
			least++
		}
	}
	t.Logf("%d of %d rigs of 1 to 5 units on 1 to 3 circuits at the least of all ways; %d where no way keeps all limits, told", least, rigs, none)
	if least < rigs/2 || none < 5 {
		t.Errorf("%d at the least, %d without a way", least, none)
	}
}
