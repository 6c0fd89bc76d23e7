package described

import (
	"math"
	"slices"

	"lampblack/light"
	"lampblack/rig"
)

// pieces cuts the values of a slot into stretches that a function each can say.
func (w *writer) pieces(s *rig.Slot, lit bool) []piece {
	if !lit && len(s.Ranges) == 0 {
		return []piece{{from: 0, to: 255, does: rig.Nothing}}
	}
	var out []piece
	next := 0
	fill := func(to int) {
		if next > to {
			return
		}
		if lit && !slices.ContainsFunc(s.Ranges, func(r rig.Range) bool { return r.Does == rig.Level || r.Does == rig.LevelDown }) {
			out = append(out, shining(s.Curve.Light(), 0, next, to)...)
		} else {
			out = append(out, piece{from: next, to: to, does: rig.Never})
		}
	}
	if s.Fine > 0 && lit { // of a pair rig takes no ranges
		out := shining(s.Curve.Light().Wide(), 0, 0, 65535)
		for i := range out {
			out[i].wide = true
		}
		return out
	}
	for i := range s.Ranges {
		r := &s.Ranges[i]
		fill(r.From - 1)
		if (r.Does == rig.Level || r.Does == rig.LevelDown) && lit {
			curve := s.Curve.Light()
			curve.Max = uint16(r.To - r.From)
			curve.Full = min(curve.Full, curve.Max)
			list := shining(curve, r.From, r.From, r.To)
			if r.Does == rig.LevelDown {
				list = upsideDown(list, r.From+r.To)
			}
			out = append(out, list...)
		} else {
			out = append(out, piece{from: r.From, to: r.To, does: r.Does, r: r})
		}
		next = r.To + 1
	}
	fill(255)
	return out
}

// shining cuts a curve that begins at value zero into a dark stretch, one or more in which a cubic holds, and
// a full one, as far as they lie from one value to another.
func shining(c light.Curve, zero, from, to int) []piece {
	last := int(c.Max)
	if last == 0 {
		last = 255
	}
	full := int(c.Full)
	if full == 0 {
		full = last
	}
	var out []piece
	add := func(a, b int, law [4]float64) {
		a, b = max(a, from), min(b, to)
		if a > b {
			return
		}
		out = append(out, piece{from: a, to: b, a: c.Level(uint16(a - zero)), b: c.Level(uint16(b - zero)), law: law})
	}
	dark := int(c.Dark)
	add(zero, zero+dark-1, [4]float64{})
	switch c.Law {
	case light.Measured:
		// Pieces end at the last value that is not above a knot, so that none has one inside.
		at := func(k int) int { return zero + dark + int(math.Floor(c.Knots[k].Travel*float64(full-dark)+1e-9)) }
		for i := 1; i < len(c.Knots); i++ {
			a := zero + dark
			if i > 1 {
				a = at(i-1) + 1
			}
			add(a, at(i), [4]float64{})
		}
	case light.Square:
		add(zero+dark, zero+full, cubic([4]float64{0, 0, 1, 0}, zero+dark, zero+full, from, to))
	case light.SCurve:
		add(zero+dark, zero+full, cubic([4]float64{0, 0, 3, -2}, zero+dark, zero+full, from, to))
	default:
		add(zero+dark, zero+full, [4]float64{})
	}
	add(zero+full+1, zero+last, [4]float64{})
	return out
}

// upsideDown is pieces upside down, about the middle of two values of this sum: 1 - f(1-x) of each law.
func upsideDown(list []piece, sum int) []piece {
	slices.Reverse(list)
	for i := range list {
		p := &list[i]
		p.from, p.to, p.a, p.b = sum-p.to, sum-p.from, p.b, p.a
		if l := p.law; l != [4]float64{} {
			p.law = [4]float64{0, l[1] + 2*l[2] + 3*l[3], -l[2] - 3*l[3], l[3]}
		}
	}
	return list
}

// cubic is a law over the travel from a to b, as one over the part of it from one value to another, from 0 to 1
// both ways.
func cubic(law [4]float64, a, b, from, to int) [4]float64 {
	from, to = max(a, from), min(b, to)
	if from >= to || b <= a {
		return [4]float64{}
	}
	u0, d := float64(from-a)/float64(b-a), float64(to-from)/float64(b-a)
	// Of u = u0 + d·x.
	at := [4]float64{
		law[0] + u0*(law[1]+u0*(law[2]+u0*law[3])),
		d * (law[1] + u0*(2*law[2]+3*u0*law[3])),
		d * d * (law[2] + 3*u0*law[3]),
		d * d * d * law[3],
	}
	rise := at[1] + at[2] + at[3]
	if rise <= 0 {
		return [4]float64{}
	}
	return [4]float64{0, digits(at[1]/rise, 9), digits(at[2]/rise, 9), digits(at[3]/rise, 9)}
}
