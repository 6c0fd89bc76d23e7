package measure

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"

	"lampblack/rig"
	"lampblack/room"
	"lampblack/si"
	"lampblack/source"
)

// unknowns lists the emitters of a rig's units, and the meters' gains behind
// them: the two last of n. byDrive is the place of each drive's emitter in names.
type unknowns struct {
	rig     *rig.Rig
	names   []emitter
	byDrive []int
	gain    map[room.Sense]int
	n       int
}

type emitter struct{ unit, index int }

// newUnknowns numbers what a fit seeks: a factor for each emitter of each unit, which all its
// drives share, and at the end one for each of the two meters.
func newUnknowns(rg *rig.Rig) *unknowns {
	u := &unknowns{rig: rg, gain: map[room.Sense]int{}}
	known := map[emitter]int{}
	for _, d := range rg.Drives {
		e := emitter{d.Unit, d.Emitter}
		i, ok := known[e]
		if !ok {
			i = len(u.names)
			known[e] = i
			u.names = append(u.names, e)
		}
		u.byDrive = append(u.byDrive, i)
	}
	u.gain[room.Photopic], u.gain[room.UVA] = len(u.names), len(u.names)+1
	u.n = len(u.names) + 2
	return u
}

// prior is the covariance of the unknowns before any reading. tails, by emitter,
// widens what a type's output may be off by; nil for 1 everywhere.
func (u *unknowns) prior(m *Meters, tails []float64) *mat.SymDense {
	p := mat.NewSymDense(u.n, nil)
	for i, a := range u.names {
		for j := i; j < len(u.names); j++ {
			b := u.names[j]
			if u.rig.Units[a.unit].Type != u.rig.Units[b.unit].Type || a.index != b.index {
				continue
			}
			v := u.typeSpread(a)
			w := 1.0
			if tails != nil {
				w = tails[i]
			}
			p.SetSym(i, j, w*v*v)
		}
		unit := u.unitSpread(a)
		p.SetSym(i, i, p.At(i, i)+unit*unit)
	}
	for s, i := range u.gain {
		g := m.of(s).gain
		p.SetSym(i, i, g*g)
	}
	return p
}

// freedom is that of the t distribution that outputs are drawn from, as far as
// is known: most makers' figures are right to a third, a few are off by far
// more. A normal prior would hold on to such a figure against the meter.
const freedom = 4

// tails gives, for every emitter, the weight of its type's variance at which the
// normal prior is that t distribution about theta: (ν + (θ/σ)²)/(ν + 1), with θ
// the mean of the type's units.
func (u *unknowns) tails(theta []float64) []float64 {
	type kind struct {
		kind  *rig.Type
		index int
	}
	sum, n := map[kind]float64{}, map[kind]float64{}
	of := func(e emitter) kind { return kind{u.rig.Units[e.unit].Type, e.index} }
	for i, e := range u.names {
		sum[of(e)] += theta[i]
		n[of(e)]++
	}
	out := make([]float64, len(u.names))
	for i, e := range u.names {
		z := sum[of(e)] / n[of(e)] / u.typeSpread(e)
		out[i] = (freedom + z*z) / (freedom + 1)
	}
	return out
}

// unitSpread is the standard spread of units about their type: a maker who
// states a spread sorts his lamps. That of a built-in type is nobody's statement.
func (u *unknowns) unitSpread(e emitter) float64 {
	kind := u.rig.Units[e.unit].Type
	if l := &kind.Emitters[e.index].Value.Light; l.Low != l.High && !kind.Generic() {
		return sortedSpread
	}
	return unsortedSpread
}

// typeSpread is the standard spread of a type's output: as its file states it,
// or by the kind of figure where the file states none.
func (u *unknowns) typeSpread(e emitter) float64 {
	emitter := &u.rig.Units[e.unit].Type.Emitters[e.index].Value
	l := &emitter.Light
	switch {
	case l.Low != l.High:
	case emitter.Output.InLumens():
		return lumensSpread
	default:
		return wattsSpread
	}
	low, high := math.Max(l.Low, .05), math.Max(l.High, 1)
	return math.Max(leastType, math.Max(-math.Log(math.Min(low, 1)), math.Log(high))/2)
}

// observation is a reading made ready: what each unknown emitter adds to it. A match by
// eye is the ratio of two emitters, and no meter's.
type observation struct {
	row    []float64 // by emitter unknown, at the file's output
	other  []float64 // the same of what it is compared with; nil for a meter's reading
	value  float64
	sense  room.Sense
	spread float64 // standard, of a match
	pos    source.Pos
	text   string
}

