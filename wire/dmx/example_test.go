package dmx_test

import (
	"fmt"

	"lampblack/wire/dmx"
)

// A packet of one lamp's slots comes too soon after the one before, unless the line is
// idle for a while; then its octets, and what stands on the line first.
func Example() {
	p := dmx.Packet{Break: dmx.MinBreak, Mark: dmx.MinMark, Slots: []byte{255, 128, 0, 0, 0, 7}}
	if err := p.Check(); err != nil {
		fmt.Println(err)
	}
	p.Idle = p.Fill()
	fmt.Println("after an idle line for", p.Idle, "it may be sent:", p.Check() == nil)
	fmt.Printf("% x\n", p.Append(nil))
	for _, l := range p.Line()[:4] {
		fmt.Println(map[bool]string{true: "high", false: "low"}[l.High], l.Time)
	}
	fmt.Println("a full universe:", dmx.Time(dmx.MinBreak, dmx.MinMark, 512))
	// Output:
	// packet: break to break: got 412µs, want 1.204ms to 1s
	// after an idle line for 792µs it may be sent: true
	// 00 ff 80 00 00 00 07
	// low 92µs
	// high 12µs
	// low 36µs
	// high 8µs
	// a full universe: 22.676ms
}
