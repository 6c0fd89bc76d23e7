package described_test

import (
	"fmt"

	"lampblack/rig"
	"lampblack/rig/described"
)

// A built-in type as a description, and back.
func Example() {
	types := rig.Generic()
	d, _ := described.Write(types[types.Index("black light bar")].Value)
	r, err := described.Read(d)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Print(r.Words())
	// Output:
	// Black-light bar: 1 colour (uv), 9 cells
	//
	// 1 slot
	//   1     drives: uv
	//
	// 2 slots
	//   1     drives: uv
	//   2     0-9: open, 10-255: flash 1 Hz to 20 Hz
}