// variance is that of the logarithm of the value, without a meter's calibration.
func (o *observation) variance(m *Meters) float64 {
	if o.other != nil {
		return o.spread*o.spread + matchError*matchError
	}
	return m.of(o.sense).variance(o.value)
}

// observe turns a reading into an observation, or reports why it cannot.
func (u *unknowns) observe(t *room.Transport, r *Reading, faults *source.Faults) (observation, bool) {
	o := observation{row: make([]float64, len(u.names)), pos: r.Pos}
	var taken bool
	o.value, o.sense, taken = r.value()
	unit := u.rig.Index(r.Unit.Name)
	if unit < 0 {
		faults.Add(r.Unit.Pos, source.OneOf(r.Unit.Name, u.rig.UnitNames()), "there is no unit %q", r.Unit.Name)
		return o, false
	}
	kind := u.rig.Units[unit].Type
	if kind == nil {
		return o, false
	}
	if r.Emitter.Name != "" && kind.Emitters.Index(r.Emitter.Name) < 0 {
		faults.Add(r.Emitter.Pos, source.OneOf(r.Emitter.Name, source.Names(kind.Emitters)), "unit %s has no emitter %q", r.Unit.Name, r.Emitter.Name)
		return o, false
	}
	if r.Matches.Name != "" {
		return u.compare(o, r, unit, faults)
	}
	place, ok := t.Middle(r.At.Name)
	if !ok {
		faults.Add(r.At.Pos, source.OneOf(r.At.Name, t.Names()), "the room has no surface, object or eyes %q", r.At.Name)
		return o, false
	}
	u.fill(o.row, t.Row(place, o.sense), unit, kind.Emitters.Index(r.Emitter.Name))
	o.text = fmt.Sprintf("%s at %s", r.Unit.Name, r.At.Name)
	return o, taken
}

// compare turns a match by eye into an observation: the light of one emitter over that of
// another on the axis of each, by lumens, or by UV-A for black light.
func (u *unknowns) compare(o observation, r *Reading, unit int, faults *source.Faults) (observation, bool) {
	with := u.rig.Index(r.Matches.Name)
	if with < 0 || with == unit {
		faults.Add(r.Matches.Pos, source.OneOf(r.Matches.Name, u.rig.UnitNames()), "there is no other unit %q", r.Matches.Name)
		return o, false
	}
	o.other = make([]float64, len(u.names))
	for i, row := range map[int][]float64{unit: o.row, with: o.other} {
		kind := u.rig.Units[i].Type
		if kind == nil {
			return o, false
		}
		index := kind.Emitters.Index(r.Emitter.Name)
		if index < 0 {
			faults.Add(r.Emitter.Pos, source.OneOf(r.Emitter.Name, source.Names(kind.Emitters)), "unit %s has no emitter %q", u.rig.Units[i].Name.Name, r.Emitter.Name)
			return o, false
		}
		e := &kind.Emitters[index].Value
		sense := room.Photopic
		if e.Light.BlackLight() {
			sense = room.UVA
		}
		for k, name := range u.names {
			if name == (emitter{i, index}) {
				row[k] = sense.Of(&e.Light.Spectrum) * kind.Peak(e)
			}
		}
	}
	o.spread = math.Log(float64(r.Level.High/r.Level.Low)) / 2 / widen
	o.text = fmt.Sprintf("%s of %s beside %s", r.Emitter.Name, r.Unit.Name, r.Matches.Name)
	return o, true
}

// fill adds up a row by drive for one unit, and one emitter or all (-1).
func (u *unknowns) fill(dst, row []float64, unit, index int) {
	from, to := u.rig.UnitDrives(unit)
	for d := from; d < to; d++ {
		if index < 0 || u.rig.Drives[d].Emitter == index {
			dst[u.byDrive[d]] += row[d]
		}
	}
}

// variance is that of a reading's logarithm, without the meter's calibration.
func (m meter) variance(value float64) float64 {
	step := m.smallest / math.Max(value, 1e-12)
	return m.err*m.err + modelError*modelError + step*step
}

// says is the value in words.
func (o *observation) says() string {
	if o.other != nil {
		return si.Say(100*o.value, "%")
	}
	return si.Say(o.value, o.sense.Unit())
}
