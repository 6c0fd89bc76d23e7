package output

import (
	"net/netip"
	"slices"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"lampblack/wire/artnet"
)

func testArt(t testing.TB, line string) (*art, *fakeSocket) {
	t.Helper()
	f := newFakeSocket()
	s, err := newArt(testSpec(t, line), Options{}.filled(), func() (artSocket, error) { f.reopen(); return f, nil })
	if err != nil {
		t.Fatal(err)
	}
	return s, f
}

// answer makes a node reply to the next poll.
func nodeReply(f *fakeSocket, addr, name string, net byte, outputs ...byte) {
	r := artnet.PollReply{ShortName: name, NumPorts: uint16(len(outputs)), Net: net}
	for i, o := range outputs {
		r.PortTypes[i], r.SwOut[i] = artnet.PortOutput, o
	}
	f.heard <- sentPacket{to: netip.MustParseAddrPort(addr + ":6454"), payload: r.Append(nil)}
}

func artDmx(t testing.TB, packets []sentPacket) map[string][]artnet.Dmx {
	t.Helper()
	got := map[string][]artnet.Dmx{}
	for _, p := range packets {
		if op, _ := artnet.OpCodeOf(p.payload); op != artnet.OpDmx {
			continue
		}
		d, err := artnet.ParseDmx(p.payload)
		if err != nil {
			t.Fatal(err)
		}
		got[p.to.String()] = append(got[p.to.String()], d)
	}
	return got
}

// The protocol sends data by unicast to those nodes that list the Port-Address
// among their outputs, and to nobody else.
func TestArtNetUnicastsToSubscribers(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s, f := testArt(t, "artnet nodes")
		values := still(frameOf(1, 3, 7), frameOf(0x103, 4, 9))
		run(t, s, time.Second, values)
		if got := artDmx(t, f.taken()); len(got) != 0 {
			t.Errorf("data before anybody asked: %v", got)
		}
		nodeReply(f, "192.168.1.30", "left", 0, 1, 2)
		nodeReply(f, "192.168.1.31", "right", 1, 3)
		nodeReply(f, "192.168.1.31", "right", 1, 3)
		synctest.Wait()
		run(t, s, 2*time.Second, values)
		got := artDmx(t, f.taken())
		left, right := got["192.168.1.30:6454"], got["192.168.1.31:6454"]
		if len(got) != 2 || len(left) == 0 || len(right) == 0 {
			t.Fatalf("data to %v", got)
		}
		for i, d := range left {
			if d.PortAddress != 1 || !slices.Equal(d.Slots, []byte{7, 7, 7, 0}) || i > 0 && d.Sequence != artnet.Next(left[i-1].Sequence) {
				t.Errorf("left %d: %+v", i, d)
			}
		}
		if right[0].PortAddress != 0x103 {
			t.Errorf("right: Port-Address %#x", right[0].PortAddress)
		}
		s.Close()
	})
}

// A poll every 2.5 to 3 s by broadcast; a node that does not answer is dropped
// after several.
func TestArtNetPollsAndForgets(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s, f := testArt(t, "artnet nodes")
		nodeReply(f, "192.168.1.30", "left", 0, 1)
		synctest.Wait()
		run(t, s, 60*time.Second, func(i int) []Frame { return []Frame{frameOf(1, 2, byte(i))} })
		var polls []time.Time
		var lastData time.Time
		for _, p := range f.taken() {
			switch op, _ := artnet.OpCodeOf(p.payload); op {
			case artnet.OpPoll:
				switch p.to.String() {
				case "192.168.1.255:6454":
					polls = append(polls, p.at)
				case "192.168.1.30:6454": // a node that is late is asked by itself too
				default:
					t.Errorf("poll to %v", p.to)
				}
			case artnet.OpDmx:
				lastData = p.at
			}
		}
		for i := 1; i < len(polls); i++ {
			if d := polls[i].Sub(polls[i-1]); d < 2500*time.Millisecond || d > 3*time.Second {
				t.Errorf("polls %v apart, want 2.5 to 3 s", d)
			}
		}
		if d := lastData.Sub(polls[0]); d < nodeGone-100*time.Millisecond || d > nodeGone+2*artnet.PollInterval {
			t.Errorf("data to a silent node for %v, want about %v", d, nodeGone)
		}
		if last := s.Stats().LastError; !strings.Contains(last, "no node asks for Port-Address 1; none answers") {
			t.Errorf("last error %q", last)
		}
		s.Close()
	})
}

