package show

import (
	"math"
	"slices"

	"lampblack/score"
)

// abreast is how near to one another, along an order, units are one place of it.
const abreast = 0.1 // m; for what goes round, rad

// ranks gives each of the units its place in an order, from 0, by unit of the rig, and says
// how many places there are. It goes by where units hang, so another rig has the same order in spirit.
func (s *Show) ranks(units []aliveUnit, o score.Order) (rank []int, n int) {
	at := make([][3]float64, len(units))
	for k := range units {
		for i, v := range s.Rig.Units[units[k].unit].At {
			at[k][i] = float64(v)
		}
	}
	along := measured(at, o)
	order := make([]int, len(units))
	for k := range order {
		order[k] = k
	}
	slices.SortStableFunc(order, func(a, b int) int {
		switch {
		case along[a] < along[b]:
			return -1
		case along[a] > along[b]:
			return 1
		}
		return 0
	})
	rank = make([]int, len(s.Rig.Units))
	first := math.Inf(-1) // of the place
	for _, k := range order {
		if along[k]-first > abreast {
			first = along[k]
			n++
		}
		rank[units[k].unit] = n - 1
	}
	return rank, n
}

// measured says how far along an order each point lies.
func measured(at [][3]float64, o score.Order) []float64 {
	var middle [3]float64
	for _, p := range at {
		for i := range middle {
			middle[i] += p[i] / float64(len(at))
		}
	}
	out := make([]float64, len(at))
	for k, p := range at {
		x, y := p[0]-middle[0], p[1]-middle[1]
		switch o {
		case score.RightToLeft:
			out[k] = -p[0]
		case score.FrontToBack:
			out[k] = p[1]
		case score.BackToFront:
			out[k] = -p[1]
		case score.Upward:
			out[k] = p[2]
		case score.Downward:
			out[k] = -p[2]
		case score.Outward:
			out[k] = math.Hypot(x, y)
		case score.Inward:
			out[k] = -math.Hypot(x, y)
		case score.Round: // from the front left on, as a clock goes seen from above
			out[k] = math.Mod(3*math.Pi/2+math.Pi/4-math.Atan2(y, x)+2*math.Pi, 2*math.Pi)
		default:
			out[k] = p[0]
		}
	}
	return out
}

// way is how far along a wave's way, in metres from where it begins, the light of each of the
// units falls, by unit of the rig.
func (s *Show) way(b *score.Through, units []aliveUnit) []float64 {
	at := make([][3]float64, len(units))
	for k := range units {
		at[k] = s.falls(units[k].unit)
	}
	var along []float64
	if b.Point == nil {
		along = measured(at, b.Direction)
		least := slices.Min(along)
		for k := range along {
			along[k] -= least
		}
	} else {
		for _, p := range at {
			sum := 0.0
			for i, v := range b.Point {
				sum += (p[i] - float64(v)) * (p[i] - float64(v))
			}
			along = append(along, math.Sqrt(sum))
		}
	}
	out := make([]float64, len(s.Rig.Units))
	for k := range units {
		out[units[k].unit] = along[k]
	}
	return out
}

// falls is where the light of a unit falls: the middle of the surfaces by how much of its
// direct light each piece of them gets. Where none falls on any, it is where it hangs.
func (s *Show) falls(unit int) [3]float64 {
	var middle [3]float64
	for i, v := range s.Rig.Units[unit].At {
		middle[i] = float64(v)
	}
	if s.Transport == nil {
		return middle
	}
	from, to := s.Rig.UnitDrives(unit)
	var sum [3]float64
	whole := 0.0
	for p := range s.Transport.Places {
		place := &s.Transport.Places[p]
		if place.Panel < 0 || place.Area <= 0 {
			continue
		}
		power := 0.0 // W
		for d := from; d < to; d++ {
			power += float64(s.Transport.Straight(p, d)) * place.Area
		}
		whole += power
		for i := range sum {
			sum[i] += power * float64(place.At[i])
		}
	}
	if whole <= 0 {
		return middle
	}
	for i := range sum {
		sum[i] /= whole
	}
	return sum
}
