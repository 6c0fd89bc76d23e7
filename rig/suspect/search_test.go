package suspect

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"testing"

	"lampblack/rig"
	"lampblack/si"
	"lampblack/source"
)

// aRig is a small random rig: a line or two, chains of supply, some of it up high.
func aRig(rng *rand.Rand, n int) *rig.Rig {
	r := &rig.Rig{}
	kind := &rig.Type{ID: "par", OnLoss: []rig.DataLoss{rig.LossHold, rig.LossProgram}[rng.IntN(2)]}
	cut := 1 + rng.IntN(n)
	orders := [2][]string{}
	for i := range n {
		u := rig.Unit{Universe: 1, Address: 1 + 8*i, Type: kind, Mode: &rig.Mode{Footprint: 8}}
		u.Name.Name = fmt.Sprintf("par %d", i+1)
		u.At[2] = []si.Length{.3, 1.5, 3.5}[rng.IntN(3)]
		if i%3 == 0 {
			u.Circuit.Name = fmt.Sprintf("c%d", i/3%2)
		} else {
			u.FedBy.Name = fmt.Sprintf("par %d", i)
		}
		r.Units = append(r.Units, u)
		side := 0
		if i >= cut {
			side = 1
		}
		orders[side] = append(orders[side], u.Name.Name)
	}
	for i, o := range orders {
		if o != nil {
			l := rig.Line{Order: o, From: fmt.Sprintf("splitter leg %d", i+1), Adaptors: rng.IntN(2)}
			r.Lines = append(r.Lines, source.Entry[rig.Line]{Name: fmt.Sprintf("l%d", i), Value: l})
		}
	}
	for i := range 2 {
		r.Circuits = append(r.Circuits, source.Entry[rig.Circuit]{Name: fmt.Sprintf("c%d", i), Value: rig.Circuit{RCD: .03}})
	}
	return r
}

// shown draws a fault by its odds, and what units do by it, with a report that is wrong now and then.
func shown(rng *rand.Rand, m *model) []Symptom {
	sum := 0.
	for i := range m.suspects {
		sum += m.suspects[i].odds
	}
	at := rng.Float64() * sum
	k := 0
	for ; k < len(m.suspects)-1 && at > m.suspects[k].odds; k++ {
		at -= m.suspects[k].odds
	}
	s := &m.suspects[k]
	w := &s.ways[rng.IntN(len(s.ways))]
	seen := slices.Repeat([]Symptom{Fine}, len(m.rig.Units))
	for _, u := range w.units {
		if seen[u] = m.does(w, u); rng.IntN(30) == 0 {
			seen[u] = Symptoms[rng.IntN(5)]
		}
	}
	return seen
}

// drawn is a search as the finder has it after some symptoms on a random rig: at most 12 suspects, and
// some of the looks, of which each may mislead. Looks matter more the dearer mends are.
func drawn(rng *rand.Rand) (*search, *belief) {
	for {
		m := modelOf(aRig(rng, 2+rng.IntN(5)))
		seen := shown(rng, m)
		for u := range seen { // who is in a hurry does not look at all of them
			if rng.IntN(3) == 0 {
				seen[u] = Unseen
			}
		}
		m.weigh(seen)
		n := 4 + rng.IntN(9)
		likely := m.suspects[:min(n, len(m.suspects))]
		s, b := &search{}, &belief{}
		dear := math.Exp(2 * rng.Float64()) // mends cost up to seven times as much as they do
		for i := range likely {
			if likely[i].Share < leastShare {
				break
			}
			s.mend, b.p = append(s.mend, dear*likely[i].Cost.All()), append(b.p, likely[i].Share)
		}
		if len(b.p) < 2 {
			continue
		}
		scale(b.p, total(b.p))
		b.tried = make([]bool, len(b.p))
		var all search
		for _, step := range m.looks(likely) {
			l := look{cost: step.Cost.All()}
			for i := range b.p {
				l.yes = append(l.yes, step.yes(&likely[i]))
			}
			all.looks = append(all.looks, l)
		}
		none := &belief{p: b.p, asked: make([]bool, len(all.looks)), tried: b.tried}
		for _, l := range all.informing(none)[:min(6, len(all.informing(none)))] {
			s.looks = append(s.looks, all.looks[l])
		}
		b.asked = make([]bool, len(s.looks))
		return s, b
	}
}

// key is what was answered: three states of each look, two of each mend.
type key struct{ answers, tried int }

