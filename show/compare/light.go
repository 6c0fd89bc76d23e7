package compare

import (
	"cmp"
	"math"
	"slices"

	"lampblack/room"
	"lampblack/show"
)

const (
	// dim is the share of a look's brightest place from which a place counts as lit, and darkest
	// what counts as no light at all, lx.
	dim     = .05
	darkest = .01
)

// lit fills in what a look gives to every place, and what that is held against.
func (l *Look) lit(before, after *room.Transport, was, is []float32) {
	for _, name := range places(before, after) {
		l.Light = append(l.Light, Light{name, float64(before.Lux(name, was)), float64(after.Lux(name, is))})
	}
	l.dropUnlit()
	slices.SortStableFunc(l.Light, func(a, b Light) int { return cmp.Compare(b.After, a.After) })
	for i := range l.Wishes {
		w := &l.Wishes[i]
		if w.Wish != show.Illuminance || !w.Before.There || !w.After.There {
			continue
		}
		if !slices.Contains(l.Held, w.On) {
			l.Held = append(l.Held, w.On)
			l.Even = append(l.Even, Even{w.On, evenness(before, w.On, was), evenness(after, w.On, is)})
		}
	}
	l.General = l.general()
}

// dropUnlit leaves out what the look hardly lights in either room.
func (l *Look) dropUnlit() {
	was, is := 0., 0.
	for i := range l.Light {
		was, is = max(was, l.Light[i].Before), max(is, l.Light[i].After)
	}
	l.Light = slices.DeleteFunc(l.Light, func(p Light) bool {
		return max(p.Before, p.After) < darkest || p.Before < dim*was && p.After < dim*is
	})
}

// general is how many times the light is what it was where the look asks for lux, as a geometric
// mean; the median of all places where it asks for none.
func (l *Look) general() float64 {
	var all, held []float64
	for i := range l.Light {
		p := &l.Light[i]
		times := max(p.After, darkest) / max(p.Before, darkest)
		all = append(all, times)
		if slices.Contains(l.Held, p.On) {
			held = append(held, math.Log(times))
		}
	}
	switch {
	case len(all) == 0:
		return 0
	case len(held) > 0:
		sum := 0.
		for _, v := range held {
			sum += v
		}
		return math.Exp(sum / float64(len(held)))
	}
	l.Held = nil // what is asked for is not lit
	slices.Sort(all)
	if n := len(all); n%2 == 0 {
		return math.Sqrt(all[n/2-1] * all[n/2])
	}
	return all[len(all)/2]
}

// evenness is the least piece of a place over its mean; 0 where it has no light.
func evenness(t *room.Transport, name string, levels []float32) float64 {
	mean := float64(t.Lux(name, levels))
	if mean < darkest {
		return 0
	}
	least := math.Inf(1)
	for _, row := range t.PieceRows(name, room.Photopic) {
		sum := 0.
		for d, v := range row {
			sum += v * float64(levels[d])
		}
		least = min(least, sum)
	}
	return min(least/mean, 1)
}
