package room_test

import (
	"math"
	"math/rand/v2"
	"sort"
)

// guide tells the tracer where the room is bright by light straight from the lenses, so that paths look
// there more often than by chance. It makes no difference to what a mean comes to: each path is
// weighed by how likely it was (E. Veach and L. J. Guibas, Optimally combining sampling techniques for Monte Carlo
// rendering, 1995: the balance heuristic for one sample), and a place that the guide takes for dark is still found
// by its cosine.
type guide struct {
	cells []guideCell
	sums  []float64 // of what cells send, up to and with each
	sides []guideSide
}

// guideCell is a part of one side of a rectangle.
type guideCell struct {
	corner, u, v tv
	quad, side   int     // side 1 is that which the normal does not leave
	density      float64 // chance to be drawn, per m2
}

// guideSide numbers the cells of one side of a rectangle, across first.
type guideSide struct{ first, across, up int }

// guideStep is about how long a cell is, m.
const guideStep = .25

// newGuide looks at the direct light of all sides that are in the room.
func newGuide(t *tracer) *guide {
	g := &guide{}
	rng := rand.New(rand.NewPCG(16, 99))
	for i := range t.quads {
		q := &t.quads[i]
		g.side(t, rng, i, 0, q.n, q.coat)
		if q.thin {
			g.side(t, rng, i, 1, q.n.scaled(-1), q.behind)
		} else {
			g.sides = append(g.sides, guideSide{})
		}
	}
	if total := g.sums[len(g.sums)-1]; total > 0 {
		for i := range g.cells {
			g.cells[i].density /= total
		}
	}
	return g
}

// side adds one side of a rectangle.
func (g *guide) side(t *tracer, rng *rand.Rand, i, which int, n tv, c int) {
	q := &t.quads[i]
	across := max(1, int(math.Ceil(math.Sqrt(q.uu)/guideStep)))
	up := max(1, int(math.Ceil(math.Sqrt(q.vv)/guideStep)))
	g.sides = append(g.sides, guideSide{len(g.cells), across, up})
	area := math.Sqrt(q.uu*q.vv) / float64(across*up)
	total := 0.0
	if len(g.sums) > 0 {
		total = g.sums[len(g.sums)-1]
	}
	weights := []spectrum{luminous()}
	t.coats[c].pass(weights)
	const looks = 16
	for k := range across * up {
		cell := guideCell{quad: i, side: which, u: q.u.scaled(1 / float64(across)), v: q.v.scaled(1 / float64(up))}
		cell.corner = q.corner.add(cell.u, float64(k%across)).add(cell.v, float64(k/across))
		sent := []float64{0}
		for range looks {
			t.direct(rng, cell.at(rng).add(n, clearance), n, weights, sent)
		}
		cell.density = sent[0] / looks
		total += area * cell.density
		g.cells, g.sums = append(g.cells, cell), append(g.sums, total)
	}
}

// at is any point of the cell.
func (c *guideCell) at(rng *rand.Rand) tv {
	return c.corner.add(c.u, rng.Float64()).add(c.v, rng.Float64())
}

// draw is a cell by what it sends.
func (g *guide) draw(rng *rand.Rand) *guideCell {
	x := rng.Float64() * g.sums[len(g.sums)-1]
	return &g.cells[min(sort.SearchFloat64s(g.sums, x), len(g.cells)-1)]
}

// density is the chance, per m2, with which a point on a side of a rectangle is drawn.
func (g *guide) density(i, side int, q *quad, p tv) float64 {
	s := g.sides[2*i+side]
	if s.across == 0 {
		return 0
	}
	r := p.add(q.corner, -1)
	a := int(inner(r, q.u) / q.uu * float64(s.across))
	b := int(inner(r, q.v) / q.vv * float64(s.up))
	return g.cells[s.first+min(max(b, 0), s.up-1)*s.across+min(max(a, 0), s.across-1)].density
}

// next draws what p sees next: the rectangle, the direction to it and how far, and the weight that
// what comes from there has in the mean over the cosine; -1 when it is hidden.
func (t *tracer) next(rng *rand.Rand, p, n tv) (i int, d tv, far, weight float64) {
	if t.guide == nil {
		d = toward(rng, n)
		far, i = t.first(p, d)
		return i, d, far, 1
	}
	var aim *guideCell
	if rng.IntN(2) == 0 {
		d = toward(rng, n)
	} else {
		aim = t.guide.draw(rng)
		d = aim.at(rng).add(p, -1)
		if d = d.norm(); !(inner(d, n) > 0) {
			return -1, d, 0, 0
		}
	}
	if far, i = t.first(p, d); i < 0 {
		return -1, d, 0, 0
	}
	q, side := &t.quads[i], 0
	if inner(d, q.n) > 0 {
		side = 1
	}
	if aim != nil && (aim.quad != i || aim.side != side) {
		return -1, d, 0, 0 // something else lies before it
	}
	byCosine := inner(d, n) / math.Pi
	byGuide := t.guide.density(i, side, q, p.add(d, far)) * far * far / max(math.Abs(inner(d, q.n)), 1e-12)
	return i, d, far, byCosine / (byCosine/2 + byGuide/2)
}
