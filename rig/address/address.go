// Package address plans which slots the units of a rig listen to.
//
//	Plan(rig, Options{Style: Least}) ──▶ []Place   by unit, with what was before
//	Switches(address) ──▶ the nine switches of a lamp without a display
//
// Units on one data line stay in one universe, in the order of the line; units of one mode that share
// an address go on sharing it, as they do on purpose. Where nothing else is asked, as few units as
// can be are set anew.
package address

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"sort"

	"lampblack/rig"
	"lampblack/source"
)

// Style is how addresses are laid.
type Style string

// The styles.
const (
	Least  Style = "least"  // what can stay stays; the others go where there is room
	Packed Style = "packed" // one behind the other
	Tens   Style = "tens"   // each begins at a number that ends in 1
	Grid   Style = "grid"   // each begins at a multiple of so many slots, and one
)

// Styles lists them.
var Styles = []Style{Least, Packed, Tens, Grid}

// Options say how to plan.
type Options struct {
	Style Style
	Grid  int // slots from one beginning to the next, of Grid
	Spare int // slots that are left free behind each unit

	// Rather are units, by index, that are set anew rather than others, where it is as few.
	Rather []int
}

const (
	slots        = 512   // of a universe, ANSI E1.11
	lastUniverse = 63999 // ANSI E1.31
)

// Place is where one unit is to listen.
type Place struct {
	Unit                    int // index in the rig
	Universe, Address, Last int
	WasUniverse, WasAddress int
	Moved                   bool
	Mode                    string
	Switches                [9]bool // by switch, from 1
}

// ErrFull is that a universe has not slots enough.
var ErrFull = errors.New("the universe is full")

// item is what has one address: a unit, or several that share it.
type item struct {
	units             []int
	universe, address int
	size              int
	line              string
}

// Plan works out the places of all units that have a mode. The rig is left as it is.
func Plan(r *rig.Rig, o Options) ([]Place, error) {
	if o.Style == Grid && (o.Grid < 1 || o.Grid > slots) {
		return nil, fmt.Errorf("a grid of %d slots: from 1 to %d", o.Grid, slots)
	}
	if o.Spare < 0 || o.Spare > slots {
		return nil, fmt.Errorf("%d spare slots: from 0 to %d", o.Spare, slots)
	}
	items := itemsOf(r)
	taken := map[int][]span{}
	moved := make([]*item, len(items))
	for i := range items {
		moved[i] = &items[i]
	}
	if o.Style == Least {
		moved = stay(items, taken, &o)
	}
	for _, it := range moved {
		if err := lay(it, taken, &o); err != nil {
			return nil, fmt.Errorf("%w for unit %s%s", err, r.Units[it.units[0]].Name, hangs(it))
		}
	}
	return placesOf(r, items), nil
}

// span is a stretch of slots, from and to included.
type span struct{ from, to int }

// linesOf tells on which line each unit hangs, and where on it.
func linesOf(r *rig.Rig) (line map[string]string, at map[string]int, universe map[string]int) {
	line, at, universe = map[string]string{}, map[string]int{}, map[string]int{}
	for i := range r.Lines {
		l := &r.Lines[i]
		universe[l.Name] = l.Value.Universe
		for k, u := range l.Value.Order {
			line[u], at[u] = l.Name, k
		}
	}
	for i := range r.Units {
		if u := &r.Units[i]; u.Line.Name != "" && line[u.Name.Name] == "" {
			line[u.Name.Name], at[u.Name.Name] = u.Line.Name, len(r.Units)+i
		}
	}
	return line, at, universe
}

// itemsOf lists the items in the order in which they are laid: by universe, then along their lines,
// then as the rig has them.
func itemsOf(r *rig.Rig) []item {
	line, at, universe := linesOf(r)
	var items []item
	for i := range r.Units {
		u := &r.Units[i]
		if u.Mode == nil || u.Mode.Footprint < 1 {
			continue
		}
		one := item{[]int{i}, u.Universe, u.Address, u.Mode.Footprint, line[u.Name.Name]}
		if own := universe[one.line]; one.line != "" && own == 0 {
			universe[one.line] = u.Universe // that of its first unit
		} else if one.line != "" {
			one.universe = own
		}
		k := slices.IndexFunc(items, func(o item) bool {
			first := &r.Units[o.units[0]]
			return o.universe == one.universe && o.address == one.address && o.line == one.line && first.Mode == u.Mode
		})
		if k >= 0 {
			items[k].units = append(items[k].units, i)
			continue
		}
		items = append(items, one)
	}
	slices.SortStableFunc(items, func(a, b item) int {
		name := func(i item) string { return r.Units[i.units[0]].Name.Name }
		where := func(i item) int {
			if i.line == "" {
				return len(r.Units) * 3
			}
			return at[name(i)]
		}
		return cmp.Or(cmp.Compare(a.universe, b.universe), cmp.Compare(a.line, b.line), cmp.Compare(where(a), where(b)))
	})
	return items
}

