package lamps

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"net"
	"net/netip"
	"slices"
	"time"

	"lampblack/play/line"
	"lampblack/play/network"
	"lampblack/wire/artnet"
	"lampblack/wire/rdm"
)

// How long nodes may take. Art-Net 4 lets a node take 3 s to answer a poll; what a table
// takes it does not say: with nobody on the line some seconds, with many some more (common
// practice, no source).
const (
	polled    = 3 * time.Second
	settled   = 4 * time.Second // a table that has not changed for so long is all there is
	asksOf    = 3               // how often it is asked for meanwhile
	mostTable = 45 * time.Second
	mostReply = time.Second // a node waits until its line is free
)

// nodes is a socket that nodes are asked by.
type nodes struct {
	conn    *net.UDPConn
	port    uint16
	settles time.Duration // how long a table stands that changes no more
}

// node is one data line of a node.
type node struct {
	*nodes
	at       netip.AddrPort
	address  uint16 // Port-Address
	universe int
	anew     bool // the table was made anew
}

// openNodes finds the nodes of an output, and their lines.
func openNodes(ctx context.Context, out line.Out, carried map[uint16]int) (*Lines, error) {
	n := &nodes{port: out.Port, settles: settled}
	if n.port == 0 {
		n.port = artnet.Port
	}
	config := net.ListenConfig{Control: network.Share}
	packets, err := config.ListenPacket(ctx, "udp4", fmt.Sprintf(":%d", n.port))
	if err != nil {
		return nil, fmt.Errorf("open socket: %w", err)
	}
	n.conn = packets.(*net.UDPConn)
	l := &Lines{close: n.conn.Close}
	to := []netip.Addr{out.Addr}
	if !out.Addr.IsValid() {
		to = broadcasts(out.Interface)
	}
	l.All, err = n.lines(ctx, to, out.Addr.IsValid(), carried)
	if err != nil {
		return nil, errors.Join(err, n.conn.Close())
	}
	return l, nil
}

// lines polls, and takes each Port-Address that a node puts out as a line. A known node that
// says nothing of its ports is asked about all that it is sent.
func (n *nodes) lines(ctx context.Context, to []netip.Addr, known bool, carried map[uint16]int) ([]Line, error) {
	poll := artnet.Poll{}
	seen := map[node]bool{}
	var all []Line
	add := func(l node) {
		if !seen[l] {
			seen[l] = true
			all = append(all, &l)
		}
	}
	for _, a := range to {
		if err := n.send(netip.AddrPortFrom(a, n.port), poll.Append(nil)); err != nil {
			return nil, err
		}
	}
	err := n.until(ctx, polled, func(b []byte, from netip.AddrPort) bool {
		r, err := artnet.ParsePollReply(b)
		if err != nil || known && from.Addr() != to[0] {
			return false
		}
		for _, p := range r.Outputs() {
			if u, ok := carried[p]; ok {
				add(node{nodes: n, at: netip.AddrPortFrom(from.Addr(), n.port), address: p, universe: u})
			}
		}
		return known && len(all) == len(carried)
	})
	if known && len(all) == 0 {
		for _, p := range slices.Sorted(maps.Keys(carried)) {
			add(node{nodes: n, at: netip.AddrPortFrom(to[0], n.port), address: p, universe: carried[p]})
		}
	}
	return all, err
}

// broadcasts are the directed broadcast addresses of an interface, or of all.
func broadcasts(name string) []netip.Addr {
	var out []netip.Addr
	all, _ := net.Interfaces()
	for _, ifi := range all {
		if ifi.Flags&net.FlagUp == 0 || name != "" && ifi.Name != name {
			continue
		}
		addrs, _ := ifi.Addrs()
		for _, a := range addrs {
			if p, err := netip.ParsePrefix(a.String()); err == nil && p.Addr().Is4() && p.Bits() < 31 {
				b := p.Addr().As4()
				for i := p.Bits(); i < 32; i++ {
					b[i/8] |= 0x80 >> (i % 8)
				}
				out = append(out, netip.AddrFrom4(b))
			}
		}
	}
	return out
}

func (n *nodes) send(to netip.AddrPort, b []byte) error {
	_, err := n.conn.WriteToUDPAddrPort(b, to)
	return err
}

