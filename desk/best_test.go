package desk

import (
	"context"
	"fmt"
	"math"
	"math/bits"
	"math/rand/v2"
	"testing"
	"time"

	"lampblack/light"
)

// generated is the demand of a small made-up score: states among which some
// are close, and a run of recalls with fades and bumps.
func generated(rnd *rand.Rand) *Plan {
	e := &eye{things: make([]thing, 3)}
	for i := range e.things {
		e.things[i] = thing{name: fmt.Sprint(i), weight: 1. / 3}
	}
	n := 4 + rnd.IntN(5)
	d := &demand{}
	for i := range n {
		s := state{sight: make(sight, 3), stands: time.Duration(rnd.IntN(40)) * time.Second, asked: 1}
		for k := range s.sight {
			s.sight[k] = light.XYZ{X: rnd.Float64() * 5, Y: rnd.Float64() * 5, Z: rnd.Float64() * 5}
			if i > 0 && rnd.IntN(2) == 0 {
				s.sight[k] = d.states[i-1].sight[k].Times(.9 + rnd.Float64()*.2)
			}
		}
		d.states = append(d.states, s)
	}
	before := -1
	for i := range n + rnd.IntN(8) {
		a := ask{at: time.Duration(i) * 5 * time.Second, state: i % n, before: before}
		if i >= n {
			a.state = rnd.IntN(n)
		}
		if rnd.IntN(4) > 0 {
			a.over = time.Duration(rnd.IntN(60)) * 100 * time.Millisecond
		}
		before = a.state
		d.asks = append(d.asks, a)
	}
	desk := &Desk{Gap: 40 * time.Millisecond, Fade: Fade{Kind: FadeNone}}
	switch rnd.IntN(3) {
	case 1:
		desk.Fade = Fade{Kind: FadeOneTime, Longest: 10 * time.Second}
	case 2:
		desk.Fade = Fade{Kind: FadeEachScene, Shortest: time.Second, Longest: 4 * time.Second}
	}
	d.compare(e)
	return &Plan{Desk: desk, need: d, eye: e, way: way{fade: desk.Fade.Kind}}
}

// bestReduction tries every set of states to keep, and for each every way to
// spread the scenes that are left.
func bestReduction(p *Plan, most int) float64 {
	n := len(p.need.states)
	best := math.Inf(1)
	for set := uint(1); set < 1<<n; set++ {
		kept := bits.OnesCount(set)
		if kept > most {
			continue
		}
		of := make([]int, n)
		total := 0.0
		for i := range n {
			least := math.Inf(1)
			for j := range n {
				if c := p.need.apart[i][j] * p.need.states[i].weight(); set>>j&1 == 1 && (c < least || j == i && c <= least) {
					least, of[i] = c, j
				}
			}
			total += least
		}
		best = min(best, total+everyWay(p.extras(of), most-kept))
	}
	return best
}

func everyWay(items []extra, left int) float64 {
	if len(items) == 0 {
		return 0
	}
	best := math.Inf(1)
	for n := 0; n <= left && n < len(items[0].costs); n++ {
		best = min(best, items[0].costs[n]+everyWay(items[1:], left-n))
	}
	return best
}

// On 200 generated scores the reduction is within 2 % of the best there is.
func TestReductionAgainstEnumeration(t *testing.T) {
	exact, worst := 0, 0.0
	for seed := range uint64(200) {
		rnd := rand.New(rand.NewPCG(seed, 7))
		p := generated(rnd)
		most := 1 + rnd.IntN(len(p.need.states)+1)
		err := p.chooseScenes(context.Background(), most)
		if err != nil {
			t.Fatal(err)
		}
		got := p.choice
		scenes := len(got.chosen)
		for _, n := range got.extra {
			scenes += n
		}
		if scenes > most {
			t.Errorf("seed %d: %d scenes where %d fit", seed, scenes, most)
		}
		want := bestReduction(p, most)
		off := 0.0
		if want > 0 {
			off = p.Chosen/want - 1
		}
		worst = max(worst, off)
		if off < 1e-9 {
			exact++
		}
		if off > .02 || off < -1e-9 {
			t.Errorf("seed %d, %s: harm %.4f, the best is %.4f", seed, p.Desk.Fade.Kind, p.Chosen, want)
		}
	}
	t.Logf("200 scores: %d equal to the best, the worst is %.2f %% over it", exact, 100*worst)
}

// The tour is no longer than any other up to 8 places, exactly; beyond what is
// enumerated, exchanges leave nothing that one exchange mends.
func TestTour(t *testing.T) {
	rnd := rand.New(rand.NewPCG(5, 6))
	for range 60 {
		n := rnd.IntN(8)
		move := randomMoves(rnd, n)
		if got, want := length(tour(move), move), shortest(move, nil); got != want {
			t.Errorf("%d places: tour of %d, the shortest is %d", n, got, want)
		}
	}
	worst := 0.0
	for range 20 {
		move := randomMoves(rnd, exactTour)
		exact := length(heldKarp(move), move)
		if got := length(tour(move), move); got != exact {
			t.Errorf("%d places, the most that are solved exactly: tour of %d, the shortest is %d", exactTour, got, exact)
		}
		by := nearest(move)
		improve(by, move)
		worst = max(worst, float64(length(by, move))/float64(exact)-1)
	}
	t.Logf("exchanges alone on %d places: at worst %.1f %% over the shortest", exactTour, 100*worst)
	if worst > .1 {
		t.Errorf("exchanges are %.0f %% over the shortest tour", 100*worst)
	}
}

func randomMoves(rnd *rand.Rand, n int) [][]int {
	values := make([][8]byte, n+1)
	for i := range n {
		for k := range values[i] {
			values[i][k] = byte(rnd.IntN(3))
		}
	}
	move := make([][]int, n+1)
	for i := range move {
		move[i] = make([]int, n+1)
		for j := range move[i] {
			for k := range 8 {
				if values[i][k] != values[j][k] {
					move[i][j]++
				}
			}
		}
	}
	return move
}

func shortest(move [][]int, order []int) int {
	n := len(move) - 1
	if len(order) == n {
		return length(order, move)
	}
	best := math.MaxInt
	for j := range n {
		seen := false
		for _, i := range order {
			seen = seen || i == j
		}
		if !seen {
			best = min(best, shortest(move, append(order[:len(order):len(order)], j)))
		}
	}
	if n == 0 {
		return 0
	}
	return best
}
