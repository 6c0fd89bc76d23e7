package soundtrack

import (
	"math"
	"slices"
	"time"
)

// Sections are found by the cheapest cut of the track into stretches, each
// described by a mean and a variance of its colour: a stretch costs the
// logarithm of its spread, a cut a fixed price (Bayesian change points; the
// search is exact, with the pruning of Killick, Fearnhead and Eckley 2012).
const (
	sectionStep  = 5 // sketch steps (100 ms) to one step here
	sectionRate  = sketchRate / sectionStep
	colourDims   = 12 // cosine terms of the mean colour
	crestDims    = 6  // cosine terms of the loudest colour: strikes
	sectionDims  = colourDims + crestDims + 2
	shortSection = 2   // steps
	longSection  = 600 // steps, 5 min: no stretch is compared over more
	cutPrice     = 120.0
)

// spreadFloor is the deviation below which differences do not count, in the
// units of each dimension: level and tilt in thirds of a decibel, tonality,
// unrest.
const spreadFloor = 4.0

// colours is the track's colour step by step.
type colours struct {
	values  [][sectionDims]float64
	sums    [][sectionDims]float64 // prefix sums
	squares [][sectionDims]float64
}

// cosines are the terms of a discrete cosine transform over the groups.
var cosines = func() (c [colourDims][groupCount]float64) {
	for k := range c {
		for g := range c[k] {
			c[k][g] = math.Cos(math.Pi*float64(k)*(float64(g)+0.5)/groupCount) / math.Sqrt(groupCount)
		}
	}
	return c
}()

// coloursOf describes every n sketch steps by one value.
func coloursOf(s *sketch, n int) *colours {
	c := &colours{}
	var sum, square [sectionDims]float64
	c.sums, c.squares = append(c.sums, sum), append(c.squares, square)
	for from := 0; from+n <= s.steps(); from += n {
		v := s.colourAt(from, n)
		for d := range v {
			sum[d] += v[d]
			square[d] += v[d] * v[d]
		}
		c.values = append(c.values, v)
		c.sums, c.squares = append(c.sums, sum), append(c.squares, square)
	}
	return c
}

// colourAt describes n sketch steps by one value: cosine terms of the mean level by group,
// of the loudest level by group, then the mean and the deviation of tonality.
func (s *sketch) colourAt(from, n int) (v [sectionDims]float64) {
	var mean, crest [groupCount]float64
	for k := from; k < from+n; k++ {
		for g, l := range s.Colour[k*groupCount:][:groupCount] {
			mean[g] += float64(l) / float64(n)
			crest[g] = max(crest[g], float64(l))
		}
	}
	for k := range colourDims {
		for g, l := range mean {
			v[k] += cosines[k][g] * l
		}
	}
	for k := range crestDims {
		for g, l := range crest {
			v[colourDims+k] += cosines[k][g] * l
		}
	}
	const per = sketchFrames / 2
	a, b := min(from*per, len(s.Peaky)), min((from+n)*per, len(s.Peaky))
	var sum, square float64
	for _, p := range s.Peaky[a:b] {
		sum += float64(p)
		square += float64(p) * float64(p)
	}
	count := float64(max(b-a, 1))
	v[sectionDims-2] = 2 * sum / count
	v[sectionDims-1] = 2 * math.Sqrt(max(0, square/count-sum*sum/count/count))
	return v
}

// cost of steps a to b as one stretch: n/2 · Σ ln(variance/floor² + 1) over the
// dimensions, the price in nats of describing it by one mean and spread. The logarithm is
// taken of a product, now and then, since it is slow.
func (c *colours) cost(a, b int) float64 {
	n := float64(b - a)
	product, sum := 1.0, 0.0
	for d := range sectionDims {
		mean := (c.sums[b][d] - c.sums[a][d]) / n
		v := (c.squares[b][d]-c.squares[a][d])/n - mean*mean
		product *= (max(v, 0) + spreadFloor*spreadFloor) / (spreadFloor * spreadFloor)
		if product > 1e200 {
			sum += math.Log(product)
			product = 1
		}
	}
	return n * 0.5 * (sum + math.Log(product))
}

