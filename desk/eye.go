package desk

import (
	"math"
	"sort"

	"lampblack/light"
	"lampblack/room"
	"lampblack/show"
)

// eye sees the difference of two states of the rig.
type eye struct {
	things []thing
}

// thing is a part of what the audience sees: a surface, object or wall, each
// in two halves, left and right.
type thing struct {
	name   string
	weight float64 // share of the harm
	rows   []light.XYZ
}

// adapted is the least luminance, in cd/m2, that an audience in a darkened hall
// takes for white: differences far below it are not seen (a design choice,
// of the size of a dim picture).
const adapted = 1.0

// newEye gathers what the seats see of the room. Halves are enough to see that light
// has moved from one side to the other, and few enough that thousands of comparisons
// cost nothing. The field is the solid angle of a patch summed over all seats, so what
// many see counts more; performers' eyes do not count.
func newEye(s *show.Show) *eye {
	t := s.Transport
	field := make([]float64, len(t.Places))
	for i, at := range t.Eyes {
		if t.Places[at].Kind != room.KindSeat {
			continue
		}
		for p, sr := range t.Solid[i] {
			field[p] += float64(sr)
		}
	}
	parts := map[string]*thing{}
	var names []string
	for p := range t.Places {
		if field[p] <= 0 || t.Places[p].Panel < 0 {
			continue
		}
		name := t.Places[p].Name
		if t.Places[p].At[0] < 0 {
			name += ", left"
		} else {
			name += ", right"
		}
		if parts[name] == nil {
			parts[name] = &thing{name: name, rows: make([]light.XYZ, len(t.Light))}
			names = append(names, name)
		}
		parts[name].add(t.ColourRow(p), field[p])
	}
	sort.Strings(names)
	e := &eye{}
	for _, name := range names {
		e.things = append(e.things, parts[name].settled())
	}
	e.normalise()
	return e
}

func (t *thing) add(row []light.XYZ, field float64) {
	t.weight += field
	for d, c := range row {
		t.rows[d] = t.rows[d].Plus(c, field)
	}
}

// settled turns sums over the field into means, and the field into its root. The root
// lets a small thing count for more than its share of the field: eyes go to what glows,
// not to the largest wall (this tool's choice).
func (t *thing) settled() thing {
	for d := range t.rows {
		t.rows[d] = t.rows[d].Times(1 / t.weight)
	}
	return thing{t.name, math.Sqrt(t.weight), t.rows}
}

func (e *eye) normalise() {
	total := 0.0
	for _, t := range e.things {
		total += t.weight
	}
	for i := range e.things {
		e.things[i].weight /= total
	}
}

// sight is what a state looks like: one luminance, as colour, for each thing.
type sight []light.XYZ

// see returns the sight of a state.
func (e *eye) see(levels []float32) sight {
	out := make(sight, len(e.things))
	for i := range e.things {
		var sum light.XYZ
		for d, l := range levels {
			if l != 0 {
				sum = sum.Plus(e.things[i].rows[d], float64(l))
			}
		}
		out[i] = sum
	}
	return out
}

// difference compares two sights under one white, daylight at the brightest luminance
// in either: mean is the weighted root mean square of CIEDE2000 over all things, most
// that of the thing that differs most. One white for both, since the audience's eyes
// are adapted to neither alone; without the floor of 1 cd/m² two states that are both
// all but black would count as black and white.
func (e *eye) difference(a, b sight) (mean, most float64) {
	white := light.XYZ{X: .95047, Y: 1, Z: 1.08883}.Times(max(adapted, a.brightest(), b.brightest()))
	sum := 0.0
	for i := range e.things {
		d := light.DeltaE2000(a[i].Lab(white), b[i].Lab(white))
		sum += e.things[i].weight * d * d
		most = max(most, d)
	}
	return math.Sqrt(sum), most
}

func (s sight) brightest() float64 {
	y := 0.0
	for _, c := range s {
		y = max(y, c.Y)
	}
	return y
}
