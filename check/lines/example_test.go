package lines_test

import (
	"fmt"

	"lampblack/check/lines"
	"lampblack/rig"
)

// How long a whole universe takes on the wire, and where a unit of 7 slots
// finds room that was set to an address inside another.
func Example() {
	fmt.Println(lines.Refresh(512), "µs")

	eight, seven := &rig.Mode{Footprint: 8}, &rig.Mode{Footprint: 7}
	r := &rig.Rig{Units: []rig.Unit{
		{Universe: 1, Address: 1, Mode: eight},
		{Universe: 1, Address: 5, Mode: seven},
		{Universe: 1, Address: 12, Mode: eight},
	}}
	fmt.Println(lines.FreeAddress(r, 1))
	// Output:
	// 22676 µs
	// 20 true
}
