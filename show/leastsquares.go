package show

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// leastSquares is a bounded least-squares problem of a few dozen unknowns:
//
//	minimise  Σ weight · (row·x − want)²   over 0 ≤ x ≤ top
//	subject to  limit·x ≤ most
//
// It is a convex quadratic programme and is solved by Mehrotra's predictor and
// corrector (SIAM J. Optim. 2, 575, 1992): always the one answer, and it moves
// continuously with the wants, since small equal weights keep the problem
// strictly convex.
type leastSquares struct {
	n      int
	h      []float64 // n×n, twice the sum of weight·row·rowᵀ
	f      []float64
	top    []float64
	limits [][]float64
	most   []float64
}

func newLeastSquares(n int) *leastSquares {
	p := &leastSquares{n: n, h: make([]float64, n*n), f: make([]float64, n), top: make([]float64, n)}
	for i := range p.top {
		p.top[i] = 1
	}
	return p
}

// want adds a wish. Rows and wants are best scaled so that a miss of all is 1.
func (p *leastSquares) want(row []float64, want, weight float64) {
	for i, a := range row {
		if a == 0 {
			continue
		}
		p.f[i] += 2 * weight * a * want
		for j, b := range row {
			p.h[i*p.n+j] += 2 * weight * a * b
		}
	}
}

// small pulls unknown i toward zero.
func (p *leastSquares) small(i int, weight float64) { p.h[i*p.n+i] += 2 * weight }

// limit adds row·x ≤ most; most is above zero, or no x inside is found.
func (p *leastSquares) limit(row []float64, most float64) {
	p.limits = append(p.limits, row)
	p.most = append(p.most, most)
}

// solve returns x, and for each limit how hard it presses (its multiplier, 0 when it is
// slack). It answers always, and with finite numbers, if the rows hold such; nothing to
// solve for is no x at all. Eighty steps are many times what it takes; the count is
// there for rows that no answer fits, where the last x is as good as any and hold has
// the last word on limits.
func (p *leastSquares) solve() (x, press []float64) {
	if p.n == 0 {
		return nil, make([]float64, len(p.limits))
	}
	w := newInterior(p)
	for range 80 {
		if w.step() {
			break
		}
	}
	for i := range w.x {
		w.x[i] = min(max(w.x[i], 0), p.top[i])
	}
	return w.x, w.z[2*p.n:]
}

// interior is the state of the iteration: constraints are x ≥ 0, x ≤ top, and
// the limits, in this order; s is the room left in each and z its multiplier.
//
// s and z stay above zero from the first step on, which is what makes the method one of
// the interior: the answer, where s or z of each constraint is 0, is only ever come
// near to.
type interior struct {
	*leastSquares
	x, s, z []float64
	dx      []float64
	ds, dz  []float64
	least   float64 // the smallest mean of s·z so far, 0 before the first step
	kkt     *mat.SymDense
}

// newInterior begins in the middle of the box. s is given room even where that x breaks
// a limit: the primal residual takes the difference back step by step.
func newInterior(p *leastSquares) *interior {
	m := 2*p.n + len(p.limits)
	w := &interior{leastSquares: p, x: make([]float64, p.n), s: make([]float64, m), z: make([]float64, m),
		dx: make([]float64, p.n), ds: make([]float64, m), dz: make([]float64, m), kkt: mat.NewSymDense(p.n, nil)}
	for i := range w.x {
		w.x[i] = min(p.top[i], 2) / 2
	}
	for k := range w.s {
		w.s[k] = max(w.room(k), 1e-2*(1+math.Abs(w.right(k))))
		w.z[k] = 1
	}
	return w
}

// right is the right-hand side of constraint k in the form g·x ≤ right.
func (w *interior) right(k int) float64 {
	switch {
	case k < w.n:
		return 0
	case k < 2*w.n:
		return w.top[k-w.n]
	}
	return w.most[k-2*w.n]
}

// dot is g·v for constraint k.
func (w *interior) dot(k int, v []float64) float64 {
	switch {
	case k < w.n:
		return -v[k]
	case k < 2*w.n:
		return v[k-w.n]
	}
	sum := 0.0
	for i, a := range w.limits[k-2*w.n] {
		sum += a * v[i]
	}
	return sum
}

// room is what constraint k leaves.
func (w *interior) room(k int) float64 { return w.right(k) - w.dot(k, w.x) }

// addTo adds factor·g of constraint k to v.
func (w *interior) addTo(v []float64, k int, factor float64) {
	switch {
	case k < w.n:
		v[k] -= factor
	case k < 2*w.n:
		v[k-w.n] += factor
	default:
		for i, a := range w.limits[k-2*w.n] {
			v[i] += a * factor
		}
	}
}

// step does one iteration and tells whether the answer is there. It is where the mean
// of s·z is below 1e-12 and no condition is missed by 1e-9: levels of 0 to 1 are then
// right to far more than a slot can hold.
func (w *interior) step() bool {
	dual, primal, gap, worst := w.residuals()
	mu := gap / float64(len(w.s))
	if mu < 1e-12 && worst < 1e-9 {
		return true
	}
	// The predictor: a step that wants no gap at all shows how far one gets.
	chol, ok := w.factor()
	if !ok || !w.direction(chol, dual, primal, 0, nil) {
		return true
	}
	sigma, second := w.predicted(gap)
	if w.least == 0 || mu < .9*w.least {
		w.least = mu
	} else {
		// The second order can lead round in circles. A plain step toward the
		// centre, as of the method without it, always gets on.
		sigma, second = .3, nil
	}
	if !w.direction(chol, dual, primal, sigma*mu, second) {
		return true
	}
	w.walk()
	return false
}

