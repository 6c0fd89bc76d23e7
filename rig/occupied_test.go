package rig

import (
	"fmt"
	"maps"
	"slices"
	"testing"
)

// Who listens to whose slots, worked out by hand: a (1 to 4) and b (4 to 7)
// share slot 4, c (8 to 11) shares none, d has c's slots and mode, e has c's
// address in another universe.
func TestOverlapping(t *testing.T) {
	mode := &Mode{Footprint: 4}
	at := func(universe, address int) Unit { return Unit{Universe: universe, Address: address, Mode: mode} }
	rg := &Rig{Units: []Unit{at(1, 1), at(1, 4), at(1, 8), at(1, 8), at(2, 8)}}
	if got := slices.Sorted(maps.Keys(rg.Overlapping())); !slices.Equal(got, []int{0, 1}) {
		t.Errorf("units %v overlap, want 0 and 1", got)
	}
	var pairs []string
	rg.Meet(func(a, b Slots) { pairs = append(pairs, fmt.Sprint(a.Unit, b.Unit)) })
	if !slices.Equal(pairs, []string{"0 1", "2 3"}) {
		t.Errorf("%v meet", pairs)
	}
	rg.Units[3].Mode = &Mode{Footprint: 2} // another mode at the same address
	if got := slices.Sorted(maps.Keys(rg.Overlapping())); !slices.Equal(got, []int{0, 1, 2, 3}) {
		t.Errorf("units %v overlap, want 0 to 3", got)
	}
}
