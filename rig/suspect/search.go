package suspect

import (
	"cmp"
	"math"
	"slices"
)

// search is what is left to find out: how likely each suspect is, what it costs to mend it, and which
// looks there are. All costs are minutes.
type search struct {
	mend  []float64
	looks []look
}

// look is a step that tells suspects apart.
type look struct {
	cost float64
	yes  []float64 // how likely the answer yes is, by suspect
}

// choice is what to do next: a look by its index, or the mend of a suspect.
type choice struct {
	look, mend int // -1 for the other
}

// How far the search looks ahead: steps, and how many of the best looks and mends at each.
const (
	ahead     = 3
	bestLooks = 7
	bestMends = 4
	surely    = 1e-9 // less likely than that is out
)

// belief is how likely each suspect is, adding up to 1, with what was done already.
type belief struct {
	p     []float64
	asked []bool // by look
	tried []bool // by suspect: its mend was no help
}

// left is what no suspect is that was tried: by likelihood over cost, which is the least order.
func (s *search) order(b *belief) []int {
	var out []int
	for i, p := range b.p {
		if p > surely && !b.tried[i] {
			out = append(out, i)
		}
	}
	slices.SortStableFunc(out, func(i, j int) int { return cmp.Compare(b.p[j]/s.mend[j], b.p[i]/s.mend[i]) })
	return out
}

// byMends is how long the search takes by mends alone.
func (s *search) byMends(b *belief) float64 {
	sum, left := 0.0, 1.0
	for _, i := range s.order(b) {
		sum += left * s.mend[i]
		left -= b.p[i]
	}
	return sum
}

// told is the belief after the answer to a look, and how likely that answer is.
func (s *search) told(b *belief, l int, yes bool) (*belief, float64) {
	out := &belief{p: make([]float64, len(b.p)), asked: slices.Clone(b.asked), tried: b.tried}
	out.asked[l] = true
	sum := 0.0
	for i, p := range b.p {
		like := s.looks[l].yes[i]
		if !yes {
			like = 1 - like
		}
		out.p[i] = p * like
		sum += out.p[i]
	}
	scale(out.p, sum)
	return out, sum
}

// mended is the belief after a mend that was no help, and how likely that is.
func (s *search) mended(b *belief, i int) (*belief, float64) {
	out := &belief{p: slices.Clone(b.p), asked: b.asked, tried: slices.Clone(b.tried)}
	out.p[i], out.tried[i] = 0, true
	left := 1 - b.p[i]
	scale(out.p, left)
	return out, left
}

func scale(p []float64, sum float64) {
	for i := range p {
		if sum > 0 {
			p[i] /= sum
		}
	}
}

// information is what a look is expected to tell, in bits: the entropy of its answer less what of it
// is chance.
func (s *search) information(b *belief, l int) float64 {
	yes, chance := 0.0, 0.0
	for i, p := range b.p {
		yes += p * s.looks[l].yes[i]
		chance += p * bits(s.looks[l].yes[i])
	}
	return bits(yes) - chance
}

// bits is the entropy of yes or no.
func bits(p float64) float64 {
	if p <= 0 || p >= 1 {
		return 0
	}
	return -p*math.Log2(p) - (1-p)*math.Log2(1-p)
}

// informing lists the looks that tell most for their cost.
func (s *search) informing(b *belief) []int {
	worth := make([]float64, len(s.looks))
	var out []int
	for l := range s.looks {
		if b.asked[l] {
			continue
		}
		if worth[l] = s.information(b, l) / s.looks[l].cost; worth[l] > 1e-6 {
			out = append(out, l)
		}
	}
	slices.SortStableFunc(out, func(i, j int) int { return cmp.Compare(worth[j], worth[i]) })
	return out[:min(len(out), bestLooks)]
}

// next is the step after which the search is expected to take least, and how long it then takes in all.
func (s *search) next(b *belief, depth int) (best choice, cost float64) {
	order := s.order(b)
	if len(order) == 0 {
		return choice{-1, -1}, 0
	}
	best, cost = choice{-1, order[0]}, s.byMends(b)
	if len(order) == 1 || depth == 0 {
		return best, cost
	}
	for _, i := range order[:min(len(order), bestMends)] {
		after, left := s.mended(b, i)
		_, rest := s.next(after, depth-1)
		if c := s.mend[i] + left*rest; c < cost-1e-9 {
			best, cost = choice{-1, i}, c
		}
	}
	for _, l := range s.informing(b) {
		c := s.looks[l].cost
		for _, yes := range []bool{true, false} {
			after, like := s.told(b, l, yes)
			if like <= surely || c >= cost {
				continue
			}
			_, rest := s.next(after, depth-1)
			c += like * rest
		}
		if c < cost-1e-9 {
			best, cost = choice{l, -1}, c
		}
	}
	return best, cost
}
