package main

import (
	"fmt"
	"net"
	"net/netip"
	"runtime"
	"time"

	"lampblack/play/lamps/lampstest"

	"github.com/rogpeppe/go-internal/testscript"
)

// theNode is that of the one script that has one.
var theNode *lampstest.Node

func lampNodeIs(ts *testscript.TestScript, what string) {
	switch what {
	case "dark":
		theNode.Wires[1].Do(func() {
			for _, l := range theNode.Wires[1].Lamps {
				if l.Identifies || l.Identified == 0 && l.Label == "" && l.Address == 1 {
					ts.Fatalf("%x shows itself: %v, did so %d times", l.UID, l.Identifies, l.Identified)
				}
			}
		})
	case "lit":
		for start := time.Now(); theNode.Frames() == 0; time.Sleep(10 * time.Millisecond) {
			if time.Since(start) > 30*time.Second {
				ts.Fatalf("no frame came")
			}
		}
	}
}

// lampNode starts an Art-Net node with RDM for a script, with these lamps on Port-Address 1,
// and sets NODE to the output that sends to it:
//
//	front left     as the rig says
//	front right    at address 21 instead of 11, in another mode, its label its name
//	a stranger     at 100, too hot
//
// The third unit does not answer. Only Linux has more than one address of its own. `lampnode
// dark` fails when a lamp shows itself still, `lampnode lit` waits for a frame.
func lampNode(ts *testscript.TestScript, _ bool, args []string) {
	if len(args) == 1 {
		lampNodeIs(ts, args[0])
		return
	}
	if runtime.GOOS != "linux" {
		ts.Fatalf("needs an address of its own on the loopback")
	}
	modes := []lampstest.Mode{{Footprint: 4, Name: "four"}, {Footprint: 6, Name: "6 slots"}, {Footprint: 7, Name: "seven"}, {Footprint: 2, Name: "2 slots"}}
	wire := &lampstest.Wire{Lamps: []*lampstest.Lamp{
		{UID: [6]byte{0x7F, 0xF0, 0, 0, 0, 1}, Model: "little par", Address: 1, Mode: 3, Modes: modes, Hours: 1200, LampHours: 800},
		{UID: [6]byte{0x7F, 0xF0, 0, 0, 0, 2}, Model: "little par", Label: "FRONT RIGHT", Address: 21, Mode: 1, Modes: modes, Hours: 41, Lacks: map[int]bool{0x0401: true}},
		{UID: [6]byte{0x7F, 0xF0, 0, 0, 0, 3}, Model: "fog\tmachine\x1b[31m", Address: 100, Mode: 1, Modes: modes, Lacks: map[int]bool{0x0400: true, 0x0401: true},
			Sensors: []lampstest.Sensor{{Name: "heater", Now: 815, Top: 700}}, Status: []byte{0, 0, 4, 0, 0x52, 0, 0, 0, 0}},
	}}
	node := &lampstest.Node{Wires: map[int]*lampstest.Wire{1: wire}}
	// A port that is free for who asks, who listens on it too.
	free, err := net.ListenPacket("udp4", ":0")
	ts.Check(err)
	at := netip.AddrPortFrom(netip.MustParseAddr("127.0.0.2"), uint16(free.LocalAddr().(*net.UDPAddr).Port))
	ts.Check(free.Close())
	ts.Check(node.Start(at))
	ts.Defer(func() { _ = node.Close() })
	theNode = node
	ts.Setenv("NODE", fmt.Sprintf("artnet %v port %d", at.Addr(), at.Port()))
}