// Who asks how an output does waits for no packet that is on its way, however long that takes
// (here for ever), and still hears who answered.
func TestArtNetStatsWaitForNothing(t *testing.T) {
	ever := time.After(time.Minute) // of the computer's clock: a lock that is waited for stops the test's own
	synctest.Test(t, func(t *testing.T) {
		s, f := testArt(t, "artnet nodes")
		if st := s.Stats(); !st.Asks || st.Answers != "" {
			t.Errorf("before any answer: %+v", st)
		}
		nodeReply(f, "192.168.1.30", "left", 0, 1)
		time.Sleep(2 * keeperTick)
		asked := make(chan Stats, 1)
		s.mu.Lock() // as Send holds it while it sends
		go func() { asked <- s.Stats() }()
		select {
		case st := <-asked:
			if !strings.Contains(st.Answers, `192.168.1.30 "left" takes [1]`) {
				t.Errorf("answers %q", st.Answers)
			}
		case <-ever:
			t.Error("it waits for the packet")
		}
		s.mu.Unlock()
		time.Sleep(nodeGone + 2*artnet.PollInterval)
		if st := s.Stats(); st.Answers != "" {
			t.Errorf("of a node that is gone: %q", st.Answers)
		}
		s.Close()
	})
}

// Controllers answer polls too.
func TestArtNetAnswersPolls(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s, f := testArt(t, "artnet nodes")
		poll := artnet.Poll{}
		f.heard <- sentPacket{to: netip.MustParseAddrPort("192.168.1.77:6454"), payload: poll.Append(nil)}
		f.heard <- sentPacket{to: netip.MustParseAddrPort("192.168.1.66:6454"), payload: []byte("Art-Net\x00\x00\x20")} // cut
		time.Sleep(time.Second)
		n := 0
		for _, p := range f.taken() {
			if op, _ := artnet.OpCodeOf(p.payload); op != artnet.OpPollReply {
				continue
			}
			r, err := artnet.ParsePollReply(p.payload)
			if err != nil || p.to.String() != "192.168.1.77:6454" || r.Style != artnet.StyleController || r.ShortName != "Lampblack" || r.Addr().String() != "192.168.1.5" {
				t.Errorf("to %v: %+v, %v", p.to, r, err)
			}
			n++
		}
		if n != 1 {
			t.Errorf("%d replies, want 1", n)
		}
		s.Close()
	})
}

func TestArtNetOneNode(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s, f := testArt(t, "artnet 10.0.0.7 map 1:0 sync")
		s.Send([]Frame{frameOf(1, 2, 1)}, time.Now())
		packets := f.taken()
		if len(packets) != 2 || packets[1].at.Sub(packets[0].at) != syncDelay || artnet.ParseSync(packets[1].payload) != nil {
			t.Fatalf("%d packets, want data and ArtSync", len(packets))
		}
		if d := artDmx(t, packets)["10.0.0.7:6454"]; len(d) != 1 || d[0].PortAddress != 0 {
			t.Errorf("data %+v", d)
		}
		s.Close()
		if got := artDmx(t, f.taken())["10.0.0.7:6454"]; len(got) != 2 {
			t.Errorf("%d packets at Close, want the two that were left of three", len(got))
		}
	})
}

// Whatever a network sends to the port that listens, nothing breaks and memory
// stays bounded.
func FuzzArtNetHears(f *testing.F) {
	r := artnet.PollReply{ShortName: "n", NumPorts: 4, PortTypes: [4]byte{0x80, 0x80, 0x80, 0x80}, SwOut: [4]byte{1, 2, 3, 4}}
	poll := artnet.Poll{}
	f.Add(r.Append(nil), poll.Append(nil))
	s := &art{base: newBase(testSpec(f, "artnet nodes")), streams: map[uint16]*artStream{}, nodes: map[nodeKey]artNode{}, socket: newFakeSocket()}
	s.stream(1)
	f.Fuzz(func(t *testing.T, one, two []byte) {
		for i, b := range [][]byte{one, two, one} {
			from := netip.AddrPortFrom(netip.AddrFrom4([4]byte{10, 0, byte(len(one)), byte(i)}), artnet.Port)
			s.take(b, from)
		}
		s.tick(time.Now())
		s.receivers(1)
		_ = s.seen()
		if len(s.nodes) > maxNodes || len(s.asking) > maxNodes {
			t.Errorf("%d nodes, %d asking", len(s.nodes), len(s.asking))
		}
		s.socket.(*fakeSocket).taken()
	})
}
