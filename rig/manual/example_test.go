package manual_test

import (
	"fmt"

	"lampblack/rig/manual"
)

// A table with two traps and a question.
func Example() {
	read := manual.Read([]byte(`CH1 Dimmer
CH2 UV (not dimmed by CH1)
CH3 Red
CH4 Strobe 0-9 off, 10-255 slow to fast
CH5 Programs
`))
	fmt.Print(read.Words())
	// Output:
	// 5 channel, 5 slots
	//   1        dims red
	//   2        uv
	//   3        red
	//   4        flashes   0-9 steady light, 10-255 flashes slow to fast
	//   5        programs  0-255 kept out of
	//
	// Beware
	//   5 channel, slot 4: no figures for the flashing: it is counted at up to 30 a second
	//   5 channel, slot 5: some values run programs or fixed colours, over what the other slots say: they are kept out of
	//   5 channel, slot 2: no master dims the ultraviolet: it shines on when the master is down
	//
	// Not told by the table
	//   5 channel, slot 5: no values: up to which it does nothing
}
