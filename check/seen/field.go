package seen

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"time"

	"lampblack/check/flash"
)

// Kind chooses which flashes are counted.
type Kind int

const (
	// GeneralBT counts contrasts above 160 cd/m² as well, so it is the stricter of the two
	// for general flashes, and judges; WCAG is counted only to say where the two differ.
	GeneralBT Kind = iota
	GeneralWCAG
	RedWCAG
)

// areaLimit is a quarter of the field, 0.006 sr (WCAG 2.2).
const areaLimit = flash.FieldSize / 4

// pattern is the flashes that some pieces or lenses have in common. Pieces that one cue
// lights flash at the same instants, so there are few patterns, and the areas of one
// pattern just add up. A pattern is immutable once it is found.
type pattern struct{ flashes []flash.Flash }

// findPatterns finds the patterns of the scene, with dates to the millisecond. The key
// is the dates and directions of the flashes as bytes; rounding to a millisecond, the
// trace's own step, lets pieces whose half-way points differ by less fall together.
func (sc *Scene) findPatterns() {
	known := map[string]int{}
	number := func(list []flash.Flash) int {
		if len(list) == 0 {
			return -1
		}
		key := make([]byte, 0, 12*len(list))
		for i := range list {
			list[i].At = list[i].At.Round(time.Millisecond)
			for at, up := uint64(list[i].At), list[i].Up; ; at >>= 8 {
				if at == 0 {
					if up {
						key = append(key, 1)
					}
					key = append(key, 0xFF)
					break
				}
				key = append(key, byte(at))
			}
		}
		n, ok := known[string(key)]
		if !ok {
			n = len(sc.patterns)
			known[string(key)] = n
			sc.patterns = append(sc.patterns, pattern{list})
		}
		return n
	}
	for i := range sc.pieces {
		p := &sc.pieces[i]
		p.pattern = [3]int{GeneralBT: number(p.general), GeneralWCAG: number(p.wcag), RedWCAG: number(p.red)}
	}
	for u := range sc.lenses {
		n := number(sc.lenses[u].flashes)
		sc.lenses[u].pattern = [3]int{GeneralBT: n, GeneralWCAG: n, RedWCAG: -1}
	}
}

// patternOf returns the pattern of an item, -1 when it has no such flashes.
func (sc *Scene) patternOf(item *eyeItem, k Kind) int {
	if item.piece < 0 {
		return sc.lenses[item.unit].pattern[k]
	}
	return sc.pieces[item.piece].pattern[k]
}

// field is one direction to look in, and what flashes there. spots and trains are in
// sr; areas of one pattern are simply added, since pieces do not overlap.
type field struct {
	centre [3]float64
	area   float64   // of all that ever flashes
	spots  []float64 // area by pattern
	trains []float64 // area by kind of train
}

// centres are directions to look in: at the items, no two nearer than a fifth of the
// field, and a third of the field beside each of them. This is a search over directions
// that is not complete: the worst field is mostly centred on what flashes, or a bit
// beside it to take in two groups. A grid of all directions would cost hundreds of
// times as much; what it would find beyond this has not been measured.
func (s *sight) centres() [][3]float64 {
	at := s.places()
	out := slices.Clone(at)
	for _, c := range at {
		right, up := across(c)
		for _, turn := range [][2]float64{{1, 0}, {-1, 0}, {0, 1}, {0, -1}} {
			var d [3]float64
			for k := range d {
				d[k] = c[k] + math.Tan(2*fieldHalf/3)*(turn[0]*right[k]+turn[1]*up[k])
			}
			out = append(out, unitVector(d))
		}
	}
	return out
}

// places are where items are, no two nearer than a fifth of the field.
func (s *sight) places() [][3]float64 {
	var at [][3]float64
	for _, item := range s.items {
		near := slices.ContainsFunc(at, func(c [3]float64) bool { return angle(c, item.direction) < 2*fieldHalf/5 })
		if !near {
			at = append(at, item.direction)
		}
	}
	return at
}

// across returns two directions at right angles to c and to each other. Looking
// straight up or down, where no direction is level, it takes x.
func across(c [3]float64) (right, up [3]float64) {
	right = [3]float64{c[1], -c[0], 0}
	if math.Hypot(c[0], c[1]) < 1e-6 {
		right = [3]float64{1, 0, 0}
	}
	right = unitVector(right)
	up = [3]float64{right[1]*c[2] - right[2]*c[1], right[2]*c[0] - right[0]*c[2], right[0]*c[1] - right[1]*c[0]}
	return right, up
}

func unitVector(d [3]float64) [3]float64 {
	length := max(math.Sqrt(d[0]*d[0]+d[1]*d[1]+d[2]*d[2]), 1e-12)
	return [3]float64{d[0] / length, d[1] / length, d[2] / length}
}

// fieldAt adds up what the eye sees flash around a direction. An item at the rim of the
// field counts by the share of it that lies inside. area is what flashes at all, each
// item once, by which worst sorts.
func (s *sight) fieldAt(sc *Scene, centre [3]float64, k Kind) field {
	f := s.add(sc, k, func(item *eyeItem) float64 {
		apart := angle(centre, item.direction)
		if apart >= item.radius+fieldHalf {
			return 0
		}
		return overlap(item.radius, fieldHalf, apart)
	})
	f.centre = centre
	return f
}

