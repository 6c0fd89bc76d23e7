package page

import (
	"cmp"
	"slices"

	"lampblack/room"
)

// Loss is what a look loses without a unit: of what lies in its light, that which loses most.
type Loss struct {
	Look  string  `json:"look"`
	On    string  `json:"on"`    // a surface, an object
	Share float64 `json:"share"` // of the light on it, 0 to 1
}

// leastLoss is the least share of a thing's light that is worth a word.
const leastLoss = .05

// Without lists what looks lose without a unit, those that lose most first: the looks as they are, and nothing in the
// unit's place. Light is W/m² of all wavelengths, as black light counts too.
func (b *Book) Without(unit string) []Loss {
	s, out := b.show, []Loss{}
	u := s.Rig.Index(unit)
	if u < 0 || s.Transport == nil {
		return out
	}
	from, to := s.Rig.UnitDrives(u)
	rows := map[string][]float64{}
	for _, name := range s.Transport.Names() {
		if row := s.Transport.MeanRow(name, room.Radiant); row != nil {
			rows[name] = row
		}
	}
	known := map[string]bool{}
	for i := range s.Looks {
		l := &s.Looks[i]
		worst := Loss{Look: l.Name}
		for name, row := range rows {
			all, own := dot(row, l.Levels, 0, len(row)), dot(row, l.Levels, from, to)
			if all <= 0 {
				continue
			}
			if share := own / all; share > worst.Share || share == worst.Share && name < worst.On {
				worst.On, worst.Share = name, share
			}
		}
		if worst.Share >= leastLoss && !known[l.Name] {
			known[l.Name] = true
			out = append(out, worst)
		}
	}
	slices.SortStableFunc(out, func(a, b Loss) int { return cmp.Compare(b.Share, a.Share) })
	return out
}

func dot(row []float64, levels []float32, from, to int) (sum float64) {
	for d := from; d < to; d++ {
		sum += row[d] * float64(levels[d])
	}
	return sum
}
