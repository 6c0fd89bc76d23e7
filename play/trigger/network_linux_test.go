package trigger_test

import (
	"fmt"
	"net"
	"strings"
	"testing"
	"time"

	"golang.org/x/net/ipv4"

	"lampblack/play/trigger"
	"lampblack/wire/osc"
	"lampblack/wire/sacn"
)

// E1.31 comes by the group of its universe, on the interface that the line names; each
// trigger of a socket has its own group.
func TestMulticast(t *testing.T) {
	lo, err := net.InterfaceByName("lo")
	if err != nil {
		t.Skipf("outside check left out: needs the interface lo (%v)", err)
	}
	port, _ := loopback(t)
	line := " slot 12 above 128 multicast interface lo port " + fmt.Sprint(port)
	heard := make(chan trigger.Heard, 1000)
	s, err := trigger.Open(t.Context(), listOf(t, "seven", "e131 universe 7"+line, "eight", "e131 universe 8"+line),
		trigger.Options{Heard: func(h trigger.Heard) { heard <- h }})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	out, err := net.ListenPacket("udp4", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer out.Close()
	if err := ipv4.NewPacketConn(out).SetMulticastInterface(lo); err != nil {
		t.Fatal(err)
	}
	if err := ipv4.NewPacketConn(out).SetMulticastLoopback(true); err != nil {
		t.Fatal(err)
	}
	d := sacn.Data{CID: [16]byte{1}, Source: "desk", Priority: 100, Slots: make([]byte, 24)}
	for _, universe := range []uint16{7, 8} {
		for _, level := range []byte{0, 200} {
			d.Sequence++
			d.Universe, d.Slots[11] = universe, level
			if _, err := out.WriteTo(d.Append(nil), &net.UDPAddr{IP: sacn.Group4(universe).AsSlice(), Port: port}); err != nil {
				t.Skipf("outside check left out: needs multicast on lo (%v)", err)
			}
		}
	}
	for _, want := range []string{"seven", "eight"} {
		select {
		case f := <-s.Fired():
			if f.Name != want {
				t.Errorf("fired %s, want %s", f.Name, want)
			}
		case <-time.After(20 * time.Second):
			t.Fatalf("%s did not fire: %+v", want, s.Status())
		}
	}
}

// What cannot be listened on is told, and nothing else suffers.
func TestNoNetwork(t *testing.T) {
	port, send := loopback(t)
	s, err := trigger.Open(t.Context(), listOf(t,
		"nowhere", "osc 9001 /d listen 192.0.2.7",
		"no interface", "e131 universe 7 slot 1 above 1 multicast interface nope7",
		"here", fmt.Sprintf("osc %d /d", port)), trigger.Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	st := s.Status()
	if !strings.Contains(st[0].Fault, "192.0.2.7") || st[0].Hint == "" || !strings.Contains(st[1].Fault, `network interface "nope7": not there now`) || st[1].Hint == "" || st[2].Fault != "" {
		t.Errorf("status %+v", st)
	}
	send((&osc.Message{Address: "/d"}).Append(nil))
	select {
	case f := <-s.Fired():
		if f.Name != "here" {
			t.Errorf("fired %+v", f)
		}
	case <-time.After(20 * time.Second):
		t.Fatalf("it did not fire: %+v", s.Status())
	}
}

// A line that names no address is reached by this machine alone: the socket is bound to
// the loopback.
func TestLoopbackAlone(t *testing.T) {
	addrs, err := net.InterfaceAddrs()
	if err != nil {
		t.Fatal(err)
	}
	var other net.IP
	for _, a := range addrs {
		if n, ok := a.(*net.IPNet); ok && n.IP.To4() != nil && !n.IP.IsLoopback() {
			other = n.IP
		}
	}
	if other == nil {
		t.Skip("outside check left out: needs a network besides the loopback")
	}
	port, send := loopback(t)
	s := openOne(t, fmt.Sprintf("osc %d /d", port), trigger.Options{})
	defer s.Close()
	out, err := net.DialUDP("udp4", nil, &net.UDPAddr{IP: other, Port: port})
	if err != nil {
		t.Fatal(err)
	}
	defer out.Close()
	say := func(args ...any) []byte { return (&osc.Message{Address: "/d", Args: args}).Append(nil) }
	_, _ = out.Write(say()) // would fire
	send(say(int32(1)))     // fires, and comes later
	f := <-s.Fired()
	if st := s.Status()[0]; st.Fired != 1 || st.Level != trigger.Closed {
		t.Errorf("fired %+v, %+v", f, st)
	}
}