// residuals returns by how much the conditions for the answer (Karush, Kuhn and
// Tucker) are missed: the dual, H x − f + Gᵀ z, by unknown; the primal,
// G x + s − right, by constraint; the gap, Σ s·z; and the worst of the first
// two, all of which are 0 at the answer.
func (w *interior) residuals() (dual, primal []float64, gap, worst float64) {
	dual = make([]float64, w.n)
	for i := range dual {
		dual[i] = -w.f[i]
		for j, v := range w.x {
			dual[i] += w.h[i*w.n+j] * v
		}
	}
	primal = make([]float64, len(w.s))
	for k := range w.s {
		w.addTo(dual, k, w.z[k])
		primal[k] = w.s[k] - w.room(k)
		worst = max(worst, math.Abs(primal[k]))
		gap += w.s[k] * w.z[k]
	}
	for _, v := range dual {
		worst = max(worst, math.Abs(v))
	}
	return dual, primal, gap, worst
}

// predicted reads off the predictor's direction what the corrector aims at: a
// gap of sigma times this one (Mehrotra's cube of the share that the predictor
// would leave), and the second order, ds·dz, that it would leave over. Where the
// predictor gets far, sigma is small and the corrector goes for the answer; where
// it is stopped early, the corrector goes back toward the middle first.
func (w *interior) predicted(gap float64) (sigma float64, second []float64) {
	alpha := w.longest(1)
	after := 0.0
	for k := range w.s {
		after += (w.s[k] + alpha*w.ds[k]) * (w.z[k] + alpha*w.dz[k])
	}
	second = make([]float64, len(w.s))
	for k := range second {
		second[k] = w.ds[k] * w.dz[k]
	}
	return math.Pow(after/gap, 3), second // gap is above zero, as s and z are
}

// walk goes along the direction, not quite to where the first s or z would be
// 0: the interior has no edge, and rounding must not make one.
func (w *interior) walk() {
	alpha := w.longest(.995)
	for i := range w.x {
		w.x[i] += alpha * w.dx[i]
	}
	for k := range w.s {
		w.s[k] = max(w.s[k]+alpha*w.ds[k], 1e-300)
		w.z[k] = max(w.z[k]+alpha*w.dz[k], 1e-300)
	}
}

// factor decomposes H + Gᵀ (z/s) G. The pivots of constraints that press grow without
// bound toward the end, and what the wishes weigh is lost beside them; a ridge of 1e-15
// to 1e-9 of the largest brings back a matrix that can be factored, and changes x by
// less than that.
func (w *interior) factor() (*mat.Cholesky, bool) {
	n := w.n
	a := make([]float64, n*n)
	copy(a, w.h)
	for i := range n {
		a[i*n+i] += w.z[i]/w.s[i] + w.z[n+i]/w.s[n+i]
	}
	for l, row := range w.limits {
		d := w.z[2*n+l] / w.s[2*n+l]
		for i, v := range row {
			if v == 0 {
				continue
			}
			for j, u := range row {
				a[i*n+j] += d * v * u
			}
		}
	}
	largest := 0.0
	for i := range n {
		for j := i; j < n; j++ {
			w.kkt.SetSym(i, j, a[i*n+j])
		}
		largest = max(largest, a[i*n+i])
	}
	var chol mat.Cholesky
	for ridge := 1e-15; ridge < 1e-8; ridge *= 100 {
		if chol.Factorize(w.kkt) {
			return &chol, true
		}
		// Rounding took the last of what is small and positive: give it back.
		for i := range n {
			w.kkt.SetSym(i, i, a[i*n+i]+ridge*largest)
		}
	}
	return nil, false
}

// direction solves for the step that brings s·z to target, with the second
// order term of the predictor taken off. It is false when the step is beyond
// what numbers hold: x is then as good as it gets.
//
// With dz and ds eliminated, H + Gᵀ(z/s)G is all that is left to solve, of n unknowns
// however many limits there are:
//
//	(H + Gᵀ(z/s)G) dx = −dual + Gᵀ (comp − z·primal)/s
//	ds = −primal − G dx,  dz = −(comp + z·ds)/s
func (w *interior) direction(chol *mat.Cholesky, dual, primal []float64, target float64, second []float64) bool {
	right := make([]float64, w.n)
	for i, v := range dual {
		right[i] = -v
	}
	comp := make([]float64, len(w.s))
	for k := range comp {
		comp[k] = w.s[k]*w.z[k] - target
		if second != nil {
			comp[k] += second[k]
		}
		w.addTo(right, k, (comp[k]-w.z[k]*primal[k])/w.s[k])
	}
	// A warning that the matrix is nearly singular comes at the very end only,
	// where the step is small and good enough.
	_ = chol.SolveVecTo(mat.NewVecDense(w.n, w.dx), mat.NewVecDense(w.n, right))
	for k := range w.ds {
		w.ds[k] = -primal[k] - w.dot(k, w.dx)
		w.dz[k] = -(comp[k] + w.z[k]*w.ds[k]) / w.s[k]
		if !finite(w.ds[k]) || !finite(w.dz[k]) {
			return false
		}
	}
	return true
}

func finite(v float64) bool { return math.Abs(v) <= math.MaxFloat64 }

// longest is the share of the step that keeps s and z above zero.
func (w *interior) longest(keep float64) float64 {
	alpha := 1.0
	for k := range w.s {
		if w.ds[k] < 0 {
			alpha = min(alpha, -keep*w.s[k]/w.ds[k])
		}
		if w.dz[k] < 0 {
			alpha = min(alpha, -keep*w.z[k]/w.dz[k])
		}
	}
	return alpha
}
