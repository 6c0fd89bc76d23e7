package show

import (
	"slices"

	"lampblack/room"
	"lampblack/score"
	"lampblack/source"
)

// Looks by goal: what a look asks to be seen is solved for the levels of the
// units that its parts name.
//
// The unknowns are one scale, 0 to 1, for each part that asks for lux or glow
// and each of its units: of the unit's colour at its brightest, or of all its
// black light. A drive belongs to the last part that names it. With these,
//
//   - lux is the mean illuminance that the part's own units bring to the
//     surface, reflected light and glow included; parts add up;
//   - glow is at least the luminance asked for, and at least the ratio over
//     the background, with as little power as does it;
//   - a dark surface stays below its limit in every piece of it;
//   - the UV-A at every eye stays below the ceiling, whichever way the eye
//     turns, with every emitter at the upper end of its interval.
//
// The last two are limits and hold whatever the others ask. Lux comes before
// glow: no wash is bent to make a paint glow. Of all answers that serve these
// alike, the one with the evenest surface and the least light is taken.

// enoughGlow is the luminance that a glow has when the look gives only a ratio:
// in a dark room it is usable for an adapted audience within some 8 m (common
// practice, no source; a design choice).
const enoughGlow = 5.0 // cd/m2

// How much a goal may be missed by before it is told.
const tolerance = .02

// Weights of the wishes beside glow, whose weight is 1.
const (
	luxWeight   = 1e3
	evenWeight  = 1e-4
	leastWeight = 1e-6
)

// scale is one unknown.
type scale struct {
	part, unit int
	drives     []int
	mix        []float64 // level of each drive at scale 1
}

// fitting is one look being solved.
type fitting struct {
	show   *Show
	name   string
	look   *score.Look
	parts  []score.Part
	units  [][]int // by part
	owner  []int   // by drive: the part that it belongs to, -1
	fixed  []float32
	scales []scale
	faults *source.Faults

	hinges []hinge
	limits []limit
}

// hinge is an "at least" goal: row·x + slack ≥ want.
type hinge struct {
	row  []float64
	want float64
}

// limit is a bound with the words for it.
type limit struct {
	row  []float64
	most float64
	text string
}

// solveGoals fits the look's levels to what it asks to be seen. On entry the
// levels hold each part as if it asked for its brightest.
func (s *Show) solveGoals(l *Look, look *score.Look, parts []score.Part, faults *source.Faults) {
	asks := look.Eyes != nil || len(look.Dark) > 0
	for i := range parts {
		asks = asks || parts[i].Lux != nil || parts[i].Glow != nil
	}
	if !asks || s.Transport == nil {
		return
	}
	f := &fitting{show: s, name: l.Name, look: look, parts: parts, faults: faults}
	f.own(l.Levels)
	f.gather()
	x, press := f.solve()
	copy(l.Levels, f.levels(x))
	l.Misses = append(l.Misses, f.misses(l.Levels, x, press)...)
}

// own finds the drives of every part and the unknowns.
func (f *fitting) own(levels []float32) {
	r := f.show.Rig
	f.owner = make([]int, len(r.Drives))
	for d := range f.owner {
		f.owner[d] = -1
	}
	for i := range f.parts {
		f.units = append(f.units, f.show.units(&f.parts[i], f.faults))
		for _, u := range f.units[i] {
			from, to := r.UnitDrives(u)
			for d := from; d < to; d++ {
				if f.names(&f.parts[i], d) {
					f.owner[d] = i
				}
			}
		}
	}
	f.fixed = slices.Clone(levels)
	for i := range f.parts {
		if f.parts[i].Lux == nil && f.parts[i].Glow == nil {
			continue
		}
		for _, u := range f.units[i] {
			f.addScale(i, u, levels)
		}
	}
}

