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
	sortedSpread   = .08 // units of one type against one another, standard
	unsortedSpread = .2  // the same where the maker states no spread
	leastType      = .05 // least that a type's stated output is off, standard
	// Makers' figures without a spread, standard: budget units give 60 % to
	// 140 % of their lumens; radiant watts are often those of the chip, or
	// electrical.
	lumensSpread = .25
	wattsSpread  = .35
	// modelError is what the computation itself is off, standard: places read
	// with a tape, beam shapes, reflectances.
	modelError = .04
	// matchError is what a match by eye is off where its two lamps do not stand alike:
	// 2 % of the way to the sheet, and a beam that is not quite on its middle, standard.
	matchError = .05
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
		if sum(o.row) <= 0 || o.other != nil && sum(o.other) <= 0 {
			faults.Add(o.pos, "", "none of that light reaches the meter by the room's text: %s", o.text)
			continue
		}
		list = append(list, o)
		for k, v := range o.row {
			if v > 0 || o.other != nil && o.other[k] > 0 {
				count[k]++
			}
		}
	}
	theta, cov, prior := u.believe(list, &s.Meters)
	u.odd(list, theta, prior, &s.Meters, &faults)
	faults.Sort()
	return u.correct(t, theta, cov), u.factors(theta, cov, count), faults
}

// believe finds the unknowns under the prior with tails: each turn takes the
// normal prior that is as wide as the last answer asks for (iterated weights, as for any
// t distribution). Six turns settle; each begins anew, so nothing runs away.
func (u *unknowns) believe(list []observation, m *Meters) (theta []float64, cov, prior *mat.SymDense) {
	const turns = 6
	prior = u.prior(m, nil)
	theta, cov = u.newton(prior, list, m)
	for range turns {
		prior = u.prior(m, u.tails(theta))
		theta, cov = u.newton(prior, list, m)
	}
	return theta, cov, prior
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

// several tells whether a reading holds more than one emitter. The logarithm of a single
// one is linear in the unknowns, and one turn is exact.
func several(row []float64) bool {
	n := 0
	for _, v := range row {
		if v > 0 {
			n++
		}
	}
	return n > 1
}

// turn is one update about theta. The readings are straightened there, ln reading =
// predicted + J·(unknowns - theta), and the answer is K·misfit with misfit taken from
// unknowns of 0, where the prior has its middle; the covariance is P - K J P.
//
//	J     readings × unknowns: slopes          P     prior, unknowns × unknowns
//	chol  J P Jᵀ + R, readings × readings      R     what each reading is off by itself
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
	chol := u.joint(j, prior, list, m)
	var pj mat.Dense
	pj.Mul(prior, j.T())
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
	if o.other != nil { // one emitter against one: linear
		for i, a := range o.other {
			if a > 0 {
				slope[i]--
				total /= a * math.Exp(theta[i])
			}
		}
		return slope, math.Log(total)
	}
	g := u.gain[o.sense]
	slope[g] = 1
	return slope, math.Log(total) + theta[g]
}

// A reading is told that the others contradict by more than slip, and by more
// than doubt standard deviations of what they leave open. Where nothing else
// speaks of the emitter, its maker's figure is the other, and slip is what such
// figures are not off by.
const (
	slip  = .58 // a factor of 1.8
	doubt = 3
)

// odd reports readings that all the others, taken together, say are wrong. With
// S the covariance of all readings and r what is left of them, reading i less
// what the others foretell is (S⁻¹r)ᵢ/(S⁻¹)ᵢᵢ, of variance 1/(S⁻¹)ᵢᵢ (leaving
// one out of a linear model; Rasmussen and Williams, Gaussian Processes for
// Machine Learning, 2006, equation 5.12, from memory).
func (u *unknowns) odd(list []observation, theta []float64, prior *mat.SymDense, m *Meters, faults *source.Faults) {
	k := len(list)
	if k == 0 {
		return
	}
	j, left := mat.NewDense(k, u.n, nil), mat.NewVecDense(k, nil)
	for i := range list {
		slope, predicted := u.slope(&list[i], theta)
		j.SetRow(i, slope)
		left.SetVec(i, math.Log(list[i].value)-predicted+mat.Dot(mat.NewVecDense(u.n, slope), mat.NewVecDense(u.n, theta)))
	}
	chol := u.joint(j, prior, list, m)
	var w mat.VecDense
	_ = chol.SolveVecTo(&w, left)
	var inverse mat.SymDense
	_ = chol.InverseTo(&inverse)
	for i := range list {
		o := &list[i]
		off := w.AtVec(i) / inverse.At(i, i)
		if math.Abs(off) > max(slip, doubt*math.Sqrt(1/inverse.At(i, i))) {
			faults.Add(o.pos, "is it the right unit and place, one emitter alone, in the dark, in the unit that the display shows? Take it again at another place: two that agree are believed",
				"%s reads %s, %s times what the others and the fixture file say", o.text, o.says(), si.Say(math.Exp(off), ""))
		}
	}
}

// joint decomposes the covariance of all readings, J P Jᵀ + R. It is never singular: R is
// modelError squared at least.
func (u *unknowns) joint(j *mat.Dense, prior *mat.SymDense, list []observation, m *Meters) *mat.Cholesky {
	var pj, s mat.Dense
	pj.Mul(prior, j.T())
	s.Mul(j, &pj)
	joint := mat.NewSymDense(len(list), nil)
	for a := range list {
		for b := a; b < len(list); b++ {
			joint.SetSym(a, b, s.At(a, b))
		}
		joint.SetSym(a, a, joint.At(a, a)+list[a].variance(m))
	}
	var chol mat.Cholesky
	if !chol.Factorize(joint) {
		panic("measure: readings without error")
	}
	return &chol
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

// Correct corrects another transport of the rig, of the room in another setting, by what was found.
// It returns t where nothing was.
func Correct(t *room.Transport, rg *rig.Rig, found []Factor) *room.Transport {
	if len(found) == 0 {
		return t
	}
	of := map[[2]string]si.Estimate[si.Ratio]{}
	for i := range found {
		of[[2]string{found[i].Unit, found[i].Emitter}] = found[i].Output
	}
	factor, spread := make([]float64, len(rg.Drives)), make([]room.Spread, len(rg.Drives))
	for d := range rg.Drives {
		unit := &rg.Units[rg.Drives[d].Unit]
		e := of[[2]string{unit.Name.Name, unit.Type.Emitters[rg.Drives[d].Emitter].Name}]
		best := float64(e.Best)
		factor[d], spread[d] = best, room.Spread{Low: float64(e.Low) / best, High: float64(e.High) / best}
	}
	return t.Corrected(factor, spread)
}

// factors are the unknowns as people read them: e to their power, and at widen standard
// deviations to either side.
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
