package described

import (
	"fmt"
	"math"
	"slices"
	"sort"

	"lampblack/wire/gdtf"
)

// body finds the cells of the lamp: the openings of the mode that has most of them, in order along the
// row. The openings of other modes are found in it by their parts, or by their places.
func (r *reader) body() {
	main := -1
	for i := range r.t.Modes {
		l := r.t.Layout(&r.t.Modes[i])
		r.layouts = append(r.layouts, l)
		r.cellOf = append(r.cellOf, nil)
		if main < 0 || len(l.Openings) > len(r.layouts[main].Openings) {
			main = i
		}
	}
	if main < 0 {
		return
	}
	r.cellOf[main] = r.cells(r.layouts[main])
	for i, l := range r.layouts {
		if i != main {
			r.cellOf[i] = r.matched(l, r.layouts[main], r.cellOf[main])
		}
	}
	if r.partial(nil) {
		r.merge()
	}
	r.out.cells = max(len(r.first), 1)
}

// millimetre is how far apart two openings are at least.
func millimetre(p [3]float64) [3]int {
	return [3]int{int(math.Round(p[0] * 1000)), int(math.Round(p[1] * 1000)), int(math.Round(p[2] * 1000))}
}

// cells numbers openings along the row. Openings at one place are one cell, unless two of them have the same
// colour: then the places are not told, and they are cells as they come.
func (r *reader) cells(l *gdtf.Layout) map[int]int {
	colours := r.alone(l)
	var cells [][]int // openings
	for i := range l.Openings {
		at := millimetre(l.Openings[i].Place.Place())
		k := slices.IndexFunc(cells, func(cell []int) bool {
			same := millimetre(l.Openings[cell[0]].Place.Place()) == at
			return same && !slices.ContainsFunc(cell, func(o int) bool { return shared(colours[o], colours[i]) })
		})
		if k >= 0 {
			cells[k] = append(cells[k], i)
		} else {
			cells = append(cells, []int{i})
		}
	}
	place := func(cell []int) [3]float64 { return l.Openings[cell[0]].Place.Place() }
	if axis, row := rowAxis(cells, place); row {
		sort.SliceStable(cells, func(a, b int) bool { return place(cells[a])[axis] < place(cells[b])[axis] })
	} else if len(cells) > 1 {
		r.note("", 0, "its %d light openings do not stand in a row: they count as one, in the order of the description", len(cells))
	}
	out := map[int]int{}
	for c, cell := range cells {
		r.first = append(r.first, l.Openings[cell[0]].Beam)
		r.places = append(r.places, place(cell))
		for _, o := range cell {
			out[o] = c
		}
	}
	return out
}

// alone lists, by opening, the attributes of channels of any mode that it has for itself.
func (r *reader) alone(main *gdtf.Layout) []map[string]bool {
	out := make([]map[string]bool, len(main.Openings))
	index := map[string]int{}
	for i, o := range main.Openings {
		index[o.Path] = i
		out[i] = map[string]bool{}
	}
	for _, l := range r.layouts {
		for _, c := range l.Channels {
			if len(c.Openings) != 1 || len(c.Logical) == 0 {
				continue
			}
			if o, ok := index[l.Openings[c.Openings[0]].Path]; ok {
				out[o][c.Logical[0].Attribute] = true
			}
		}
	}
	return out
}

func shared(a, b map[string]bool) bool {
	for k := range a {
		if b[k] {
			return true
		}
	}
	return false
}

// rowAxis finds the one axis along which cells differ.
func rowAxis(cells [][]int, place func([]int) [3]float64) (axis int, row bool) {
	var differ []int
	for k := range 3 {
		if slices.ContainsFunc(cells, func(c []int) bool { return math.Abs(place(c)[k]-place(cells[0])[k]) > .001 }) {
			differ = append(differ, k)
		}
	}
	if len(differ) != 1 {
		return 0, false
	}
	return differ[0], true
}

// matched finds the openings of another mode among those of the main one.
func (r *reader) matched(l, main *gdtf.Layout, cellOf map[int]int) map[int]int {
	out := map[int]int{}
	for i, o := range l.Openings {
		k := slices.IndexFunc(main.Openings, func(p gdtf.Opening) bool { return p.Path == o.Path })
		if k < 0 {
			k = slices.IndexFunc(main.Openings, func(p gdtf.Opening) bool {
				return millimetre(p.Place.Place()) == millimetre(o.Place.Place())
			})
		}
		if k < 0 {
			k = min(i, len(main.Openings)-1)
		}
		out[i] = cellOf[k]
	}
	return out
}

// of lists the cells that a channel lights, in order; a channel of a part without any opening
// has all.
func (r *reader) of(mode int, c *gdtf.Placed) []int {
	seen := map[int]bool{}
	for _, o := range c.Openings {
		seen[r.cellOf[mode][o]] = true
	}
	var out []int
	for c := range max(len(r.first), 1) {
		if seen[c] || len(seen) == 0 {
			out = append(out, c)
		}
	}
	return out
}

// partial tells whether some channel lights several cells but not all, after cells were joined.
func (r *reader) partial(join []int) bool {
	n := len(r.first)
	if join != nil {
		n = slices.Max(join) + 1
	}
	for i, l := range r.layouts {
		for k := range l.Channels {
			set := map[int]bool{}
			for _, c := range r.of(i, &l.Channels[k]) {
				if join != nil {
					c = join[c]
				}
				set[c] = true
			}
			if len(set) > 1 && len(set) < n {
				return true
			}
		}
	}
	return false
}

// merge makes one cell of those that no channel of any mode tells apart, where a type could not say
// otherwise that several go together.
func (r *reader) merge() {
	names := make([]string, len(r.first))
	for i, l := range r.layouts {
		for k := range l.Channels {
			for _, c := range r.of(i, &l.Channels[k]) {
				names[c] += fmt.Sprintf("%d.%d ", i, k)
			}
		}
	}
	join := make([]int, len(names))
	var kept []string
	for c, name := range names {
		if join[c] = slices.Index(kept, name); join[c] < 0 {
			join[c] = len(kept)
			kept = append(kept, name)
		}
	}
	if r.partial(join) {
		return // told of each slot
	}
	r.note("", 0, "its %d light openings are driven in %d groups, and each group counts as one cell", len(names), len(kept))
	for _, cells := range r.cellOf {
		for o, c := range cells {
			cells[o] = join[c]
		}
	}
	first, places := r.first, r.places
	r.first, r.places = make([]*gdtf.Geometry, len(kept)), make([][3]float64, len(kept))
	for c := len(first) - 1; c >= 0; c-- {
		r.first[join[c]], r.places[join[c]] = first[c], places[c]
	}
}
