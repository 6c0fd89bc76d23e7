package seen

import (
	"math"
	"slices"
	"time"

	"lampblack/check/flash"
)

// Light is light over time as corners of straight lines: between two corners every drive
// runs straight.
type Light struct {
	Times  []time.Duration
	Levels [][]float32 // by corner, then drive
	Rates  [][]float32 // by corner, then unit: Hz of its own flashing, from this corner to the next
}

// Most returns the highest level of each drive.
func (l *Light) Most(drives int) []float32 {
	out := make([]float32, drives)
	for _, levels := range l.Levels {
		for d, v := range levels {
			out[d] = max(out[d], v)
		}
	}
	return out
}

// Scene is what all eyes see of some light, as far as it may flash: pieces of
// surfaces and lenses, with the flashes of each. A matt piece looks the same
// from everywhere, so its flashes are found once for all eyes. Nothing changes it;
// several goroutines may ask it at once.
type Scene struct {
	eyes   *Eyes
	pieces []piece
	lenses []lens // by unit
	trains []train
	kinds  []int // trains of which each stands for all that are like it
	sights []*sight

	patterns []pattern
	sets     [][]int   // kinds of train that some item flashes by
	top      []float32 // by drive: its highest level
}

// Over finds all flashes of the light. The order matters: trains come before pieces,
// which ask what each kind of train does to them; patterns and sets come last, as they
// number what was found.
func (e *Eyes) Over(l *Light) *Scene {
	s := &Scene{eyes: e, lenses: e.lensFlashes(l), top: l.Most(len(e.rig.Drives))}
	s.findTrains(l)
	s.pieces = e.pieces(s.top)
	each(len(s.pieces), func(i int) { s.pieces[i].find(l, s) })
	s.findPatterns()
	s.findSets()
	s.sights = make([]*sight, len(e.transport.Eyes))
	each(len(s.sights), func(i int) { s.sights[i] = s.sightOf(i) })
	return s
}

// findTrains finds the units that flash by themselves.
func (s *Scene) findTrains(l *Light) {
	s.trains = trainsOf(l)
	for i := range s.trains {
		for _, u := range s.trains[i].units {
			from, to := s.eyes.rig.UnitDrives(u)
			s.trains[i].spans = append(s.trains[i].spans, [2]int{from, to})
		}
	}
	s.sort(l)
}

// Worst returns the worst second of an eye (an index in Transport.Eyes) that looks
// anywhere, and the area in sr of what flashes in it. The source of a train in it is for
// Units.
func (s *Scene) Worst(eye int, k Kind) (w flash.Window, area float64) {
	return s.sights[eye].worst(s, k, math.MaxInt)
}

// first returns an eye that sees more than three flashes in a second, and the second, or
// -1 when none does; likely is asked before the others. Most of the work is saved by what
// bounds all eyes at once, and all fields of one: each pattern with all the area of it that
// is in sight.
func (s *Scene) first(k Kind, likely int) (eye int, w flash.Window) {
	bounds := make([]field, len(s.sights))
	all := field{spots: make([]float64, len(s.patterns)), trains: make([]float64, len(s.kinds))}
	for i := range s.sights {
		bounds[i] = s.sights[i].whole(s, k)
		for n, a := range bounds[i].spots {
			all.spots[n] = max(all.spots[n], a)
		}
		for n, a := range bounds[i].trains {
			all.trains[n] = max(all.trains[n], a)
		}
	}
	if all.count(s, areaLimit).Count <= flash.BT.Most {
		return -1, w
	}
	for i := range s.sights {
		eye := (i + likely) % len(s.sights)
		if bounds[eye].count(s, areaLimit).Count <= flash.BT.Most {
			continue
		}
		if w, _ := s.sights[eye].worst(s, k, flash.BT.Most+1); w.Count > flash.BT.Most {
			return eye, w
		}
	}
	return -1, w
}

// Together is the flashes of units on the scale of their own full output, whatever
// anybody sees of them. It asks for no area, since a lamp that one eye cannot see
// another can.
type Together struct {
	Spots  []flash.Spot  // by unit, each of area 1
	Trains []flash.Train // of units that flash by themselves, out of step
	InStep []flash.Train // the same, where several flash at once as one
}

// Together returns the flashes of all units.
func (s *Scene) Together() Together {
	out := Together{Spots: make([]flash.Spot, len(s.lenses))}
	for u := range s.lenses {
		out.Spots[u] = flash.Spot{Area: 1, Flashes: s.lenses[u].flashes}
	}
	for i := range s.trains {
		k := &s.trains[i]
		one := k.Train
		one.Source = i
		switch {
		case k.joint:
			out.InStep = append(out.InStep, one)
		case s.lenses[k.units[0]].lit(k.first, k.last):
			out.Trains = append(out.Trains, one)
		}
	}
	if len(out.InStep) == 0 {
		out.InStep = out.Trains
	}
	return out
}

// Units returns the units of the trains of a window or of Together, each once.
func (s *Scene) Units(trains []flash.Train) []int {
	var out []int
	for _, k := range trains {
		out = append(out, s.trains[k.Source].units...)
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// Swing is how far a unit's output goes between two corners of the light, both
// included, as a share of its full output.
func (s *Scene) Swing(unit, first, last int) float32 {
	output := s.lenses[unit].output[first : last+1]
	return slices.Max(output) - slices.Min(output)
}
