package osc_test

import (
	"fmt"

	"lampblack/wire/osc"
)

// A message as it goes out, octet by octet, and read again.
func Example() {
	m := &osc.Message{Address: "/cue", Args: []any{int32(12), "go"}}
	packet := m.Append(nil)
	fmt.Printf("%q\n", packet)

	got, err := osc.Parse(packet)
	if err != nil {
		fmt.Println(err)
		return
	}
	if m, ok := got.(*osc.Message); ok {
		fmt.Println(m.Address, m.Args)
	}
	_, err = osc.Parse([]byte("/cue\x00\x00\x00\x00,i\x00\x00"))
	fmt.Println(err)
	// Output:
	// "/cue\x00\x00\x00\x00,is\x00\x00\x00\x00\fgo\x00\x00"
	// /cue [12 go]
	// message "/cue": argument 1: type i: got 0 octets, want 4
}