// least is the least that any plan is expected to take, by dynamic programming over what was answered:
// p is how likely each suspect is and all answers so far were given. It shares no code with the search.
func least(s *search, p [12]float64, at key, known []float64) float64 {
	sum := 0.
	for _, v := range p {
		sum += v
	}
	if sum < 1e-10 {
		return 0
	}
	n := at.answers<<len(s.mend) | at.tried
	if known[n] > 0 {
		return known[n]
	}
	best := math.Inf(1)
	for i := range s.mend {
		if at.tried>>i&1 == 1 {
			continue
		}
		after := p
		after[i] = 0
		best = min(best, s.mend[i]*sum+least(s, after, key{at.answers, at.tried | 1<<i}, known))
	}
	digit := 1
	for l := range s.looks {
		if at.answers/digit%3 == 0 {
			c := s.looks[l].cost * sum
			for answer := 1; answer <= 2; answer++ {
				var after [12]float64
				for i := range s.mend {
					like := s.looks[l].yes[i]
					if answer == 2 {
						like = 1 - like
					}
					after[i] = p[i] * like
				}
				c += least(s, after, key{at.answers + answer*digit, at.tried}, known)
			}
			best = min(best, c)
		}
		digit *= 3
	}
	known[n] = best
	return best
}

// takes is what the search is expected to take when it is followed to its end.
func takes(s *search, b *belief) float64 {
	c, _ := s.next(b, ahead)
	switch {
	case c.look >= 0:
		sum := s.looks[c.look].cost
		for _, yes := range []bool{true, false} {
			if after, like := s.told(b, c.look, yes); like > surely {
				sum += like * takes(s, after)
			}
		}
		return sum
	case c.mend >= 0:
		after, left := s.mended(b, c.mend)
		if left <= surely {
			return s.mend[c.mend]
		}
		return s.mend[c.mend] + left*takes(s, after)
	}
	return 0
}

// On 300 simulated faults of rigs, with looks that may mislead, the search is expected to take no more
// than 15 % over the least of all plans.
func TestNearTheLeast(t *testing.T) {
	rng := rand.New(rand.NewPCG(20260314, 41))
	faults := 8
	if os.Getenv("LAMPBLACK_LONG") != "" {
		faults = 300
	}
	worst, ours, theirs, mends, many := 0., 0., 0., 0., 0
	for range faults {
		s, b := drawn(rng)
		got, want := takes(s, b), least(s, [12]float64(append(slices.Clone(b.p), make([]float64, 12-len(b.p))...)), key{}, make([]float64, int(math.Pow(3, float64(len(s.looks)))+.5)<<len(b.p)))
		worst = max(worst, got/want-1)
		ours, theirs, mends = ours+got, theirs+want, mends+s.byMends(b)
		if got < want*(1-1e-6) {
			t.Errorf("%v is less than the least, %v", got, want)
		}
		if len(b.p) > 8 {
			many++
		}
	}
	t.Logf("%d faults, %d of them with 9 to 12 suspects: %.2f min expected, the least %.2f min; %.1f %% more on the mean, %.1f %% at worst; by mends alone %.2f min", faults, many, ours/float64(faults), theirs/float64(faults), 100*(ours/theirs-1), 100*worst, mends/float64(faults))
	if worst > .15 {
		t.Errorf("%.1f %% over the least", 100*worst)
	}
}

// Of eight things that are as likely, looks that cost alike and never mislead find the one in three,
// which is the least that yes and no can do (D. A. Huffman, A method for the construction of
// minimum-redundancy codes, 1952, from memory); of 5, 6 and 7 in 12/5, 16/6 and 20/7.
func TestHalves(t *testing.T) {
	for n, want := range map[int]float64{2: 1, 4: 2, 5: 12. / 5, 6: 16. / 6, 7: 20. / 7, 8: 3} {
		s, b := &search{}, &belief{p: make([]float64, n), tried: make([]bool, n), asked: make([]bool, n-1)}
		for i := range n {
			b.p[i] = 1 / float64(n)
			s.mend = append(s.mend, 100)
		}
		for l := range n - 1 { // is it one of those up to l
			yes := make([]float64, n)
			for i := range l + 1 {
				yes[i] = 1
			}
			s.looks = append(s.looks, look{1, yes})
		}
		if got := takes(s, b); math.Abs(got-100-want) > 1e-9 {
			t.Errorf("%d things: %v looks, want %v", n, got-100, want)
		}
	}
}

// Mends alone go by likelihood over cost, which no other order beats.
func TestOrderOfMends(t *testing.T) {
	s := &search{mend: []float64{10, 2, 5}}
	b := &belief{p: []float64{.5, .2, .3}, tried: make([]bool, 3)}
	// Over cost: .05, .1, .06; so 2 + .8·5 + .5·10 = 11.
	if got := s.byMends(b); math.Abs(got-11) > 1e-9 || !slices.Equal(s.order(b), []int{1, 2, 0}) {
		t.Errorf("%v in the order %v, want 11", got, s.order(b))
	}
}
