package room

import (
	"math"
	"math/rand/v2"
	"testing"

	"lampblack/source"
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

// What a watcher sees of an outline past sheets and boxes, against straight lines to points of it:
// a sheet is two triangles, a box twelve.
func TestVisibleAgainstTriangles(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 1))
	point := func() vec { return vec{6*rng.Float64() - 3, 6*rng.Float64() - 3, 6*rng.Float64() - 3} }
	some := 0
	for range 400 {
		var panes []pane
		var four [][4]vec
		for range 1 + rng.IntN(3) {
			n := point()
			if rng.IntN(3) == 0 {
				n = vec{0, 0, n[2]}
			}
			s := sheet{}.placed(point(), n, 4*rng.Float64(), 4*rng.Float64())
			c := s.corners()
			panes, four = append(panes, paneOf(s.n, false, c[:]...)), append(four, c)
		}
		if rng.IntN(2) == 0 {
			b := Box{Centre: point().point(), Size: point().point()}
			for i := range b.Size {
				b.Size[i] = max(b.Size[i], -b.Size[i])
			}
			sh := (&Room{Boxes: source.Named[Box]{{Name: "b", Value: b}}}).boxed()
			panes = append(panes, sh.panes...)
			for i := range sh.panes {
				four = append(four, [4]vec(sh.panes[i].outline))
			}
		}
		to := sheet{}.placed(point(), point(), 3*rng.Float64(), 3*rng.Float64())
		var w watcher
		w.from(point(), panes)
		if len(four) > len(panes) || inside(four, w.at) {
			continue
		}
		outline := to.corners()
		b := ballOf(outline[:])
		c := b.cone(w.at)
		pieces, whole := w.visible(outline[:], &c)
		area := 0.0
		for _, p := range pieces {
			a, _ := extent(p)
			area += a
		}
		if whole {
			area = to.area()
		}
		const n = 40
		seen := 0
		for i := range n * n {
			if !met(four, w.at, to.at((float64(i%n)+.5)/n, (float64(i/n)+.5)/n)) {
				seen++
			}
		}
		got, want := area/to.area(), float64(seen)/(n*n)
		if math.Abs(got-want) > .03 {
			t.Fatalf("past %d panes %v of the outline is seen, by lines %v", len(panes), got, want)
		}
		if .02 < want && want < .98 {
			some++
		}
	}
	if some < 40 {
		t.Errorf("only %d were seen in part", some)
	}
}

// boxed is a shell of the room's boxes alone.
func (r *Room) boxed() *shell {
	s := &shell{}
	r.addBoxes(s)
	return s
}

// met tells whether a line meets any of the rectangles.
func met(four [][4]vec, p, q vec) bool {
	d := q.minus(p)
	for _, c := range four {
		for _, tri := range [2][3]vec{{c[0], c[1], c[2]}, {c[0], c[2], c[3]}} {
			if at, in := crosses(p, d, tri[0], tri[1], tri[2]); in > 0 && at > 0 && at < 1 {
				return true
			}
		}
	}
	return false
}

// inside tells whether p is in the box that the last six rectangles are, if there is one: a line
// from it meets an odd number of them.
func inside(four [][4]vec, p vec) bool {
	if len(four) < 6 {
		return false
	}
	hits := 0
	for _, c := range four[len(four)-6:] {
		if met([][4]vec{c}, p, p.plus(vec{100, 31.7, 17.3})) {
			hits++
		}
	}
	return hits%2 == 1
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
		if along, across := l.split(vec{}, vec{0, 0, d}, d); along != want[0] || across != want[1] {
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
		if along, _ := l.split(vec{}, vec{0, 0, d}, d); along != want {
			t.Fatalf("%v m long, %v m away: %d parts, want %d", l.along, d, along, want)
		}
	}
}
