package seen

import (
	"fmt"
	"slices"
	"time"

	"lampblack/check/flash"
)

// train is one unit, or all at once, that flash by themselves for a while at
// one rate.
type train struct {
	flash.Train
	units       []int
	spans       [][2]int // of the units' drives, ascending
	first, last int      // corners of the light
	joint       bool
	kind        int // index in Scene.kinds
}

// sort puts trains of the same units over the same light into one kind: a look that
// comes back flashes what it flashed before. The light is told by the levels at both
// ends of the span: a fade between the same two states is the same.
func (s *Scene) sort(l *Light) {
	seen := map[string]int{}
	for i := range s.trains {
		k := &s.trains[i]
		key := fmt.Sprint(k.units, l.Levels[k.first], l.Levels[k.last])
		kind, known := seen[key]
		if !known {
			kind = len(s.kinds)
			seen[key] = kind
			s.kinds = append(s.kinds, i)
		}
		k.kind = kind
	}
}

// own picks the drives of the train's units out of an ascending list.
func (k *train) own(active []int) []int {
	var out []int
	for _, s := range k.spans {
		from, _ := slices.BinarySearch(active, s[0])
		to, _ := slices.BinarySearch(active, s[1])
		out = append(out, active[from:to]...)
	}
	return out
}

// trainsOf lists the spans in which units flash by themselves. For each span and unit
// there is a train; where several flash at once there is a joint one as well, for
// pieces that none alone makes flash. A span ends where the next rate begins, so its
// last corner is that of the next span's first.
func trainsOf(l *Light) []train {
	var out []train
	for first := 0; first < len(l.Times); {
		last := first
		for last+1 < len(l.Times) && slices.Equal(l.Rates[last+1], l.Rates[first]) {
			last++
		}
		end := last
		if last+1 < len(l.Times) {
			end = last + 1
		}
		out = append(out, spanTrains(l, first, last, l.Times[first], l.Times[end])...)
		first = last + 1
	}
	return out
}

// spanTrains makes the trains of one span, from corner first to corner last. The joint
// one has the fastest of the rates and all the units.
func spanTrains(l *Light, first, last int, from, to time.Duration) []train {
	var out []train
	var units []int
	fastest := float32(0)
	for u, rate := range l.Rates[first] {
		if rate > 0 {
			units = append(units, u)
			fastest = max(fastest, rate)
			out = append(out, train{Train: flash.Train{From: from, To: to, Rate: float64(rate), Source: u}, units: []int{u}, first: first, last: last})
		}
	}
	if len(units) > 1 {
		out = append(out, train{Train: flash.Train{From: from, To: to, Rate: float64(fastest), Source: -1}, units: units, first: first, last: last, joint: true})
	}
	return out
}
