package measure

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"lampblack/rig"
	"lampblack/room"
	"lampblack/si"
	"lampblack/source"
)

// Spreads that no fixture file states: common practice, no source.
const (
	unitSpread = .08 // units of one type against one another, standard
	leastType  = .05 // least that a type's stated output is off, standard
	// modelError is what the computation itself is off, standard: places read
	// with a tape, beam shapes, reflectances.
	modelError = .04
)

// widen is the half-width of a stated interval in standard deviations: a
// little over the 1.96 of 95 %, as errors of meters are not quite normal.
const widen = 2.2

// Factor is what measuring found for one emitter of a unit: its output over
// that of the fixture file.
type Factor struct {
	Unit, Emitter string
	Output        si.Estimate[si.Ratio]
	Readings      int // that were of this very emitter
}

// Fit corrects the outputs of the emitters of a transport by the readings that
// were taken, and returns it with what was found for every emitter. Readings
// that cannot be, or that fit nothing, are faults.
func Fit(t *room.Transport, s *Sheet, rg *rig.Rig) (*room.Transport, []Factor, source.Faults) {
	var faults source.Faults
	u := newUnknowns(rg)
	var list []observation
	count := make([]int, len(u.names))
	for i := range s.Readings {
		o, ok := u.observe(t, &s.Readings[i], &faults)
		if !ok {
			continue
		}
		if o.value <= 0 {
			faults.Add(o.pos, "take it nearer, or leave it out", "a reading of 0 says nothing: %s", o.text)
			continue
		}
		if sum(o.row) <= 0 {
			faults.Add(o.pos, "", "none of that light reaches the meter by the room's text: %s", o.text)
			continue
		}
		list = append(list, o)
		for k, v := range o.row {
			if v > 0 {
				count[k]++
			}
		}
	}
	prior := u.prior(&s.Meters)
	theta, cov := u.newton(prior, list, &s.Meters)
	u.odd(list, theta, cov, prior, &s.Meters, &faults)
	faults.Sort()
	return u.correct(t, theta, cov), u.factors(theta, cov, count), faults
}

// newton finds the most likely unknowns and their covariance. Each turn is the
// linear update of a normal prior by all readings at once,
// K = P Jᵀ (J P Jᵀ + R)⁻¹, about the last answer.
func (u *unknowns) newton(prior *mat.SymDense, list []observation, m *Meters) ([]float64, *mat.SymDense) {
	theta := make([]float64, u.n)
	cov := prior
	if len(list) == 0 {
		return theta, cov
	}
	turns := 1
	for _, o := range list {
		if several(o.row) {
			turns = 8 // only sums of emitters bend
		}
	}
	for range turns {
		theta, cov = u.turn(prior, theta, list, m)
	}
	return theta, cov
}

func several(row []float64) bool {
	n := 0
	for _, v := range row {
		if v > 0 {
			n++
		}
	}
	return n > 1
}

func (u *unknowns) turn(prior *mat.SymDense, theta []float64, list []observation, m *Meters) ([]float64, *mat.SymDense) {
	k := len(list)
	j := mat.NewDense(k, u.n, nil)
	misfit := mat.NewVecDense(k, nil)
	for i := range list {
		o := &list[i]
		slope, predicted := u.slope(o, theta)
		linear := 0.0
		for c, v := range slope {
			j.Set(i, c, v)
			linear += v * theta[c]
		}
		misfit.SetVec(i, math.Log(o.value)-predicted+linear)
	}
	var pj, s mat.Dense
	pj.Mul(prior, j.T())
	s.Mul(j, &pj)
	joint := mat.NewSymDense(k, nil)
	for a := range k {
		for b := a; b < k; b++ {
			joint.SetSym(a, b, s.At(a, b))
		}
		joint.SetSym(a, a, joint.At(a, a)+m.of(list[a].sense).variance(list[a].value))
	}
	var chol mat.Cholesky
	if !chol.Factorize(joint) {
		panic("measure: readings without error")
	}
	var w mat.VecDense
	_ = chol.SolveVecTo(&w, misfit) // nearly equal readings only warn
	var step mat.VecDense
	step.MulVec(&pj, &w)
	var gain, drop mat.Dense
	_ = chol.SolveTo(&gain, pj.T())
	drop.Mul(&pj, &gain)
	cov := mat.NewSymDense(u.n, nil)
	for a := range u.n {
		for b := a; b < u.n; b++ {
			cov.SetSym(a, b, prior.At(a, b)-drop.At(a, b))
		}
	}
	out := make([]float64, u.n)
	for i := range out {
		out[i] = step.AtVec(i)
	}
	return out, cov
}

// slope is the derivative of the logarithm of a reading by the unknowns, and
// the logarithm itself.
func (u *unknowns) slope(o *observation, theta []float64) (slope []float64, predicted float64) {
	slope = make([]float64, u.n)
	total := 0.0
	for i, a := range o.row {
		slope[i] = a * math.Exp(theta[i])
		total += slope[i]
	}
	for i := range o.row {
		slope[i] /= total
	}
	g := u.gain[o.sense]
	slope[g] = 1
	return slope, math.Log(total) + theta[g]
}

// odd reports readings that lie further from what was expected before them
// than four standard deviations: a slip, most likely.
func (u *unknowns) odd(list []observation, theta []float64, cov, prior *mat.SymDense, m *Meters, faults *source.Faults) {
	start := make([]float64, u.n)
	for i := range list {
		o := &list[i]
		slope, expected := u.slope(o, start)
		v := mat.NewVecDense(u.n, slope)
		width := math.Sqrt(mat.Inner(v, prior, v) + m.of(o.sense).variance(o.value))
		if off := math.Log(o.value) - expected; math.Abs(off) > 4*width {
			faults.Add(o.pos, "is it the right unit and place, one emitter alone, in the dark, in the unit that the display shows?",
				"%s reads %.3g %s, %.2g times what was expected", o.text, o.value, o.sense.Unit(), math.Exp(off))
		}
	}
}

// correct applies the factors to the transport.
func (u *unknowns) correct(t *room.Transport, theta []float64, cov *mat.SymDense) *room.Transport {
	factor := make([]float64, len(u.byDrive))
	spread := make([]room.Spread, len(u.byDrive))
	for d, i := range u.byDrive {
		half := widen * math.Sqrt(math.Max(cov.At(i, i), 0))
		factor[d] = math.Exp(theta[i])
		spread[d] = room.Spread{Low: math.Exp(-half), High: math.Exp(half)}
	}
	return t.Corrected(factor, spread)
}

func (u *unknowns) factors(theta []float64, cov *mat.SymDense, count []int) []Factor {
	out := make([]Factor, len(u.names))
	for i, e := range u.names {
		half := widen * math.Sqrt(math.Max(cov.At(i, i), 0))
		out[i] = Factor{
			Unit: u.rig.Units[e.unit].Name.Name, Emitter: u.rig.Units[e.unit].Type.Emitters[e.index].Name, Readings: count[i],
			Output: si.Estimate[si.Ratio]{Best: si.Ratio(math.Exp(theta[i])), Low: si.Ratio(math.Exp(theta[i] - half)), High: si.Ratio(math.Exp(theta[i] + half))},
		}
	}
	return out
}

func sum(row []float64) float64 {
	s := 0.0
	for _, v := range row {
		s += v
	}
	return s
}
