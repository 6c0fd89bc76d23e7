package lamps

import (
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"net"
	"net/netip"
	"slices"
	"testing"
	"time"

	"lampblack/play/lamps/lampstest"
	"lampblack/play/leaktest"
	"lampblack/play/line"
)

// start starts a node at an address of this computer, and returns the output that sends to
// it.
func start(t *testing.T, n *lampstest.Node) line.Out {
	t.Helper()
	free, err := net.ListenPacket("udp4", ":0")
	if err != nil {
		t.Skipf("needs UDP on the loopback: %v", err)
	}
	port := free.LocalAddr().(*net.UDPAddr).Port
	free.Close()
	if err := n.Start(netip.AddrPortFrom(netip.MustParseAddr("127.0.0.2"), uint16(port))); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { n.Close() })
	out, err := line.ParseOut(fmt.Sprintf("artnet 127.0.0.2 port %d map 1:17,2:18", port))
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// The lines of a node are those of the show's universes, under their numbers there; its table
// comes in several packets, and each lamp is asked by way of it.
func TestNodeOfTwoLines(t *testing.T) {
	leaktest.Check(t, func() {
		r := rand.New(rand.NewPCG(14, 4))
		wires := map[int]*lampstest.Wire{17: {Lamps: many(r, 5)}, 18: {Lamps: many(r, 3)}, 19: {Lamps: many(r, 1)}}
		box := &lampstest.Node{Wires: wires, Small: 2}
		out := start(t, box)
		defer box.Close()
		lines, err := Open(context.Background(), out, []int{1, 2, 9})
		if err != nil {
			t.Fatal(err)
		}
		defer lines.Close()
		slices.SortFunc(lines.All, func(a, b Line) int { return a.Universe() - b.Universe() })
		if len(lines.All) != 2 || lines.All[0].Universe() != 1 || lines.All[1].Universe() != 2 {
			t.Fatalf("lines %+v", lines.All)
		}
		for i, l := range lines.All {
			l.(*node).settles = time.Second
			list, err := Read(context.Background(), l, nil)
			var got []string
			for _, d := range list {
				got = append(got, d.UID.String())
				if d.Footprint != 4 || d.Universe != i+1 || len(d.Missing) > 0 {
					t.Errorf("got %+v", d)
				}
			}
			var want []string
			for _, u := range uids(wires[17+i].Lamps) {
				want = append(want, u.String())
			}
			if err != nil || !slices.Equal(got, want) {
				t.Errorf("line %d: got %v, %v, want %v", i+1, got, err, want)
			}
		}
		// Once as it is, and then now and then while it is made anew.
		if n := box.Asked(); n > 2*(1+2*asksOf) {
			t.Errorf("the node was asked %d times for two tables", n)
		}
	})
}

// A node that knows nothing of RDM says so by silence; who stops asking is not kept waiting.
func TestNodeThatCannot(t *testing.T) {
	box := &lampstest.Node{Wires: map[int]*lampstest.Wire{17: {}}, NoRDM: true}
	lines, err := Open(context.Background(), start(t, box), []int{1})
	if err != nil || len(lines.All) != 1 {
		t.Fatal(lines, err)
	}
	defer lines.Close()
	lines.All[0].(*node).settles = 50 * time.Millisecond
	if _, err := Read(context.Background(), lines.All[0], nil); !errors.Is(err, errNoTable) {
		t.Errorf("got %v", err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := lines.All[0].Find(ctx, nil); !errors.Is(err, context.Canceled) {
		t.Errorf("stopped: %v", err)
	}
}
