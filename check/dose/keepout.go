package dose

import (
	"math"
	"time"

	"lampblack/check/finding"
	"lampblack/light"
	"lampblack/rig"
	"lampblack/room"
	"lampblack/si"
)

// Axis gives the irradiance on a unit's beam axis. Cells in a row are summed
// one by one: a metre-long bar is no point.
type Axis struct {
	unit   *rig.Unit
	drives []rig.Drive
	beams  []*light.Distribution // by drive; nil for one that cannot be
}

// NewAxis makes the axis of a unit with its drives. Emitters that share a beam share
// its distribution, which is costly to make.
func NewAxis(u *rig.Unit, drives []rig.Drive) *Axis {
	a := &Axis{u, drives, make([]*light.Distribution, len(drives))}
	known := map[*rig.Beam]*light.Distribution{}
	for i, d := range drives {
		beam := &u.Type.Beam
		if e := &u.Type.Emitters[d.Emitter].Value; e.Beam != nil {
			beam = e.Beam
		}
		if known[beam] == nil {
			known[beam], _ = beam.Distribution() // an error was said by rig.ReadType
		}
		a.beams[i] = known[beam]
	}
	return a
}

// Most returns the highest irradiance at a distance from the front: on the
// axis, or before any of the cells, since close to a row of narrow cells the
// middle between two of them is darker.
func (a *Axis) Most(levels []float64, sense room.Sense, far si.Length) float64 {
	most := a.At(levels, sense, far)
	cells := a.unit.Type.CellCount()
	for c := range cells {
		most = max(most, a.before(levels, sense, far, a.offset(float64(c), cells)))
	}
	return most
}

// offset is where a cell sits along the row, from its middle, in m.
func (a *Axis) offset(cell float64, cells int) float64 {
	return ((cell+.5)/float64(cells) - .5) * float64(a.unit.Type.Size[0])
}

// At returns the irradiance, by a sense, at a distance from the front, with
// the given levels of the drives and outputs at their upper end.
func (a *Axis) At(levels []float64, sense room.Sense, far si.Length) float64 {
	return a.before(levels, sense, far, 0)
}

// before is At for a point beside the axis: along is how far to the side of the middle
// the point lies, in m. Each cell is a source of the emitter's whole output over the
// number of cells, by the inverse square law: E = I(θ)·cos θ/d², in W/m², with the
// receiving eye facing the unit. Nothing of the room is in it, as reflections add
// little this near.
func (a *Axis) before(levels []float64, sense room.Sense, far si.Length, along float64) float64 {
	sum := 0.0
	cells := a.unit.Type.CellCount()
	for i, d := range a.drives {
		if levels[i] <= 0 || a.beams[i] == nil {
			continue
		}
		e := &a.unit.Type.Emitters[d.Emitter].Value
		watts := sense.Of(&e.Light.Spectrum) * e.Light.High / float64(cells) * levels[i]
		if watts == 0 {
			continue
		}
		for _, c := range d.Cells {
			off := a.offset(float64(c), cells) - along
			square := off*off + float64(far*far)
			cos := float64(far) / math.Sqrt(square)
			strength := a.beams[i].Intensity(si.Angle(math.Acos(min(1, cos))))
			if a.beams[i].Tabulated() { // it may be brightest to a side: what is kept clear of that is clear of it all
				strength = a.beams[i].Peak()
			}
			sum += watts * strength * cos / square
		}
	}
	return sum
}

// Reach returns the greatest distance at which the irradiance is above a limit, to a
// centimetre; 0 when it never is beyond 5 cm. Close to a row of cells irradiance may
// fall again, so it comes in from afar. The search goes by steps of 3 % inwards to the
// first distance that is above the limit, and then halves the step's interval to 2 mm.
// Invariant of the halving: at(low) is above the limit, at(high) is not. The result is
// rounded up.
func Reach(at func(si.Length) float64, limit float64) si.Length {
	// In metres; a step of 3 % skips no lobe of a beam that is wider than that. Nobody
	// stands nearer than 5 cm; at 100 m no lamp of this size passes a daily dose.
	const nearest, farthest, step = .05, 100., .97
	low := farthest
	for at(si.Length(low)) <= limit {
		if low *= step; low < nearest {
			return 0
		}
	}
	high := min(low/step, farthest)
	for high-low > .002 {
		mid := (low + high) / 2
		if at(si.Length(mid)) > limit {
			low = mid
		} else {
			high = mid
		}
	}
	return si.Length(math.Ceil(high*100) / 100)
}

// keepOut reports for every unit the distance inside which an eye that stays on its
// axis would pass the daily dose. The eye is thought to stay for all of the busiest
// day, so seconds at full take the place of levels, and what Axis then gives is a dose.
// Distances under 10 cm are not told, as no head gets there. It is told also where nobody's
// eyes are known: somebody's will be there.
func (r *limits) keepOut() {
	days := Days(r.Bill())
	for i := range r.Rig().Units {
		u := &r.Rig().Units[i]
		if u.Type == nil || u.Mode == nil {
			continue
		}
		from, to := r.Rig().UnitDrives(i)
		mean, day := r.busiest(days, r.integrals[from:to], r.uvOn(from, to))
		axis := NewAxis(u, r.Rig().Drives[from:to])
		at := func(far si.Length) float64 { return axis.Most(mean, room.UVA, far) }
		d := Reach(at, light.DailyUVA)
		if d < .1 {
			continue
		}
		f := finding.Finding{ID: "uv-keep-out", Severity: finding.Note, Place: finding.Thing("unit", u.Name.Name), Value: float64(d), Unit: "m", Units: []string{u.Name.Name}, Source: uvaSource,
			Says:    finding.Say("keep eyes more than %v from the front of unit %s", d, u.Name.Name),
			Cure:    finding.Say("mark the distance on the floor: nearer, %s would pass the daily dose of UV-A", day.Name),
			Assumed: "an eye that stays there all the time; outputs at their upper end; half as much for children wants about 1.4 times the distance"}
		r.Add(f.At(u.Name.Pos))
	}
}

// busiest returns the seconds at full of each drive on the day with most; a
// rehearsal counts at the mean of the time that the unit is on.
func (r *limits) busiest(days []Day, integrals []float64, on time.Duration) ([]float64, Day) {
	var best []float64
	var when Day
	most := -1.0
	for _, d := range days {
		seconds := make([]float64, len(integrals))
		total := 0.0
		for i, v := range integrals {
			seconds[i] = float64(d.Shows) * v
			if on > 0 {
				seconds[i] += v * d.Rehearsal.Seconds() / on.Seconds()
			}
			total += seconds[i]
		}
		if total > most {
			most, best, when = total, seconds, d
		}
	}
	return best, when
}

// uvOn returns how long any ultraviolet drive from one to another is on. A drive counts
// as ultraviolet when more than a hundredth of its radiant power is UV-A; its blue tail
// alone would keep every lamp on.
func (r *limits) uvOn(from, to int) time.Duration {
	t, tr := r.Trace(), r.Transport()
	total := time.Duration(0)
	for v := 1; v < len(t.Times); v++ {
		for d := from; d < to; d++ {
			if tr.Lights[tr.Light[d]].Weight[room.UVA] > .01 && max(t.Levels[v-1][d], t.Levels[v][d]) > 0 {
				total += t.Times[v] - t.Times[v-1]
				break
			}
		}
	}
	return total
}
