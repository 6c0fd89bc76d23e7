package draft

import (
	"math/rand/v2"
	"testing"
	"time"
)

// enumerate tries every set of candidates.
func (p *problem) enumerate() int64 {
	best := int64(0)
	n := len(p.at)
	for set := range uint(1) << n {
		chosen := make([]bool, n)
		total := int64(0)
		for i := range n {
			if set>>i&1 == 1 {
				chosen[i] = true
				total += p.worth[i]
			}
		}
		if total > best && p.keeps(chosen) {
			best = total
		}
	}
	return best
}

// keeps tells whether a choice adds nothing to what is over its bound: a
// second, plain look at the rules.
func (p *problem) keeps(chosen []bool) bool {
	in := func(from, to time.Duration) (mine, all int) {
		for i, t := range p.at {
			if chosen[i] && t >= from && t < to {
				mine++
			}
		}
		for _, t := range p.fixed {
			if t >= from && t < to {
				all++
			}
		}
		return mine, all + mine
	}
	check := func(from, to time.Duration, most int) bool {
		mine, all := in(from, to)
		return mine == 0 || all <= most
	}
	for _, s := range p.stretches {
		if !check(s.from, s.to, s.most) {
			return false
		}
	}
	for _, r := range p.rules {
		for _, t := range append(append([]time.Duration{}, p.at...), p.fixed...) {
			if !check(t, t+r.within, r.most) {
				return false
			}
		}
	}
	return true
}

func randomProblem(rnd *rand.Rand, n int) *problem {
	p := &problem{}
	t := time.Duration(0)
	for range n {
		t += time.Duration(50+rnd.IntN(1500)) * time.Millisecond
		p.at = append(p.at, t)
		p.worth = append(p.worth, int64(rnd.IntN(1000)-200))
	}
	for range rnd.IntN(3) {
		p.fixed = append(p.fixed, time.Duration(rnd.Int64N(int64(t))))
	}
	p.sortFixed()
	p.rules = []rule{{within: 700 * time.Millisecond, most: 1}, {within: 4 * time.Second, most: 1 + rnd.IntN(4)}}
	half := t / 2
	p.stretches = []stretch{{0, half, rnd.IntN(5)}, {half, t + 1, 1 + rnd.IntN(5)}, {0, t + 1, 2 + rnd.IntN(8)}}
	return p
}

// Equal to brute force on 400 problems of up to 14 candidates.
func TestChoiceAgainstEnumeration(t *testing.T) {
	for seed := range uint64(400) {
		rnd := rand.New(rand.NewPCG(seed, 1))
		p := randomProblem(rnd, 1+rnd.IntN(14))
		chosen := p.choose()
		total := int64(0)
		for i, c := range chosen {
			if c {
				total += p.worth[i]
			}
		}
		if !p.keeps(chosen) {
			t.Errorf("seed %d: the choice breaks a bound", seed)
		}
		if want := p.enumerate(); total != want {
			t.Errorf("seed %d: worth %d, the best is %d", seed, total, want)
		}
	}
}

func BenchmarkChoose(b *testing.B) {
	rnd := rand.New(rand.NewPCG(9, 9))
	p := randomProblem(rnd, 1500)
	p.rules[1] = rule{within: time.Minute, most: 12}
	p.stretches = nil
	for b.Loop() {
		p.choose()
	}
}
