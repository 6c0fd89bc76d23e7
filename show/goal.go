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
// black light. A drive belongs to the last part that names it, and a goal whose
// drives all belong to later parts is no goal any more. With these,
//
//   - lux is the mean illuminance that the part's own units bring to the
//     surface, reflected light and glow included; parts add up;
//   - what moves is lit at least so much wherever it is while the look stands;
//   - glow is at least the luminance asked for, and at least the ratio over
//     the background, with as little power as does it; what the object reflects
//     is no glow; evenness is that every piece has at least so much of the mean;
//   - a ceiling on a glow, and on all that is not to be seen beside what is ("only");
//   - a dark surface stays below its limit in every piece of it;
//   - the UV-A at every eye stays below the ceiling, whichever way the eye
//     turns, with every emitter at the upper end of its interval.
//
// The last three are limits and hold whatever the others ask. Lux comes before
// glow: no wash is bent to make a paint glow. Of all answers that serve these
// alike, the one with the evenest surface and the least light is taken.

// How much a goal may be missed by before it is told.
const tolerance = .02

// What is less than these is none at all: a tenth of a moonless night's light,
// and a millionth of the ultraviolet that an eye may take for hours. They also
// keep the numbers of the solver apart from rounding.
const (
	leastLux = 1e-3 // asked for
	darkest  = 1e-4 // lx, a limit
	leastUVA = 1e-6 // W/m2, a limit
)

// Weights of the wishes beside glow, whose weight is 1.
const (
	// Each is so far from the next that a wish of more weight is as good as met before
	// a lesser one is heard, and near enough that the numbers keep both.
	luxWeight   = 1e3
	evenWeight  = 1e-4
	leastWeight = 1e-6
)

// scale is one unknown. One number for a unit keeps its colour while it is dimmed.
type scale struct {
	part, unit int
	drives     []int
	mix        []float64 // level of each drive at scale 1
}

// fitting is one look being solved. It lives for one solveGoals, and nobody else sees
// it.
type fitting struct {
	show      *Show
	name      string
	look      *score.Look
	parts     []score.Part
	units     [][]int                      // by part
	owner     []int                        // by drive: the part that it belongs to, -1
	taken     []bool                       // by part: later parts have taken every drive that it names
	helps     []bool                       // by part: some of its light reaches what it is for
	in        []Span                       // in which it stands, in the piece's own time; nil where all is there, at home
	transport *room.Transport              // the room as it mostly stands then
	places    map[string][]*room.Transport // of what moves; see where
	eyes      map[*score.Glow]eye          // by which a glow is judged
	fixed     []float32
	scales    []scale
	faults    *source.Faults

	hinges []hinge
	limits []limit
	missed []Miss
	came   []Reached
	bare   []source.Ref // what nobody described
}

// hinge is an "at least" goal: row·x + slack ≥ want.
type hinge struct {
	row  []float64
	want float64
}

// most is the most slack that the goal can need.
func (h *hinge) most() float64 {
	sum := max(h.want, 0)
	for _, v := range h.row {
		sum += max(-v, 0)
	}
	return sum
}

// limit is a bound with the words for it.
type limit struct {
	row  []float64
	most float64
	text string
}

// solveGoals fits the look's levels to what it asks to be seen. On entry the
// levels hold each part as if it asked for its brightest.
func (s *Show) solveGoals(l *Look, look *score.Look, parts []score.Part, in []Span, faults *source.Faults) {
	asks := look.Eyes != nil || len(look.Dark) > 0 || look.Only != nil
	for i := range parts {
		asks = asks || parts[i].Lux != nil || parts[i].Glow != nil
	}
	if !asks || s.Transport == nil {
		return
	}
	f := &fitting{show: s, transport: s.mostly(in), name: l.Name, look: look, parts: parts, in: in, faults: faults}
	f.own(l.Levels)
	f.drop()
	f.adapt(f.levels(make([]float64, len(f.scales))))
	f.gather()
	x, press := f.solve()
	f.hold(x)
	f.faults = &source.Faults{} // all are told
	for range mostAdaptings {
		if f.adapt(f.levels(x)) < adapted {
			break
		}
		f.hinges, f.limits, f.bare = nil, nil, nil
		f.gather()
		x, press = f.solve()
		f.hold(x)
	}
	copy(l.Levels, f.levels(x))
	l.Misses = append(l.Misses, f.misses(l.Levels, x, press)...)
	l.Reached, l.Undescribed = f.came, f.bare
}

// own finds the drives of every part and the unknowns.
//
// A drive that several parts name belongs to the last of them, as it does where no goal
// is sought. taken is set for every part that owns anything on the way, and cleared for
// those that still do at the end. Drives of no scale keep what the parts before gave
// them, and are fixed.
func (f *fitting) own(levels []float32) {
	r := f.show.Rig
	f.owner = make([]int, len(r.Drives))
	for d := range f.owner {
		f.owner[d] = -1
	}
	f.taken = make([]bool, len(f.parts))
	for i := range f.parts {
		f.units = append(f.units, f.show.burning(f.show.UnitsOf(&f.parts[i]))) // faults of names are told by Show.part
		for _, u := range f.units[i] {
			from, to := r.UnitDrives(u)
			for d := from; d < to; d++ {
				if f.show.Speaks(&f.parts[i], d) {
					f.owner[d] = i
					f.taken[i] = true
				}
			}
		}
	}
	for _, i := range f.owner {
		if i >= 0 {
			f.taken[i] = false
		}
	}
	f.fixed = slices.Clone(levels)
	for i := range f.parts {
		if f.parts[i].Lux == nil && f.parts[i].Glow == nil {
			continue
		}
		for _, u := range f.units[i] {
			if f.undescribed(&f.parts[i]) {
				f.suppose(i, u, levels)
				continue
			}
			f.addScale(i, u, levels)
		}
	}
}

