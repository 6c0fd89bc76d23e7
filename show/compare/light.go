package compare

import (
	"cmp"
	"math"
	"slices"

	"lampblack/room"
	"lampblack/show"
)

const (
	// dim is the share of a look's brightest place from which a place counts as seen, and darkest
	// what counts as dark, cd/m²; this tool's choices.
	dim     = .05
	darkest = .001
)

// place is something that both rooms have, with its brightness for every drive at full.
type place struct {
	name    string
	was, is []float64
}

// sharedPlaces are the surfaces, objects and boxes that both rooms have, and the floor; the walls too where
// nobody described more than them.
func sharedPlaces(before, after *room.Transport) (out []place) {
	if before == nil || after == nil {
		return nil
	}
	bare := !slices.ContainsFunc(after.Panels, func(p room.Panel) bool { return p.Kind != room.KindWall })
	for _, name := range after.Names() {
		if slices.ContainsFunc(out, func(p place) bool { return p.name == name }) || !bare && after.Places[after.Find(name)[0]].Kind == room.KindWall && name != "floor" {
			continue
		}
		if was, is := before.MeanLook(name), after.MeanLook(name); was != nil && is != nil {
			out = append(out, place{name: name, was: was, is: is})
		}
	}
	return out
}

// hold notes the places on which the look asks for lux, and how even their light is.
func (l *Look) hold(before, after *room.Transport, was, is []float32) {
	for i := range l.Wishes {
		w := &l.Wishes[i]
		if w.Wish == show.Illuminance && w.Before.There && w.After.There && !slices.Contains(l.Held, w.On) {
			l.Held = append(l.Held, w.On)
			l.Even = append(l.Even, Even{w.On, evenness(before, w.On, was), evenness(after, w.On, is)})
		}
	}
}

// lit fills in how bright places are, and what that is held against.
func (l *Look) lit(places []place, was, is []float32) {
	for i := range places {
		p := &places[i]
		l.Light = append(l.Light, Light{p.name, dot(p.was, was), dot(p.is, is)})
	}
	l.dropUnlit()
	slices.SortStableFunc(l.Light, func(a, b Light) int { return cmp.Compare(b.After, a.After) })
	l.General = l.general()
}

func dot(row []float64, levels []float32) (sum float64) {
	for d, v := range row {
		sum += v * float64(levels[d])
	}
	return sum
}

// dropUnlit leaves out what is hardly seen in either room.
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
	if mean <= 0 {
		return 0
	}
	least := math.Inf(1)
	for _, row := range t.PieceRows(name, room.Photopic) {
		least = min(least, dot(row, levels))
	}
	return min(least/mean, 1)
}
