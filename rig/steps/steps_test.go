package steps_test

import (
	"fmt"
	"strconv"
	"strings"
	"testing"

	"lampblack/rig"
	"lampblack/rig/steps"
	"lampblack/si"
)

// unit is a unit of a type in a mode.
func unit(name, kind, mode string, universe, address int) rig.Unit {
	u := rig.Unit{Universe: universe, Address: address}
	u.Name.Name, u.TypeName.Name, u.ModeName.Name = name, kind, mode
	return u
}

// What is said of each change, in the order of the work.
func TestBetween(t *testing.T) {
	before, after := &rig.Rig{}, &rig.Rig{}
	a, b, c := unit("a", "par", "7 slots", 1, 17), unit("b", "par", "7 slots", 1, 1), unit("c", "par", "", 1, 40)
	a.Aimed, b.Hung = &[3]si.Length{0, 1, 1}, &[3]si.Length{1, 2, 3}
	b.Circuit.Name = "left"
	before.Units = []rig.Unit{a, b, c}
	a.Address, a.Aimed = 21, &[3]si.Length{0, 2, 1}
	b.ModeName.Name, b.Universe, b.Hung = "4 slots", 2, &[3]si.Length{1, 2, 2.5}
	b.Circuit.Name, b.FedBy.Name, b.Lead.Length = "", "a", 5
	after.Units = []rig.Unit{b, a, unit("d", "flood", "", 1, 3)}
	var got []string
	for _, s := range steps.Between(before, after) {
		got = append(got, string(s.Kind)+" "+s.Unit+": "+s.Say)
	}
	want := []string{
		"strike c: take c out",
		"hang d: hang d, a flood",
		"move b: move b from 1 m, 2 m, 3 m to 1 m, 2 m, 2.5 m",
		"aim a: aim a at 0 m, 2 m, 1 m; it was 0 m, 1 m, 1 m",
		"mode b: set the mode of b to 4 slots; it was 7 slots",
		"address b: readdress b from 1 of universe 1 to 1 of universe 2; its switches: 100000000",
		"address a: readdress a from 17 to 21; its switches: 101010000",
		"address d: readdress d to 3; its switches: 110000000",
		"power b: plug b into a, with a lead of 5 m; it was an outlet of circuit left",
	}
	if strings.Join(got, "\n") != strings.Join(want, "\n") {
		t.Errorf("\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
	if same := steps.Between(before, before); len(same) > 0 {
		t.Errorf("nothing changes, and %v", same)
	}
}

// Switches read backwards are the address in binary.
func TestSwitches(t *testing.T) {
	for n := 1; n <= 511; n++ {
		var back strings.Builder
		for i := range 9 {
			back.WriteByte(steps.Switches(n)[8-i])
		}
		if got, err := strconv.ParseInt(back.String(), 2, 64); err != nil || int(got) != n {
			t.Fatalf("%d: %s", n, steps.Switches(n))
		}
	}
}

// A lamp died and another, larger one was hung in its place.
func Example() {
	before := &rig.Rig{Units: []rig.Unit{unit("par 3", "small par", "5 slots", 1, 17)}}
	after := &rig.Rig{Units: []rig.Unit{unit("par 3", "colour bar", "12 slots", 1, 21)}}
	for _, s := range steps.Between(before, after) {
		fmt.Println(s.Say)
	}
	// Output:
	// par 3: take the small par out, hang a colour bar in its place
	// set the mode of par 3 to 12 slots
	// readdress par 3 to 21; its switches: 101010000
}
