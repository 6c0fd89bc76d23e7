package output

import (
	"maps"
	"slices"
	"sync"
)

// Announced is the list of universes that one source announces (ANSI E1.31, clause 8:
// the list is of all universes that the source transmits). Outputs that share it, and
// so a component identifier, announce one list of all of them; apart, each would seem
// to take back what the others announced. Any goroutine may use it; version lets an
// output tell that the list has changed since it announced.
type Announced struct {
	mu      sync.Mutex
	by      map[*e131][]uint16
	version int // counts changes
}

// set says which universes an output sends; none when it closes.
func (a *Announced) set(by *e131, universes []uint16) {
	a.mu.Lock()
	defer a.mu.Unlock()
	if a.by == nil {
		a.by = map[*e131][]uint16{}
	}
	a.version++
	if len(universes) == 0 {
		delete(a.by, by)
		return
	}
	a.by[by] = slices.Clone(universes)
}

// list returns all universes, ascending, and the version of the list.
func (a *Announced) list() ([]uint16, int) {
	a.mu.Lock()
	defer a.mu.Unlock()
	all := map[uint16]bool{}
	for _, universes := range a.by {
		for _, u := range universes {
			all[u] = true
		}
	}
	return slices.Sorted(maps.Keys(all)), a.version
}
