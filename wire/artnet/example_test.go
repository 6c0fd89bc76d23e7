package artnet_test

import (
	"fmt"

	"lampblack/wire/artnet"
)

// Three slots of universe 1. The protocol sends an even number of slots.
func Example() {
	d := artnet.Dmx{Sequence: artnet.Next(255), PortAddress: artnet.PortAddress(0, 0, 1), Slots: []byte{255, 128, 7}}
	packet := d.Append(nil)
	fmt.Printf("%d octets, %q, then % x\n", len(packet), packet[:7], packet[8:])

	got, err := artnet.ParseDmx(packet)
	fmt.Println(got.Sequence, got.PortAddress, got.Slots, err)
	// Output:
	// 22 octets, "Art-Net", then 00 50 00 0e 01 00 01 00 00 04 ff 80 07 00
	// 1 1 [255 128 7 0] <nil>
}
