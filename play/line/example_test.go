package line_test

import (
	"fmt"

	"lampblack/play/line"
)

func ExampleParseOut() {
	out, err := line.ParseOut("e131 192.168.1.20 universes 1-3 priority 120")
	fmt.Println(out.Kind, out.Addr, out.Universes, out.Priority, err)
	_, err = line.ParseOut("widget /dev/ttyUSB0 baud fast")
	fmt.Println(err)
	// Output:
	// e131 192.168.1.20 [{1 3}] 120 <nil>
	// output "widget /dev/ttyUSB0 baud fast": column 26: got "fast", want a number from 9600 to 4000000
}

func ExampleParseClock() {
	c, err := line.ParseClock("mtc /dev/snd/midiC1D0 rate 25 start 10:00:00:00")
	fmt.Println(c.Kind, c.Device, c.Start, err)
	// Output: mtc /dev/snd/midiC1D0 10:00:00:00 <nil>
}
