package room

import (
	"math"

	"lampblack/light"
	"lampblack/rig"
	"lampblack/si"
	"lampblack/source"
)

// lamp is one unit of the rig as a source of light: its cells, and the beams
// that its emitters have.
type lamp struct {
	unit     int
	cells    []vec
	axis     vec     // of the beam
	row      vec     // along its cells
	along    float64 // size of one cell along the row, m
	across   float64 // and across it
	beams    []*falloff
	beamOf   []int                 // by emitter of its type
	sinMask  float64               // directions that rise above it are masked
	luminous si.Estimate[si.Ratio] // area of one cell that shines, m2
	radius   float64               // of a cell, m
	shades   [][]lensShade         // by cell
}

// falloff is a beam tabulated for speed: intensity per watt at even steps of
// sqrt(1-cosθ), which is √2 sin(θ/2) and so nearly even in the angle. Steps of the cosine
// itself, which is what a ray gives, would be far too wide in the middle of a narrow beam.
// One entry more than there are steps lets at read two neighbours without a look. A beam that is not round has its
// mean there, and itself in a distribution.
type falloff struct {
	table  [falloffSteps + 2]float64
	around *light.Distribution
}

const falloffSteps = 4096

// tabulate fills the table out to 180° off axis, where s is √2.
func tabulate(d *light.Distribution) *falloff {
	var f falloff
	for i := range f.table {
		s := float64(i) / falloffSteps * math.Sqrt2
		theta := 2 * math.Asin(math.Min(1, s/math.Sqrt2))
		f.table[i] = d.Intensity(si.Angle(theta))
	}
	if !d.Round() {
		f.around = d
	}
	return &f
}

// sends returns the intensity per watt of a beam of the lamp along d, whose cosine off the axis is c: the one place
// that knows which way round a beam is that is not round. Its half plane 0 lies along the row, a quarter on is across
// (package lm63).
func (l *lamp) sends(f *falloff, d vec, c float64) float64 {
	if f.around == nil {
		return f.at(c)
	}
	x, y := d.dot(l.row), d.dot(l.row.cross(l.axis))
	off := math.Atan2(math.Hypot(x, y), d.dot(l.axis))
	return f.around.Toward(si.Angle(off), si.Angle(math.Atan2(y, x)))
}

// at returns intensity per watt in the direction at cosine c off the axis.
func (f *falloff) at(c float64) float64 {
	x := math.Sqrt(math.Max(0, 1-c)) * (falloffSteps / math.Sqrt2)
	i := int(x)
	if i >= falloffSteps {
		return f.table[falloffSteps]
	}
	return f.table[i] + (x-float64(i))*(f.table[i+1]-f.table[i])
}

// lamps makes the sources of the rig. A unit that cannot be lit is a fault
// and gives no light.
func (r *Room) lamps(rg *rig.Rig, faults *source.Faults) []lamp {
	out := make([]lamp, len(rg.Units))
	tables := map[beamKey]*falloff{}
	for i := range rg.Units {
		u := &rg.Units[i]
		out[i].unit = i
		if u.Type == nil {
			continue // a fault of the rig, reported there
		}
		if at := Point(u.At).vec(); !r.holds(at) {
			faults.Add(u.Name.Pos, "", "unit %s hangs outside the room", u.Name.Name)
			continue
		}
		for _, in := range r.inside(Point(u.At).vec()) {
			faults.Add(u.Name.Pos, "", "unit %s hangs inside %s: it lights nothing", u.Name.Name, in)
		}
		out[i].hang(u, tables, faults)
	}
	return out
}

// Hangs is what is wrong with where and how units hang in the room.
func (r *Room) Hangs(rg *rig.Rig) source.Faults {
	var faults source.Faults
	r.lamps(rg, &faults)
	return faults
}

// Hung returns the direction of a unit's beam and that of its row of cells, from
// the first to the last; both are zero for a unit that aims at where it hangs.
// The row lies at right angles to the beam, level and with the first cell to the
// left of who looks into the unit; Turn turns it right-handed about the beam,
// against the clock for the same person.
func Hung(u *rig.Unit) (axis, row Point) {
	a, r := hung(u)
	return a.point(), r.point()
}

// hung is Hung for arithmetic.
func hung(u *rig.Unit) (axis, row vec) {
	axis = Point(u.Aim).vec().minus(Point(u.At).vec()).unit()
	if axis.length() == 0 {
		return axis, row
	}
	level := levelAcross(axis)
	return axis, level.times(math.Cos(float64(u.Turn))).plus(axis.cross(level).times(math.Sin(float64(u.Turn))))
}

