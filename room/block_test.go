package room

import (
	"math"
	"math/rand/v2"
	"testing"
)

// crosses is Möller and Trumbore's test of a ray and a triangle (Journal of
// Graphics Tools 2, 21, 1997), another way than ours: t along d, and how far
// from an edge the hit is, below 0 outside.
func crosses(p, d, a, b, c vec) (t, inside float64) {
	ab, ac := b.minus(a), c.minus(a)
	q := d.cross(ac)
	det := ab.dot(q)
	if math.Abs(det) < 1e-9 {
		return 0, -1
	}
	s := p.minus(a)
	u := s.dot(q) / det
	r := s.cross(ab)
	v := d.dot(r) / det
	return ac.dot(r) / det, min(u, v, 1-u-v)
}

// What stands between two points, against triangles: sheets are two, boxes
// twelve.
func TestClearAgainstTriangles(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 1))
	point := func() vec { return vec{6*rng.Float64() - 3, 6*rng.Float64() - 3, 6*rng.Float64() - 3} }
	blocked := 0
	for range 20000 {
		var b blockers
		var four [][4]vec
		if rng.IntN(2) == 0 {
			n := point()
			if rng.IntN(3) == 0 {
				n = vec{0, 0, n[2]}
			}
			s := sheet{}.placed(point(), n, 4*rng.Float64(), 4*rng.Float64())
			b.add(s)
			four = append(four, s.corners())
		} else {
			low, high := bound(point(), point())
			b.boxes = append(b.boxes, block{low, high})
			for axis := range 3 {
				for _, at := range []float64{low[axis], high[axis]} {
					i, j := (axis+1)%3, (axis+2)%3
					var c [4]vec
					for k, ends := range [][2]float64{{low[i], low[j]}, {high[i], low[j]}, {high[i], high[j]}, {low[i], high[j]}} {
						c[k][axis], c[k][i], c[k][j] = at, ends[0], ends[1]
					}
					four = append(four, c)
				}
			}
		}
		p, q := point(), point()
		if rng.IntN(4) == 0 {
			q[rng.IntN(3)] = p[0]
			p[1] = q[1] // along a plane of the axes
		}
		d := q.minus(p)
		hit, unsure := false, false
		for _, c := range four {
			for _, tri := range [2][3]vec{{c[0], c[1], c[2]}, {c[0], c[2], c[3]}} {
				at, inside := crosses(p, d, tri[0], tri[1], tri[2])
				unsure = unsure || math.Abs(inside) < 1e-6 || math.Abs(at) < 1e-2 || math.Abs(1-at) < 1e-2
				hit = hit || inside > 0 && at > 0 && at < 1
			}
		}
		if len(b.boxes) == 1 && b.boxes[0].holds(p) && b.boxes[0].holds(q) {
			hit = true // nothing is seen inside a box
		}
		if unsure {
			continue
		}
		if hit {
			blocked++
		}
		if b.clear(p, q) == hit {
			t.Fatalf("from %v to %v past %+v: clear %v", p, q, b, !hit)
		}
		// Those that reach into the box about both ends are enough.
		var near blockers
		low, high := bound(p, q)
		if b.within(low, high, &near).clear(p, q) == hit {
			t.Fatalf("from %v to %v past what is near of %+v: clear %v", p, q, b, !hit)
		}
	}
	if blocked < 1000 {
		t.Errorf("only %d were blocked", blocked)
	}
}

// A point of a box is in it, on its face it is not.
func TestBoxHolds(t *testing.T) {
	b := Box{Centre: Point{1, 2, 3}, Size: Point{2, 4, 6}}
	for _, c := range []struct {
		at    vec
		holds bool
	}{
		{vec{1, 2, 3}, true}, {vec{.1, .1, .1}, true}, {vec{1.9, 3.9, 5.9}, true},
		{vec{0, 2, 3}, false}, {vec{2, 2, 3}, false}, {vec{1, 0, 3}, false}, {vec{1, 4, 3}, false}, {vec{1, 2, 0}, false}, {vec{1, 2, 6}, false},
		{vec{-.1, 2, 3}, false}, {vec{1, 4.1, 3}, false}, {vec{1, 2, 7}, false},
	} {
		if b.holds(c.at) != c.holds {
			t.Errorf("holds %v: %v", c.at, !c.holds)
		}
	}
}

// What lies within a millimetre of either end is what the ray begins or ends on.
func TestSkin(t *testing.T) {
	for off, clear := range map[float64]bool{.00098: true, .00102: false, 1: false, 2 - .00102: false, 2 - .00098: true, -.1: true, 2.1: true} {
		var wall, board blockers
		wall.add(sheet{}.placed(vec{off, 0, 0}, vec{1, 0, 0}, 1, 1))
		board.boxes = []block{{vec{off - .00001, -1, -1}, vec{off + .00001, 1, 1}}}
		if got := wall.clear(vec{}, vec{2, 0, 0}); got != clear {
			t.Errorf("a sheet %v m away: clear %v", off, got)
		}
		if got := board.clear(vec{}, vec{2, 0, 0}); got != clear {
			t.Errorf("a board %v m away: clear %v", off, got)
		}
	}
	var wall blockers
	wall.add(sheet{}.placed(vec{.0009, 0, 0}, vec{1, 0, 0}, 1, 1))
	if !wall.clear(vec{}, vec{.0018, 0, 0}) {
		t.Error("something stands between points that are as good as one")
	}
}

// n points of Gauss and Legendre integrate powers up to 2n - 1 exactly
// (Abramowitz and Stegun, 25.4.29): x^k from 0 to 1 is 1/(k+1).
func TestGauss(t *testing.T) {
	for n := 1; n < len(gauss); n++ {
		if len(gauss[n].at) != n || len(gauss[n].weight) != n {
			t.Fatalf("%d points have %d places and %d weights", n, len(gauss[n].at), len(gauss[n].weight))
		}
		for k := range 2 * n {
			sum := 0.0
			for i, x := range gauss[n].at {
				sum += gauss[n].weight[i] * math.Pow(x, float64(k))
			}
			if math.Abs(sum-1/float64(k+1)) > 1e-14 {
				t.Errorf("%d points integrate x^%d to %v", n, k, sum)
			}
		}
	}
}

// The five-times rule of photometry: a source counts as a point from five times
// its size on, and is cut up nearer, into six by six at the most.
func TestFiveTimesRule(t *testing.T) {
	l := lamp{along: .2, across: .1}
	for d, want := range map[float64][2]int{2: {1, 1}, 1.001: {1, 1}, .999: {2, 1}, .501: {2, 1}, .499: {3, 2}, .26: {4, 2}, .1: {6, 5}, .01: {6, 6}, 0: {6, 6}} {
		if along, across := l.split(d); along != want[0] || across != want[1] {
			t.Errorf("%v m away: %d by %d parts, want %v", d, along, across, want)
		}
	}
	// Each part is a fifth of the distance at the most, of a centimetre where it is
	// nearer, and no fewer parts would do.
	rng := rand.New(rand.NewPCG(5, 3))
	for range 5000 {
		l := lamp{along: .001 + .2*rng.Float64()*rng.Float64(), across: .05}
		d := 2 * rng.Float64() * rng.Float64() * rng.Float64()
		want := 1
		for want < 6 && 5*l.along/float64(want) > max(d, .01) {
			want++
		}
		if along, _ := l.split(d); along != want {
			t.Fatalf("%v m long, %v m away: %d parts, want %d", l.along, d, along, want)
		}
	}
}