// names tells whether a part speaks of a drive of one of its units.
func (f *fitting) names(p *score.Part, d int) bool {
	r := f.show.Rig
	drive := &r.Drives[d]
	if !inCells(drive, p.Cells) {
		return false
	}
	black := r.Emitter(d).Light.BlackLight()
	switch {
	case p.Glow != nil:
		return black
	case len(p.Emitters) > 0:
		return p.Emitters.Get(r.Units[drive.Unit].Type.Emitters[drive.Emitter].Name) != nil
	}
	return !black
}

func (f *fitting) addScale(part, unit int, levels []float32) {
	s := scale{part: part, unit: unit}
	from, to := f.show.Rig.UnitDrives(unit)
	for d := from; d < to; d++ {
		if f.owner[d] != part {
			continue
		}
		mix := float64(levels[d])
		if f.parts[part].Glow != nil {
			mix = 1
		}
		f.fixed[d] = 0
		s.drives, s.mix = append(s.drives, d), append(s.mix, mix)
	}
	if len(s.drives) > 0 {
		f.scales = append(f.scales, s)
	}
}

// project turns a row by drive into one by unknown, and what is fixed.
func (f *fitting) project(row []float64) (out []float64, offset float64) {
	out = make([]float64, len(f.scales))
	for i := range f.scales {
		for k, d := range f.scales[i].drives {
			out[i] += row[d] * f.scales[i].mix[k]
		}
	}
	for d, v := range f.fixed {
		offset += row[d] * float64(v)
	}
	return out, offset
}

// ofPart is project for one part's units alone.
func (f *fitting) ofPart(part int, row []float64) []float64 {
	out, _ := f.project(row)
	for i := range f.scales {
		if f.scales[i].part != part {
			out[i] = 0
		}
	}
	return out
}

// solve puts the problem together and solves it. After the scales come the
// slacks of the hinges.
func (f *fitting) solve() (x, press []float64) {
	n := len(f.scales) + len(f.hinges)
	p := newLeastSquares(n)
	wide := func(row []float64) []float64 { return append(slices.Clone(row), make([]float64, n-len(row))...) }
	for i := range f.parts {
		if f.parts[i].Lux != nil {
			f.wantLux(p, i, wide)
		}
	}
	for i, h := range f.hinges {
		row := wide(scaled(h.row, -1))
		row[len(f.scales)+i] = -1
		p.limit(row, -h.want)
		p.small(len(f.scales)+i, 1)
		p.top[len(f.scales)+i] = 2*max(1, h.want) + 100
	}
	for _, l := range f.limits {
		p.limit(wide(l.row), l.most)
	}
	for i := range f.scales {
		p.small(i, leastWeight)
	}
	x, press = p.solve()
	return x[:len(f.scales)], press[len(f.hinges):]
}

func (f *fitting) wantLux(p *leastSquares, part int, wide func([]float64) []float64) {
	t, want := f.show.Transport, max(*f.parts[part].Lux, 1e-3)
	row := t.MeanRow(f.parts[part].On.Name, room.Photopic)
	if row == nil {
		return
	}
	p.want(wide(scaled(f.ofPart(part, row), 1/want)), *f.parts[part].Lux/want, luxWeight)
	pieces := t.PieceRows(f.parts[part].On.Name, room.Photopic)
	for _, piece := range pieces {
		p.want(wide(scaled(f.ofPart(part, piece), 1/want)), 1, evenWeight/float64(len(pieces)))
	}
}

func (f *fitting) levels(x []float64) []float32 {
	out := slices.Clone(f.fixed)
	for i := range f.scales {
		for k, d := range f.scales[i].drives {
			out[d] = float32(x[i] * f.scales[i].mix[k])
		}
	}
	return out
}

func dot(row, x []float64) float64 {
	sum := 0.0
	for i, v := range row {
		sum += v * x[i]
	}
	return sum
}

func dotLevels(row []float64, levels []float32) float64 {
	sum := 0.0
	for i, v := range row {
		sum += v * float64(levels[i])
	}
	return sum
}