// cuts returns the steps at which sections start, 0 first. best[t] is the cheapest way
// to describe steps 0 to t, from[t] where its last stretch begins. A start s from which the
// way to t is already dearer than best[t] can never be part of the best again, since cutting
// at t would always be cheaper: it is dropped (the pruning), and the search stays near
// linear in the length.
func (c *colours) cuts() []int {
	n := len(c.values)
	if n < 2*shortSection {
		return []int{0}
	}
	best, from := make([]float64, n+1), make([]int, n+1)
	best[0] = -cutPrice
	open := []int{0}
	for t := 1; t <= n; t++ {
		best[t] = math.Inf(1)
		costs := make([]float64, len(open))
		for i, s := range open {
			costs[i] = math.Inf(1)
			if t-s >= shortSection {
				costs[i] = best[s] + c.cost(s, t)
				if v := costs[i] + cutPrice; v < best[t] {
					best[t], from[t] = v, s
				}
			}
		}
		kept := open[:0]
		for i, s := range open {
			if t-s < shortSection || (costs[i] <= best[t] && t-s < longSection) {
				kept = append(kept, s)
			}
		}
		open = append(kept, t)
	}
	var out []int
	for t := n; t > 0; t = from[t] {
		out = append(out, from[t])
	}
	slices.Reverse(out)
	return out
}

// section is one stretch of the track.
type section struct {
	from, to time.Duration
	label    string
	change   float64 // against the one before, in deviations
}

// sections finds and labels the sections.
func sections(h *heard) []section {
	coarse := coloursOf(&h.Sketch, sectionStep)
	cuts := coarse.cuts()
	fine := coloursOf(&h.Sketch, 1)
	edges := make([]int, 0, len(cuts)+1) // in sketch steps
	for i, s := range cuts {
		at := s * sectionStep
		if i > 0 {
			at = fine.sharpen(edges[i-1], at, ending(cuts, i, len(coarse.values))*sectionStep)
		}
		edges = append(edges, at)
	}
	edges = append(edges, len(fine.values))
	var out []section
	for i := range cuts {
		s := section{from: time.Duration(edges[i]) * sketchFrames * hop, to: time.Duration(edges[i+1]) * sketchFrames * hop}
		if i > 0 {
			s.change = fine.distance(edges[i-1], edges[i], edges[i], edges[i+1])
		}
		out = append(out, s)
	}
	if len(out) > 0 {
		out[len(out)-1].to = h.duration()
	}
	label(out, edges, fine)
	return out
}

// ending is where the stretch after cut i ends.
func ending(cuts []int, i, n int) int {
	if i+1 < len(cuts) {
		return cuts[i+1]
	}
	return n
}

// sharpen moves a cut by up to 1 s to where the two sides together cost least.
// It looks 4 s to either side, no further than the neighbouring cuts.
func (c *colours) sharpen(before, at, after int) int {
	const reach, view = 10, 40
	a, b := max(before, at-view), min(after, at+view, len(c.values))
	best, where := math.Inf(1), at
	for t := max(at-reach, a+2); t <= min(at+reach, b-2); t++ {
		if v := c.cost(a, t) + c.cost(t, b); v < best {
			best, where = v, t
		}
	}
	return where
}

// distance between two stretches: of the means, in deviations common to both.
func (c *colours) distance(a, b, p, q int) float64 {
	sum := 0.0
	for d := range sectionDims {
		m, v := c.spread(a, b, d)
		n, w := c.spread(p, q, d)
		sum += (m - n) * (m - n) / ((v+w)/2 + 4*spreadFloor*spreadFloor)
	}
	return math.Sqrt(sum / sectionDims)
}

// spread is mean and variance of dimension d over steps a to b.
func (c *colours) spread(a, b, d int) (mean, variance float64) {
	n := float64(max(b-a, 1))
	mean = (c.sums[b][d] - c.sums[a][d]) / n
	return mean, max(0, (c.squares[b][d]-c.squares[a][d])/n-mean*mean)
}
