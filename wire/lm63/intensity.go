package lm63

import (
	"math"
	"sort"
)

const degree = math.Pi / 180

// Candela returns the intensity in a direction of the luminaire, which need not be of length 1.
// Between angles of the table it is linear in both; outside them there is none.
func (f *File) Candela(x, y, z float64) float64 {
	far := math.Sqrt(x*x + y*y + z*z)
	if far == 0 {
		return 0
	}
	x, y, z = x/far, y/far, z/far
	switch f.Type {
	case A:
		return f.at(math.Asin(y)/degree, f.side(math.Atan2(x, z)/degree))
	case B:
		return f.at(math.Atan2(y, z)/degree, f.side(math.Asin(x)/degree))
	}
	// acos of the cosine alone loses half the digits near the axis.
	return f.at(math.Atan2(math.Hypot(x, y), z)/degree, f.around(math.Atan2(y, x)/degree))
}

// around folds a horizontal angle of type C into the part that the table has.
func (f *File) around(h float64) float64 {
	h = math.Mod(h+720, 360)
	first, last := f.Horizontal[0], f.Horizontal[len(f.Horizontal)-1]
	switch {
	case len(f.Horizontal) == 1:
		return first
	case first == 90 && last == 270:
		if h < 90 {
			h = 180 - h
		} else if h > 270 {
			h = 540 - h
		}
	case last == 90:
		h = math.Min(h, 360-h)
		h = math.Min(h, 180-h)
		if h < 0 {
			h = -h
		}
	case last == 180:
		h = math.Min(h, 360-h)
	}
	return math.Min(math.Max(h, first), last)
}

// side mirrors a horizontal angle of types A and B, whose tables may have one side alone.
func (f *File) side(h float64) float64 {
	if f.Horizontal[0] >= 0 {
		return math.Abs(h)
	}
	return h
}

// at looks the table up; a table of one vertical angle, or one horizontal, has it everywhere.
func (f *File) at(v, h float64) float64 {
	if f.Type != C && f.Vertical[0] >= 0 {
		v = math.Abs(v)
	}
	i, s, in := find(f.Vertical, v)
	j, t, also := find(f.Horizontal, h)
	if !in || !also {
		return 0
	}
	row := func(j int) float64 { return f.Table[j][i]*(1-s) + f.Table[j][min(i+1, len(f.Vertical)-1)]*s }
	return f.Factor() * (row(j)*(1-t) + row(min(j+1, len(f.Table)-1))*t)
}

// find returns the last angle that is not above v, and how far v is on the way to the next one.
func find(list []float64, v float64) (i int, share float64, in bool) {
	const slack = 1e-9
	last := len(list) - 1
	if last == 0 {
		return 0, 0, true
	}
	if v < list[0]-slack || v > list[last]+slack {
		return 0, 0, false
	}
	i = min(max(sort.SearchFloat64s(list, v)-1, 0), last-1)
	return i, math.Min(math.Max((v-list[i])/(list[i+1]-list[i]), 0), 1), true
}

// Zone is the light between two angles off the axis.
type Zone struct{ From, To, Lumens float64 }

// Zones returns the zonal lumens of a type C file between its vertical angles: the mean of the candela at both
// ends times 2π(cos From - cos To), as photometric reports have them. In narrow beams that is too
// much: for cos^40 by 5 % with angles 5° apart, by 0.2 % with 1°.
func (f *File) Zones() []Zone {
	if f.Type != C {
		return nil
	}
	mean := f.Mean()
	var out []Zone
	for i := 1; i < len(f.Vertical); i++ {
		a, b := f.Vertical[i-1], f.Vertical[i]
		out = append(out, Zone{a, b, (mean[i-1] + mean[i]) / 2 * 2 * math.Pi * (math.Cos(a*degree) - math.Cos(b*degree))})
	}
	return out
}

// Mean is the candela of a type C file by vertical angle, all around: by trapezoids over the horizontal
// angles that it has.
func (f *File) Mean() []float64 {
	out := make([]float64, len(f.Vertical))
	last := len(f.Horizontal) - 1
	for i := range out {
		if last == 0 {
			out[i] = f.Factor() * f.Table[0][i]
			continue
		}
		sum := 0.0
		for j := range last {
			sum += (f.Table[j][i] + f.Table[j+1][i]) / 2 * (f.Horizontal[j+1] - f.Horizontal[j])
		}
		out[i] = f.Factor() * sum / (f.Horizontal[last] - f.Horizontal[0])
	}
	return out
}

// Flux is all the light in lumens. In types A and B the mean of a patch's four corners counts for its solid
// angle, and a side that the table leaves out for its mirror image.
func (f *File) Flux() float64 {
	sum := 0.0
	if f.Type == C {
		for _, z := range f.Zones() {
			sum += z.Lumens
		}
		return sum
	}
	// The polar axis: upright in A, so that patches shrink with the vertical angle; across in B.
	for j := 1; j < len(f.Horizontal); j++ {
		for i := 1; i < len(f.Vertical); i++ {
			h, v := [2]float64{f.Horizontal[j-1] * degree, f.Horizontal[j] * degree}, [2]float64{f.Vertical[i-1] * degree, f.Vertical[i] * degree}
			patch := (h[1] - h[0]) * (math.Sin(v[1]) - math.Sin(v[0]))
			if f.Type == B {
				patch = (v[1] - v[0]) * (math.Sin(h[1]) - math.Sin(h[0]))
			}
			sum += patch * (f.Table[j-1][i-1] + f.Table[j-1][i] + f.Table[j][i-1] + f.Table[j][i]) / 4
		}
	}
	for _, list := range [][]float64{f.Horizontal, f.Vertical} {
		if list[0] >= 0 {
			sum *= 2
		}
	}
	return sum * f.Factor()
}

// Round tells whether the intensity is the same all around the axis.
func (f *File) Round() bool { return f.Type == C && len(f.Horizontal) == 1 }
