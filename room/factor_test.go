package room

import (
	"context"
	"math"
	"testing"

	"lampblack/rig"
)

// parallel is the view factor between two aligned equal rectangles of sides a
// and b at distance c: Incropera, Fundamentals of Heat and Mass Transfer,
// table 13.2 (the same as configuration C-11 of Howell's catalogue of
// radiation configuration factors).
func parallel(a, b, c float64) float64 {
	x, y := a/c, b/c
	x1, y1 := math.Sqrt(1+x*x), math.Sqrt(1+y*y)
	return 2 / (math.Pi * x * y) * (math.Log(x1*y1/math.Sqrt(1+x*x+y*y)) +
		x*y1*math.Atan(x/y1) + y*x1*math.Atan(y/x1) - x*math.Atan(x) - y*math.Atan(y))
}

// perpendicular is the view factor from a rectangle of width w (away from the
// common edge) to one of height h, both of length l along the edge: the same
// table, and configuration C-14 of Howell's catalogue.
func perpendicular(w, h, l float64) float64 {
	h, w = h/l, w/l
	s := h*h + w*w
	r := math.Sqrt(s)
	return 1 / (math.Pi * w) * (w*math.Atan(1/w) + h*math.Atan(1/h) - r*math.Atan(1/r) +
		.25*math.Log((1+w*w)*(1+h*h)/(1+s)*
			math.Pow(w*w*(1+s)/((1+w*w)*s), w*w)*
			math.Pow(h*h*(1+s)/((1+h*h)*s), h*h)))
}

// The formulas themselves against printed values: unit cube, opposite faces
// 0.1998, adjacent 0.2000 (every handbook of heat transfer), and figures 13.4
// to 13.6 of Incropera at X = Y = 2, 0.4153 (from memory).
func TestHandbookFormulas(t *testing.T) {
	for _, c := range []struct {
		what      string
		got, want float64
	}{
		{"opposite faces of a cube", parallel(1, 1, 1), .19982},
		{"adjacent faces of a cube", perpendicular(1, 1, 1), .20004},
		{"parallel squares at half their side", parallel(2, 2, 1), .41525},
	} {
		if math.Abs(c.got-c.want) > 2e-5 {
			t.Errorf("%s: %.5f, printed %.5f", c.what, c.got, c.want)
		}
	}
}

// mean integrates pointFactor over a sheet by Gauss points in n×n pieces.
func mean(from, to *sheet, n int) float64 {
	sum := 0.0
	edges := to.corners()
	for i := range n {
		for j := range n {
			p := from.part(i, j, n, n)
			for a, wa := range gauss[4].weight {
				for b, wb := range gauss[4].weight {
					sum += wa * wb * pointFactor(p.at(gauss[4].at[a], gauss[4].at[b]), from.n, edges[:])
				}
			}
		}
	}
	return sum / float64(n*n)
}

// Point and polygon, integrated, against the closed forms.
func TestViewFactors(t *testing.T) {
	for _, c := range []struct{ a, b, c float64 }{{1, 1, 1}, {2, 2, 1}, {3, 1, 2}, {4, 6, 3}, {1, 1, .2}, {1, 5, 10}} {
		low := sheet{}.placed(vec{0, 0, 0}, vec{0, 0, 1}, c.a, c.b)
		high := sheet{}.placed(vec{0, 0, c.c}, vec{0, 0, -1}, c.a, c.b)
		if got, want := mean(&low, &high, 6), parallel(c.a, c.b, c.c); math.Abs(got-want) > 2e-4*want {
			t.Errorf("parallel %v: %.6f, closed form %.6f", c, got, want)
		}
	}
	for _, c := range []struct{ w, h, l float64 }{{1, 1, 1}, {1, 2, 1}, {2, 1, 3}, {6, 3, 4}, {.3, 1, 2}} {
		floor := sheet{}.placed(vec{0, c.w / 2, 0}, vec{0, 0, 1}, c.l, c.w)
		wall := sheet{}.placed(vec{0, 0, c.h / 2}, vec{0, 1, 0}, c.l, c.h)
		if got, want := mean(&floor, &wall, 12), perpendicular(c.w, c.h, c.l); math.Abs(got-want) > 1e-3*want {
			t.Errorf("perpendicular %v: %.6f, closed form %.6f", c, got, want)
		}
	}
}

// The factors that rooms are really solved with: coarse elements, closed up.
// All pairs of faces of three boxes against the closed forms.
func TestFactorsOfRooms(t *testing.T) {
	for _, size := range []vec{{1, 1, 1}, {4, 6, 3}, {10, 16, 5}} {
		r := &Room{Size: size.point(), Front: size.point()[1] / 2}
		solving, _ := r.prepare(&rig.Rig{}, Usual)
		elements := solving.elements
		s := solving.factors(solving.gather(context.Background()))
		for i := range s {
			s[i] *= elements[i/len(elements)].area
		}
		f := facesOf(s, elements)
		w, d, h := size[0], size[1], size[2]
		for _, c := range []struct {
			what      string
			got, want float64
		}{
			{"floor to ceiling", f[0][1], parallel(w, d, h)},
			{"left to right wall", f[2][3], parallel(d, h, w)},
			{"stage to audience wall", f[4][5], parallel(w, h, d)},
			{"floor to left wall", f[0][2], perpendicular(w, h, d)},
			{"floor to stage wall", f[0][4], perpendicular(d, h, w)},
			{"left wall to stage wall", f[2][4], perpendicular(d, w, h)},
		} {
			if math.Abs(c.got-c.want) > .01*c.want {
				t.Errorf("room %v, %s: %.5f, closed form %.5f", size, c.what, c.got, c.want)
			}
			t.Logf("room %v, %s: %.5f, closed form %.5f (%+.2f %%)", size, c.what, c.got, c.want, 100*(c.got/c.want-1))
		}
		for i := range elements {
			sum := 0.0
			for j := range elements {
				sum += s[i*len(elements)+j]
				if math.Abs(s[i*len(elements)+j]-s[j*len(elements)+i]) > 1e-12 {
					t.Fatal("not reciprocal")
				}
			}
			if math.Abs(sum/elements[i].area-1) > 1e-6 {
				t.Fatalf("element %d: its factors sum to %v", i, sum/elements[i].area)
			}
		}
	}
}

// facesOf sums exchange areas to view factors between panels.
func facesOf(s []float64, elements []element) [6][6]float64 {
	var f [6][6]float64
	var area [6]float64
	for i := range elements {
		area[elements[i].panel] += elements[i].area
		for j := range elements {
			f[elements[i].panel][elements[j].panel] += s[i*len(elements)+j]
		}
	}
	for i := range f {
		for j := range f[i] {
			f[i][j] /= area[i]
		}
	}
	return f
}