// until hands on what comes, until take has enough or the time is over.
func (n *nodes) until(ctx context.Context, most time.Duration, take func(b []byte, from netip.AddrPort) bool) error {
	if err := n.conn.SetReadDeadline(time.Now().Add(most)); err != nil {
		return err
	}
	stop := context.AfterFunc(ctx, func() { _ = n.conn.SetReadDeadline(time.Unix(1, 0)) })
	defer stop()
	buffer := make([]byte, 2048)
	for end := time.Now().Add(most); time.Now().Before(end) && ctx.Err() == nil; {
		size, from, err := n.conn.ReadFromUDPAddrPort(buffer)
		if errors.Is(err, net.ErrClosed) {
			return err
		}
		if err == nil && take(buffer[:size], netip.AddrPortFrom(from.Addr().Unmap(), from.Port())) {
			return nil
		}
	}
	return ctx.Err()
}

func (n *node) Name() string  { return fmt.Sprintf("node %v, Port-Address %d", n.at.Addr(), n.address) }
func (n *node) Universe() int { return n.universe }

// Find asks the node for its table, and has it made anew where it is empty.
func (n *node) Find(ctx context.Context, progress Progress) ([]rdm.UID, error) {
	found, err := n.table(ctx, progress)
	if err != nil || len(found) > 0 || n.anew {
		return found, err
	}
	n.anew = true
	flush := artnet.TodDo{PortAddress: n.address, Command: artnet.TodFlush}
	if err := n.send(n.at, flush.Append(nil)); err != nil {
		return nil, err
	}
	return n.table(ctx, progress)
}

// errNoTable is that a node does not know of RDM.
var errNoTable = errors.New("the node gives no table of devices: it has no RDM, or that is switched off in its settings")

// table asks for the table until it is whole: twice in the same words, and, where it is made
// anew, unchanged for a while.
func (n *node) table(ctx context.Context, progress Progress) ([]rdm.UID, error) {
	ask := artnet.TodAsk{Net: byte(n.address >> 8), Addresses: []byte{byte(n.address)}}
	t := table{found: map[rdm.UID]bool{}, changed: time.Now()}
	for begun := time.Now(); time.Since(begun) < mostTable && time.Since(t.changed) < n.settles; {
		if progress != nil {
			progress(len(t.found), min(1, float64(time.Since(begun))/float64(2*n.settles)))
		}
		if err := n.send(n.at, ask.Append(nil)); err != nil {
			return nil, err
		}
		t.whole = false
		err := n.until(ctx, n.settles/asksOf, func(b []byte, from netip.AddrPort) bool {
			d, err := artnet.ParseTodData(b)
			if err == nil && from.Addr() == n.at.Addr() && d.PortAddress == n.address && !d.Refused {
				t.take(&d)
			}
			return t.whole && !n.anew // one that is made anew is waited for: it may grow
		})
		if err != nil {
			return sorted(t.found), err
		}
		if t.answered && t.total == 0 && !n.anew {
			break // it may never have looked: it is told to
		}
		if t.said++; t.whole && t.said > 1 && len(t.found) > 0 && (!n.anew || time.Since(t.changed) > n.settles/2) {
			break
		}
	}
	if !t.answered {
		return nil, errNoTable
	}
	return sorted(t.found), nil
}

// table is what a node has said of one line.
type table struct {
	found    map[rdm.UID]bool
	total    int
	said     int // how often it was asked
	answered bool
	whole    bool // as many as it says there are, since it was asked last
	changed  time.Time
}

func (t *table) take(d *artnet.TodData) {
	before := len(t.found)
	for _, u := range d.UIDs {
		if u := rdm.UID(u); !u.All() && len(t.found) < mostDevices {
			t.found[u] = true
		}
	}
	if len(t.found) != before || t.total != int(d.Total) {
		t.changed, t.total, t.said = time.Now(), int(d.Total), 0
	}
	t.answered, t.whole = true, len(t.found) >= t.total
}

func sorted(found map[rdm.UID]bool) []rdm.UID {
	return slices.SortedFunc(maps.Keys(found), func(a, b rdm.UID) int { return slices.Compare(a[:], b[:]) })
}

// Exchange has the node pass a request on.
func (n *node) Exchange(ctx context.Context, request *rdm.Packet) (rdm.Packet, error) {
	carried := artnet.Rdm{PortAddress: n.address, Packet: request.Append(nil)}
	if err := n.send(n.at, carried.Append(nil)); err != nil {
		return rdm.Packet{}, err
	}
	var reply rdm.Packet
	got := false
	err := n.until(ctx, mostReply, func(b []byte, from netip.AddrPort) bool {
		a, err := artnet.ParseRdm(b)
		if err != nil || from.Addr() != n.at.Addr() || a.PortAddress != n.address {
			return false
		}
		p, err := rdm.Parse(a.Packet)
		if got = err == nil && p.Answers(request); got {
			reply = p
		}
		return got
	})
	if err == nil && !got {
		err = errSilent
	}
	return reply, err
}