// hang fills in l for the unit.
func (l *lamp) hang(u *rig.Unit, tables map[beamKey]*falloff, faults *source.Faults) {
	t := u.Type
	at := Point(u.At).vec()
	if l.axis, l.row = hung(u); l.axis.length() == 0 {
		return // a fault of the rig, reported there
	}
	n := t.CellCount()
	l.along, l.across = float64(t.Size[0])/float64(n), float64(t.Size[1])
	for c := range n {
		l.cells = append(l.cells, at.plus(l.row.times((float64(c)-float64(n-1)/2)*l.along)))
	}
	// Shadows are those of the lens; where nobody gave it, of all its part of the front.
	if t.Lens[0] > 0 {
		l.along = float64(t.Lens[0])
	}
	if t.Lens[1] > 0 {
		l.across = float64(t.Lens[1])
	}
	l.luminous, _ = t.Shining()
	// No direction rises above 2.
	l.sinMask = 2
	if u.Mask != 0 {
		l.sinMask = math.Sin(float64(u.Mask))
	}
	for e := range t.Emitters {
		b := t.Beam
		if own := t.Emitters[e].Value.Beam; own != nil {
			b = *own
		}
		l.beamOf = append(l.beamOf, l.addBeam(b, tables, faults))
	}
}

// beamKey tells beams apart.
type beamKey struct {
	half, tenth si.Angle
	shape       rig.BeamShape
	measured    *rig.Measured
}

// addBeam returns the index in l.beams of the beam. One that cannot be is a
// fault and counts as 40°.
func (l *lamp) addBeam(b rig.Beam, tables map[beamKey]*falloff, faults *source.Faults) int {
	key := beamKey{b.Half, b.Tenth, b.Shape, b.Measured()}
	if tables[key] == nil {
		d, err := b.Distribution()
		if err != nil {
			faults.Add(b.Pos, "", "%v", err)
		}
		tables[key] = tabulate(d)
	}
	for i, f := range l.beams {
		if f == tables[key] {
			return i
		}
	}
	if len(l.beams) == light.MaxEmitters {
		return len(l.beams) - 1 // a unit has no more emitters than that
	}
	l.beams = append(l.beams, tables[key])
	return len(l.beams) - 1
}

// nearest is how many times its size a source must be away to count as a
// point (the five-times rule of photometry: 1 % for a flat source, since a matt disc
// of radius R gives d²/(d²+R²) of what a point at its middle would, 0.99 at d = 10 R).
const nearest = 5

// mostParts is into how many a side of a cell is cut at the most.
const mostParts = 6

// split returns how many parts a cell is cut into, along and across, for p
// at distance d: so many that each part is five times its size away, but six at
// most; and two at least where the beam is steep. Nearer than a cell's own length the light is less exact:
// nothing is lit there.
func (l *lamp) split(from, p vec, d float64) (along, across int) {
	least := 1
	if l.steep(from, p, d) {
		least = 2
	}
	parts := func(size float64) int {
		return min(max(least, int(math.Ceil(nearest*size/math.Max(d, .01)))), mostParts)
	}
	return parts(l.along), parts(l.across)
}

// steepness is by what share the mean over a lens may differ from what its middle gives before the
// lens is cut up. At the skirts of a narrow beam a lens that is a hand wide gives several per cent more.
const steepness = .003

// steep tells whether a beam bends within what a lens subtends at p: by the second difference, over
// a third of the half side squared, the variance of an even one.
func (l *lamp) steep(from, p vec, d float64) bool {
	turn := .289 * max(l.along, l.across) / max(d, .01)
	if turn < 1e-3 {
		return false
	}
	off := p.minus(from).dot(l.axis) / d
	for _, f := range l.beams {
		if f.bends(off, turn) > steepness {
			return true
		}
	}
	return false
}

// bends is by what share the mean of the intensity a turn to both sides differs from that between, at
// cosine c off the axis. Near the steps of the table are even in the angle: a radian is 2048 of them (see falloff).
func (f *falloff) bends(c, turn float64) float64 {
	x := math.Sqrt(math.Max(0, 1-c)) * (falloffSteps / math.Sqrt2)
	dx := turn * falloffSteps / 2
	at := func(x float64) float64 { return f.table[min(int(math.Abs(x)+.5), falloffSteps)] }
	middle := at(x)
	if middle <= 0 {
		return 0
	}
	return math.Abs((at(x-dx)+at(x+dx))/2/middle - 1)
}

// intensity adds to dst, by beam, the irradiance per watt of the cell at p on
// a plane that faces n, without regard to what stands between: I(θ)·cos(incidence)/d²,
// times weight. It returns false, and adds nothing, for a place behind the lamp, behind
// the plane, or under the mask.
func (l *lamp) intensity(dst []float64, from, p, n vec, weight float64) bool {
	d := p.minus(from)
	square := d.dot(d)
	if square < 1e-8 {
		return false
	}
	far := math.Sqrt(square)
	incidence := -d.dot(n) / far
	off := d.dot(l.axis) / far
	if incidence <= 0 || off <= 0 || d[2] > l.sinMask*far {
		return false
	}
	weight *= incidence / square
	for b, f := range l.beams {
		dst[b] += weight * l.sends(f, d, off)
	}
	return true
}
