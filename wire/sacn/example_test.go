package sacn_test

import (
	"fmt"
	"time"

	"lampblack/wire/sacn"
)

// A frame of one universe, and the same one as another source of higher priority
// sends it: its levels count.
func Example() {
	front := sacn.Data{CID: sacn.NameCID("front"), Source: "front", Priority: 100, Universe: 1, Slots: []byte{255, 128, 0}}
	packet := front.Append(nil)
	fmt.Println(len(packet), "octets to", sacn.Group4(1), "port", sacn.Port)

	var r sacn.Receiver
	now := time.Unix(0, 0)
	got, err := sacn.ParseData(packet)
	fmt.Println(got.Source, got.Slots, err)
	r.Take(got, now)
	r.Take(sacn.Data{CID: sacn.NameCID("hand"), Source: "hand", Priority: 150, Universe: 1, Slots: []byte{10, 20, 30}}, now)
	fmt.Println(r.Levels(nil, 1, now)[:3])
	// Output:
	// 129 octets to 239.255.0.1 port 5568
	// front [255 128 0] <nil>
	// [10 20 30]
}