// whole adds up all that the eye sees flash, wherever it looks: no field has more of
// anything. A hundredth more is what overlap is off by.
func (s *sight) whole(sc *Scene, k Kind) field {
	return s.add(sc, k, func(item *eyeItem) float64 { return 1.01 * 2 * math.Pi * (1 - math.Cos(item.radius)) })
}

// add adds up areas of items by what they flash.
func (s *sight) add(sc *Scene, k Kind, area func(item *eyeItem) float64) field {
	f := field{spots: make([]float64, len(sc.patterns)), trains: make([]float64, len(sc.kinds))}
	sets := make([]float64, len(sc.sets))
	for i := range s.items {
		item := &s.items[i]
		shared := area(item)
		if shared == 0 {
			continue
		}
		flashes := false
		if n := sc.patternOf(item, k); n >= 0 {
			f.spots[n] += shared
			flashes = true
		}
		if set := sc.setOf(item, k); set > 0 {
			sets[set] += shared
			flashes = true
		}
		if flashes {
			f.area += shared
		}
	}
	for set, area := range sets {
		for _, kind := range sc.sets[set] {
			f.trains[kind] += area
		}
	}
	return f
}

// count returns the worst second of the field, for flashes of more than area.
func (f *field) count(sc *Scene, area float64) flash.Window {
	var spots []flash.Spot
	for n, a := range f.spots {
		if a > 0 {
			spots = append(spots, flash.Spot{Area: a, Flashes: sc.patterns[n].flashes})
		}
	}
	return flash.Count(spots, sc.counted(f.trains, area), area)
}

// worst returns the worst second of the eye in any field, and the area of what flashes
// in it. Fields with most area come first, and the search ends when none can be worse:
// when one has as many as a field would that had each pattern with the most area that
// any has of it. A field with less than a quarter that flashes cannot fail, and is not
// kept. Area only decides which events count, so the field with the most of everything
// bounds them all. It ends as well when a field has enough.
func (s *sight) worst(sc *Scene, k Kind, enough int) (best flash.Window, area float64) {
	all := field{spots: make([]float64, len(sc.patterns)), trains: make([]float64, len(sc.kinds))}
	var fields []field
	for _, centre := range s.centres() {
		f := s.fieldAt(sc, centre, k)
		if f.area <= areaLimit {
			continue
		}
		fields = append(fields, f)
		for n, a := range f.spots {
			all.spots[n] = max(all.spots[n], a)
		}
		for n, a := range f.trains {
			all.trains[n] = max(all.trains[n], a)
		}
	}
	slices.SortStableFunc(fields, func(a, b field) int { return cmp.Compare(b.area, a.area) })
	bound := all.count(sc, areaLimit).Count
	for i := range fields {
		if best.Count >= min(bound, enough) {
			break
		}
		w := fields[i].count(sc, areaLimit)
		if w.Count <= best.Count {
			continue
		}
		best, area = w, 0
		for _, e := range w.Events {
			area = max(area, e.Area)
		}
		for _, t := range w.Trains {
			area = max(area, fields[i].trains[sc.trains[t.Source].kind])
		}
	}
	return best, area
}

// findSets finds which pieces and lenses the same kinds of train make flash. Set 0 is
// of those that none does. As with patterns, there are few sets, so adding areas by set
// first and by kind afterwards saves most of the work.
func (sc *Scene) findSets() {
	known := map[string]int{"[]": 0}
	sc.sets = [][]int{nil}
	number := func(kinds []int) int {
		key := fmt.Sprint(kinds)
		n, ok := known[key]
		if !ok {
			n = len(sc.sets)
			known[key] = n
			sc.sets = append(sc.sets, kinds)
		}
		return n
	}
	for i := range sc.pieces {
		p := &sc.pieces[i]
		var general, red []int
		for kind, b := range p.blinks {
			if b.general {
				general = append(general, kind)
			}
			if b.red {
				red = append(red, kind)
			}
		}
		g := number(general)
		p.set = [3]int{GeneralBT: g, GeneralWCAG: g, RedWCAG: number(red)}
	}
	for u := range sc.lenses {
		var own []int
		for kind, t := range sc.kinds {
			if tr := &sc.trains[t]; slices.Contains(tr.units, u) && sc.lenses[u].lit(tr.first, tr.last) {
				own = append(own, kind)
			}
		}
		n := number(own)
		sc.lenses[u].set = [3]int{GeneralBT: n, GeneralWCAG: n}
	}
}

// setOf returns the set of an item.
func (sc *Scene) setOf(item *eyeItem, k Kind) int {
	if item.piece < 0 {
		return sc.lenses[item.unit].set[k]
	}
	return sc.pieces[item.piece].set[k]
}

// counted returns the trains whose kind has more than the area. A joint train stands
// for those of its span that are too small alone, and counts when all are. Trains of a
// span stand in order, single ones before their joint one, so strong is known when that
// comes.
func (sc *Scene) counted(areas []float64, limit float64) []flash.Train {
	var out []flash.Train
	strong := -1 // first corner of the last span with a train that counts alone
	for t := range sc.trains {
		tr := &sc.trains[t]
		if areas[tr.kind] <= limit || tr.joint && tr.first == strong {
			continue
		}
		strong = tr.first
		one := tr.Train
		one.Source = t
		out = append(out, one)
	}
	return out
}