// stay keeps as many units as can keep their places together, and lists the other items.
func stay(items []item, taken map[int][]span, o *Options) (rest []*item) {
	byUniverse := map[int][]int{}
	for i := range items {
		if it := &items[i]; it.address >= 1 && it.address+it.size-1 <= slots {
			byUniverse[it.universe] = append(byUniverse[it.universe], i)
		}
	}
	keeps := map[int]bool{}
	for u, list := range byUniverse {
		for _, i := range heaviest(items, list, o) {
			keeps[i] = true
			taken[u] = append(taken[u], span{items[i].address, items[i].address + items[i].size - 1})
		}
	}
	for i := range items {
		if !keeps[i] {
			rest = append(rest, &items[i])
		}
	}
	return rest
}

// heaviest are the items of one universe that do not meet and are the most units together (weighted
// interval scheduling; J. Kleinberg and É. Tardos, Algorithm Design, 2005, section 6.1, from memory).
func heaviest(items []item, list []int, o *Options) (keeps []int) {
	order := slices.Clone(list)
	end := func(i int) int { return items[i].address + items[i].size - 1 }
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Or(cmp.Compare(end(a), end(b)), cmp.Compare(a, b)) })
	best, before := make([]int, len(order)+1), make([]int, len(order))
	for k, i := range order {
		before[k] = sort.Search(k, func(m int) bool { return end(order[m])+o.Spare >= items[i].address })
		best[k+1] = max(best[k], best[before[k]]+items[i].weight(o))
	}
	for k := len(order); k > 0; {
		if best[k] == best[k-1] {
			k--
			continue
		}
		keeps = append(keeps, order[k-1])
		k = before[k-1]
	}
	return keeps
}

// weight is what it is worth that an item stays.
func (it *item) weight(o *Options) int {
	rather := slices.ContainsFunc(it.units, func(u int) bool { return slices.Contains(o.Rather, u) })
	if rather {
		return 2*len(it.units) - 1
	}
	return 2 * len(it.units)
}

// meets tells whether a stretch shares a slot with another, or leaves fewer free between.
func (s span) meets(spare int) func(span) bool {
	return func(o span) bool { return s.from <= o.to+spare && o.from <= s.to+spare }
}

// step is from one beginning that a style allows to the next.
func (o *Options) step() int {
	switch o.Style {
	case Tens:
		return 10
	case Grid:
		return o.Grid
	}
	return 1
}

// lay gives an item the first place that is free: in its own universe, or where it hangs on no line in
// the next one that has room. Where all are laid anew each comes behind all that were.
func lay(it *item, taken map[int][]span, o *Options) error {
	step := o.step()
	for universe := it.universe; universe <= lastUniverse; universe++ {
		from := 1
		if o.Style != Least {
			for _, t := range taken[universe] {
				from = max(from, t.to+1+o.Spare)
			}
			from = 1 + (from-1+step-1)/step*step
		}
		for ; from+it.size-1 <= slots; from += step {
			s := span{from, from + it.size - 1}
			if slices.ContainsFunc(taken[universe], s.meets(o.Spare)) {
				continue
			}
			taken[universe] = append(taken[universe], s)
			it.universe, it.address = universe, from
			return nil
		}
		if it.line != "" {
			return fmt.Errorf("%w: universe %d has no %d slots left", ErrFull, universe, it.size)
		}
	}
	return fmt.Errorf("%w: there are no more universes", ErrFull)
}

// hangs says on which line an item hangs, and what helps there.
func hangs(it *item) string {
	if it.line == "" {
		return ""
	}
	return fmt.Sprintf(", which hangs on line %s; give the line a universe of its own, or its units shorter modes", source.Quote(it.line))
}

// placesOf lists the places in the order of the rig.
func placesOf(r *rig.Rig, items []item) []Place {
	var out []Place
	for i := range items {
		it := &items[i]
		for _, n := range it.units {
			u := &r.Units[n]
			out = append(out, Place{Unit: n, Universe: it.universe, Address: it.address, Last: it.address + it.size - 1,
				WasUniverse: u.Universe, WasAddress: u.Address, Moved: it.universe != u.Universe || it.address != u.Address,
				Mode: u.ModeName.Name, Switches: Switches(it.address)})
		}
	}
	slices.SortFunc(out, func(a, b Place) int { return cmp.Compare(a.Unit, b.Unit) })
	return out
}

// Switches are those of a lamp that is set by nine switches: switch n stands for 2^(n-1), and those
// that are on add up to the address (common practice, no source; a few lamps count from 0 and want one
// less).
func Switches(address int) (on [9]bool) {
	for i := range on {
		on[i] = address>>i&1 == 1
	}
	return on
}
