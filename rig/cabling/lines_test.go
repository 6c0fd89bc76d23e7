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
)

// someTypes are types that differ in what cables ask of them.
func someTypes() []*rig.Type {
	return []*rig.Type{
		{ID: "par", Loads: 1, Supply: rig.Supply{Max: 78, Factor: .92, Inrush: rig.Inrush{Peak: 18, For: 250e-6}, Leakage: .5e-3, Link: 4, Through: 10}},
		{ID: "bar", Loads: 6, Supply: rig.Supply{Max: 400, Factor: .6, Inrush: rig.Inrush{Peak: 60, For: 400e-6}, Leakage: 1e-3, Link: 3, Through: 6}},
		{ID: "flood", Loads: 12, Supply: rig.Supply{Max: 900, Factor: .9, Inrush: rig.Inrush{Peak: 45, For: 300e-6}, Leakage: 1.5e-3}},
		{ID: "spot", Supply: rig.Supply{Max: 54, Leakage: .7e-3, Link: 8}},
	}
}

// hung is a rig of n units at random places of a hall, on so many universes.
func hung(rng *rand.Rand, n, universes int) *rig.Rig {
	types := someTypes()
	mode := &rig.Mode{Footprint: 4}
	r := &rig.Rig{}
	for i := range n {
		u := rig.Unit{Universe: 1 + rng.IntN(universes), Address: 1 + 4*i%500, Type: types[rng.IntN(len(types))], Mode: mode}
		u.Name.Name = fmt.Sprintf("u%d", i)
		u.At = cabling.Place{si.Length(rng.Float64()*12 - 6), si.Length(rng.Float64()*20 - 10), []si.Length{0.2, 1.5, 2.5, 3.5}[rng.IntN(4)]}
		u.Hung = &u.At
		r.Units = append(r.Units, u)
	}
	return r
}

// metres is the length of a run by the words of the package's page, in code of its own.
func metres(a, b cabling.Place) float64 {
	var d [3]float64
	for i := range d {
		d[i] = math.Abs(float64(a[i]) - float64(b[i]))
	}
	over := d[0] + d[1]
	if over >= 1 && (a[2] < 2.3 || b[2] < 2.3) {
		return 1 + 1.1*(over+float64(a[2]+b[2]))
	}
	return 1 + 1.1*(over+d[2])
}

// runCosts is what a run costs with the usual lengths.
func runCosts(run float64) float64 {
	whole := math.Floor((run - 1e-12) / 20)
	rest := run - 20*whole
	for _, l := range []float64{1, 2, 3, 5, 10, 15, 20} {
		if l >= rest {
			return 20*whole + l + 5*whole + run/100
		}
	}
	panic("no length")
}

// orders calls f with all orders of 0 to n-1.
func orders(n int, f func([]int)) {
	var next func(done, left []int)
	next = func(done, left []int) {
		if len(left) == 0 {
			f(done)
		}
		for i := range left {
			rest := slices.Delete(slices.Clone(left), i, i+1)
			next(append(slices.Clone(done), left[i]), rest)
		}
	}
	all := make([]int, n)
	for i := range all {
		all[i] = i
	}
	next(nil, all)
}

// leastLines goes through all orders of the units of a universe, cut anywhere into lines.
func leastLines(r *rig.Rig, desk cabling.Place) float64 {
	best := math.Inf(1)
	orders(len(r.Units), func(order []int) {
		for cuts := range 1 << (len(order) - 1) {
			sum, long, load, at := -20., 0., math.Inf(1), desk
			good := true
			for k, i := range order {
				u := &r.Units[i]
				if k == 0 || cuts>>(k-1)&1 == 1 {
					sum, long, load, at = sum+20, 0, 0, desk
				}
				run := runCosts(metres(at, u.At))
				sum, long, at = sum+run, long+run, u.At
				load += max(1, float64(u.Type.Loads))
				good = good && load <= 32 && long <= 300
			}
			if good && sum < best {
				best = sum
			}
		}
	})
	return best
}

var desk = cabling.Place{1, -9, 1}

// On small rigs no way to lay data lines costs less than the plan, and none that is planned breaks a
// limit: 32 unit loads of EIA-485 (ANSI E1.11), 300 m (common practice).
func TestLinesAreLeast(t *testing.T) {
	rng := rand.New(rand.NewPCG(20260314, 31))
	several := 0
	const rigs = 120
	for range rigs {
		r := hung(rng, 1+rng.IntN(6), 1)
		plan, err := cabling.PlanLines(r, cabling.Options{Desk: desk})
		if err != nil {
			t.Fatal(err)
		}
		if want := leastLines(r, desk); !plan.Exact || math.Abs(plan.Cost-want) > 1e-9 || plan.Bound != plan.Cost {
			t.Errorf("%d units: %v m, exact %v, bound %v; the least is %v m", len(r.Units), plan.Cost, plan.Exact, plan.Bound, want)
		}
		if len(plan.Lines) > 1 {
			several++
		}
	}
	t.Logf("%d of %d rigs of 1 to 6 units at the least of all orders and cuts; %d of them need a splitter", rigs, rigs, several)
	if several == 0 {
		t.Error("no rig needs a splitter")
	}
}

// Where not all ways can be gone through, a plan keeps the limits, reaches every unit once, is no
// cheaper than its bound, and where the least is known is near it.
func TestLargeLines(t *testing.T) {
	rng := rand.New(rand.NewPCG(20260314, 32))
	worst, sum, n := 0., 0., 0
	for range 60 {
		r := hung(rng, 13+rng.IntN(60), 1+rng.IntN(2))
		plan, err := cabling.PlanLines(r, cabling.Options{Desk: desk})
		if err != nil {
			t.Fatal(err)
		}
		seen := map[int]int{}
		cost := -20. * float64(universes(r))
		for _, l := range plan.Lines {
			load, long, at := 0., 0., desk
			for _, h := range l.Hops {
				u := &r.Units[h.To]
				seen[h.To]++
				run := runCosts(metres(at, u.At))
				load, long, at = load+max(1, float64(u.Type.Loads)), long+run, u.At
				if u.Universe != l.Universe {
					t.Errorf("%s hangs on a line of universe %d", u.Name.Name, l.Universe)
				}
			}
			cost += long + 20
			if load > 32 || long > 300 || float64(l.Length) > 300 {
				t.Errorf("a line of %v unit loads and %v m", load, long)
			}
		}
		for i := range r.Units {
			if seen[i] != 1 {
				t.Errorf("unit %d hangs on %d lines", i, seen[i])
			}
		}
		if math.Abs(cost-plan.Cost) > 1e-6 || plan.Bound > plan.Cost {
			t.Errorf("costs %v, told %v, bound %v", cost, plan.Cost, plan.Bound)
		}
		if !plan.Exact {
			a := cabling.Apart(plan.Cost, plan.Bound)
			worst, sum, n = max(worst, a), sum+a, n+1
		}
	}
	t.Logf("%d rigs of 13 to 72 units: at most %.1f %% over the bound on the mean, %.1f %% at worst", n, 100*sum/float64(n), 100*worst)
	if worst > .25 {
		t.Errorf("%.0f %% over the bound", 100*worst)
	}
}

func universes(r *rig.Rig) int {
	seen := map[int]bool{}
	for i := range r.Units {
		seen[r.Units[i].Universe] = true
	}
	return len(seen)
}