// guessedShare is how much of its brightest a part has whose goal cannot be computed (a
// choice, no source).
const guessedShare = .5

// undescribed tells whether a part asks for something on what nobody described: a thing
// with a name, in a room of which no such thing is known. Where some are, a name that is
// not among them is a slip, and a fault.
func (f *fitting) undescribed(p *score.Part) bool {
	r := f.show.Room
	switch {
	case p.Glow != nil:
		return len(r.Objects) == 0
	case p.Lux != nil:
		return f.unnamed(p.On.Name)
	}
	return false
}

// unnamed tells whether a name may be that of a surface that nobody described, in a room
// of which none is.
func (f *fitting) unnamed(name string) bool {
	return len(f.show.Room.Surfaces) == 0 && f.transport.Find(name) == nil
}

// suppose gives a unit of a part whose goal cannot be computed a share of what it has.
func (f *fitting) suppose(part, unit int, levels []float32) {
	from, to := f.show.Rig.UnitDrives(unit)
	for d := from; d < to; d++ {
		switch {
		case f.owner[d] != part:
		case f.parts[part].Glow != nil:
			f.fixed[d] = guessedShare
		default:
			f.fixed[d] = guessedShare * levels[d]
		}
	}
}

// inherited tells whether a part comes from the look that this one is like.
func (f *fitting) inherited(part int) bool { return part < len(f.parts)-len(f.look.Parts) }

// addScale makes the unknown of one unit in one part, of the drives that the part has
// kept. A wish for less than leastLux is a wish for none: its drives are dark, and no
// unknown. Units that share all of their slots do the same, and are one unknown.
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
	if lux := f.parts[part].Lux; len(s.drives) == 0 || lux != nil && *lux < leastLux {
		return
	}
	if k := f.twin(part, unit); k >= 0 {
		f.scales[k].drives, f.scales[k].mix = append(f.scales[k].drives, s.drives...), append(f.scales[k].mix, s.mix...)
		return
	}
	f.scales = append(f.scales, s)
}

// twin is the unknown of a part that is of a unit with the same slots, -1 where there is none.
func (f *fitting) twin(part, unit int) int {
	first := f.show.Rig.Twin(unit)
	if first == unit {
		return -1 // few units have one, and it comes later
	}
	return slices.IndexFunc(f.scales, func(o scale) bool { return o.part == part && f.show.Rig.Twin(o.unit) == first })
}

// drop leaves out units whose light does not reach what their part is for:
// nothing would say how bright they are. They stay dark.
func (f *fitting) drop() {
	f.helps = make([]bool, len(f.parts))
	f.scales = slices.DeleteFunc(f.scales, func(s scale) bool {
		p := &f.parts[s.part]
		if f.away(p.Target()) {
			return true // it stays dark
		}
		sum := 0.0
		for _, t := range f.where(p.Target()) {
			var row []float64
			if p.Lux != nil {
				row = t.MeanRow(p.On.Name, room.Photopic)
			} else {
				row, _, _ = t.GlowRows(p.Glow.Object.Name)
			}
			for k, d := range s.drives {
				if row != nil {
					sum += row[d] * s.mix[k]
				}
			}
		}
		f.helps[s.part] = f.helps[s.part] || sum > 0
		return sum <= 0
	})
}

// project turns a row by drive into one by unknown, and what is fixed. Light adds up,
// so what a row reads is linear in the unknowns: out·x + offset.
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
//
// A wish for lux is a square, missed on both sides alike. A glow is "at least", which
// no square says: its slack, which costs 1 for each whole miss, takes what is missing,
// and a glow that is more than enough costs nothing but the light.
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
		p.top[len(f.scales)+i] = 2*h.most() + 1
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

// hold brings x inside the limits to the last digit, which the solver leaves to
// rounding: each limit that is passed is met by the shortest way, then all unknowns are
// dimmed by what is still missing. Limits only add up light. Twenty rounds of
// projecting on one limit after the other bring x near; the dimming that follows is
// certain, whatever they have left.
func (f *fitting) hold(x []float64) {
	for range 20 {
		for i := range f.limits {
			l := &f.limits[i]
			over, size := dot(l.row, x)-l.most, dot(l.row, l.row)
			if over <= 0 || size == 0 {
				continue
			}
			for k, v := range l.row {
				x[k] = max(x[k]-v*over/size, 0)
			}
		}
	}
	for i := range f.limits {
		if sum := dot(f.limits[i].row, x); sum > f.limits[i].most {
			for k := range x {
				x[k] *= f.limits[i].most / sum
			}
		}
	}
}

// wantLux adds the mean as a strong wish, and the same lux on every piece of the
// surface as weak ones, which makes the light even as far as that costs the mean
// nothing. Rows are divided by what is wanted, so that a miss of all is 1 for every
// wish and none is louder for being brighter.
func (f *fitting) wantLux(p *leastSquares, part int, wide func([]float64) []float64) {
	t, want := f.mostly(f.parts[part].On.Name), *f.parts[part].Lux
	if f.follows(part) {
		return // its hinges say so
	}
	row := t.MeanRow(f.parts[part].On.Name, room.Photopic)
	if row == nil || want < leastLux {
		return
	}
	p.want(wide(scaled(f.ofPart(part, row), 1/want)), 1, luxWeight)
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
