package seen

import (
	"math"

	"lampblack/check/flash"
	"lampblack/room"
)

// lens is a unit as a lamp to look into. It is by unit, whatever eye looks into it: a
// lens on the scale of its own full output flashes the same for all.
type lens struct {
	flashes []flash.Flash
	output  []float32 // by corner, of its full output
	pattern [3]int    // as of a piece
	set     [3]int
}

// relative is WCAG's rule on a scale of 0 to 1.
var relative = flash.Rule{Source: "WCAG 2.2 SC 2.3.1", Step: .1, Bright: .8, Most: 3}

// lensFlashes finds the flashes of each unit by itself, on the scale of its own full
// output: changes of a tenth, as WCAG has them for relative luminance. Watts are
// radiant, so that a lamp's ultraviolet counts as light here: what is asked is whether
// the unit changes, and the eye's own sight is asked when an eye looks into it. A drive
// of some of the cells has that share of the emitter's watts.
func (e *Eyes) lensFlashes(light *Light) []lens {
	out := make([]lens, len(e.rig.Units))
	each(len(out), func(u int) {
		from, _ := e.rig.UnitDrives(u)
		watts, whole := e.watts(u)
		output := outputs(light, from, watts, whole)
		out[u] = lens{flashes: flash.General(&relative, light.Times, output), output: output}
	})
	return out
}

// watts is what each drive of a unit gives at full, and all of them.
func (e *Eyes) watts(unit int) (watts []float64, whole float64) {
	from, to := e.rig.UnitDrives(unit)
	for d := from; d < to; d++ {
		cells := float64(e.rig.Units[unit].Type.CellCount())
		w := e.rig.Emitter(d).Light.Watts * float64(len(e.rig.Drives[d].Cells)) / cells
		watts = append(watts, w)
		whole += w
	}
	return watts, whole
}

// outputs is the light of a unit at every corner, as a share of the whole that
// its drives, from one on, give at full.
func outputs(light *Light, from int, watts []float64, whole float64) []float32 {
	out := make([]float32, len(light.Times))
	if whole <= 0 {
		return out
	}
	for v, levels := range light.Levels {
		sum := 0.0
		for i, w := range watts {
			sum += w * float64(levels[from+i])
		}
		out[v] = float32(sum / whole)
	}
	return out
}

// lensSolid is the solid angle of a unit's openings that an eye sees: the front face of
// the unit, seen at a slant. Ω = A cos θ / d². Lenses are smaller than the face that
// holds them, so this is an upper bound. cos is held at .01 or more, as a view exists
// at all only where something of the lens is seen. In a flat mirror an image is as large as
// the thing (d the whole way of its light): it is taken whole where the middle of a cell is seen in it.
func (e *Eyes) lensSolid(v *room.View) float64 {
	u := &e.rig.Units[v.Unit]
	if u.Type == nil || v.Distance <= 0 {
		return 0
	}
	face := float64(u.Type.Size[0]) * float64(u.Type.Size[1]) * float64(len(v.Cells)) / float64(u.Type.CellCount())
	eye := e.transport.LensFrom(v)
	cos, axis, back := 0.0, 0.0, 0.0
	for k := range eye {
		a, b := float64(u.Aim[k]-u.At[k]), float64(eye[k]-u.At[k])
		cos += a * b
		axis += a * a
		back += b * b
	}
	if axis == 0 || back == 0 {
		return 0
	}
	return face * max(cos/math.Sqrt(axis*back), .01) / back
}

// alight is the share of a lens's light from which it counts as lit: a lamp that flashes by itself goes
// from dark to what it gives, and in the dark that is seen however little it is.
const alight = .001

// lit tells whether the lens gives light at any of the corners.
func (l *lens) lit(first, last int) bool {
	for v := first; v <= last; v++ {
		if l.output[v] >= alight {
			return true
		}
	}
	return false
}
