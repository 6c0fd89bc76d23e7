package output

import (
	"context"
	"encoding/hex"
	"errors"
	"fmt"
	"net"
	"net/netip"
	"slices"
	"strings"
	"sync"
	"time"

	"lampblack/play/network"
	"lampblack/wire/sacn"

	"golang.org/x/net/ipv4"
)

// sampleTime is how long the data of a rival are listened to: one keep-alive
// and a little (ANSI E1.31, clause 6.6.2).
const sampleTime = 1200 * time.Millisecond

// ear is a socket that hears groups.
type ear interface {
	receive(b []byte) (n int, from netip.Addr, err error)
	join(group netip.Addr) error
	leave(group netip.Addr) error
	Close() error
}

// rivals listens for other sources of our universes. It hears the lists that sources
// send every ten seconds (clause 8), which costs next to nothing, and the data of a
// universe only for a moment, to learn the rival's priority. hear and at most one
// sample run at a time; close ends both.
type rivals struct {
	cid      [16]byte
	allies   *Allies
	priority byte
	ear      ear
	counters *counters
	own      func(netip.Addr) bool // tells addresses of this computer; of hear
	sampling chan struct{}         // holds one while a sample is taken
	stop     chan struct{}
	group    sync.WaitGroup

	mu       sync.Mutex // guards what follows
	ours     []uint16   // ascending
	wanted   uint16     // the universe whose data are listened to, 0 for none
	whose    [16]byte
	receiver sacn.Receiver
	seen     map[string]time.Time // the last list of each that was told of
}

func newRivals(o Options, priority byte, e ear, to *counters) (*rivals, error) {
	if err := e.join(sacn.Group4(sacn.DiscoveryUniverse)); err != nil {
		e.Close()
		return nil, err
	}
	r := &rivals{own: new(network.Own).Has, cid: o.CID, allies: o.Allies, priority: priority, ear: e, counters: to, seen: map[string]time.Time{}, sampling: make(chan struct{}, 1), stop: make(chan struct{})}
	r.group.Go(r.hear)
	return r, nil
}

// set says which universes are ours.
func (r *rivals) set(universes []uint16) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.ours = slices.Clone(universes)
}

func (r *rivals) close() {
	close(r.stop)
	r.ear.Close()
	r.group.Wait()
}

func (r *rivals) hear() {
	b := make([]byte, 2048)
	for {
		n, from, err := r.ear.receive(b)
		if err != nil {
			return
		}
		switch sacn.KindOf(b[:n]) {
		case sacn.KindDiscovery:
			if d, err := sacn.ParseDiscovery(b[:n]); err == nil {
				r.discovered(d, from)
			}
		case sacn.KindData:
			if d, err := sacn.ParseData(b[:n]); err == nil {
				r.data(d)
			}
		}
	}
}

// discovered looks for a universe of ours in another source's list. Only the first
// universe in common is looked at: two sources that share one mostly share all, and one
// message is enough.
func (r *rivals) discovered(d sacn.Discovery, from netip.Addr) {
	if r.allies.Has(d.CID) {
		r.counters.health.clear(Rival, whose(d.CID))
		return
	}
	double := d.CID == r.cid
	if double && r.own(from) {
		return
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	if who := whose(d.CID); !r.seen[who].IsZero() {
		r.seen[who] = time.Now()
	}
	for _, u := range d.Universes {
		if _, both := slices.BinarySearch(r.ours, u); !both {
			continue
		}
		if double {
			r.tell(doubleOf(u, from))
			return
		}
		select {
		case r.sampling <- struct{}{}:
			r.wanted, r.whose, r.receiver = u, d.CID, sacn.Receiver{}
			r.group.Go(func() { r.sample(u, d) })
		default: // one after the other: lists come again
		}
		return
	}
}

// sample joins a universe for a moment and reports what it found.
func (r *rivals) sample(universe uint16, d sacn.Discovery) {
	defer func() { <-r.sampling }()
	if err := r.ear.join(sacn.Group4(universe)); err != nil {
		return
	}
	timer := time.NewTimer(sampleTime)
	defer timer.Stop()
	select {
	case <-timer.C:
	case <-r.stop:
	}
	r.ear.leave(sacn.Group4(universe))
	r.mu.Lock()
	defer r.mu.Unlock()
	r.wanted = 0
	for _, s := range r.receiver.Sources(universe, time.Now()) {
		if s.CID == d.CID {
			r.tell(r.verdict(universe, s))
		}
	}
}

func (r *rivals) data(d sacn.Data) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if d.Universe == r.wanted && d.CID == r.whose {
		r.receiver.Take(d, time.Now())
	}
}

// verdict says what the receivers make of two sources (clause 6.2.3). Receivers follow
// the highest priority, and merge those that are equal, mostly the higher value of each
// slot.
func (r *rivals) verdict(universe uint16, s *sacn.Source) Fault {
	what, degree := MadeOf(s.Priority, r.priority)
	if s.Preview {
		what, degree = "its data are for preview only", Aside
	}
	return Fault{Cause: Rival, Degree: degree, Who: whose(s.CID),
		Text: fmt.Sprintf("universe %d is sent by %q too, with priority %d against our %d: %s", universe, strings.ToValidUTF8(s.Name, "?"), s.Priority, r.priority, what),
		Hint: "end the other program, or give one of the two another priority"}
}

// MadeOf is what receivers make of another source of a universe that is ours too, by the
// priorities of both (ANSI E1.31, 6.2.3), and how bad that is.
func MadeOf(theirs, ours byte) (what string, degree Degree) {
	switch {
	case theirs > ours:
		return "receivers follow it and not us", Partly
	case theirs < ours:
		return "receivers follow us", Aside
	}
	return "receivers mix both", Partly
}

// mostRivals bounds what a hostile network can make us remember.
const mostRivals = 32

// doubleOf is another computer that sends under our identifier, which is made of the host's
// name: receivers tell sources apart by that alone (ANSI E1.31, 5.6, from memory).
func doubleOf(universe uint16, from netip.Addr) Fault {
	return Fault{Cause: Rival, Degree: Partly, Who: "at " + from.String(),
		Text: fmt.Sprintf("universe %d is sent by another computer, at %v, under our identifier too: receivers take the two for one sender, and jump between them", universe, from),
		Hint: "end the show on the other one; give one of the two another host name"}
}

// tell tells of a rival. The lock is held.
func (r *rivals) tell(f Fault) {
	if len(r.seen) >= mostRivals && r.seen[f.Who].IsZero() {
		return
	}
	r.seen[f.Who] = time.Now()
	r.counters.failed(errors.New(f.Text))
	r.counters.health.set(f)
}

// forget says that rivals are gone whose lists do not come any more: two may be lost.
func (r *rivals) forget(now time.Time) {
	r.mu.Lock()
	defer r.mu.Unlock()
	for who, seen := range r.seen {
		if now.Sub(seen) > 5*sacn.DiscoveryInterval/2 {
			delete(r.seen, who)
			r.counters.health.clear(Rival, who)
		}
	}
}

// whose is a source's identifier as text.
func whose(cid [16]byte) string { return hex.EncodeToString(cid[:]) }

// udpEar hears on the standard's port, which other programs may share.
type udpEar struct {
	conn *net.UDPConn
	v4   *ipv4.PacketConn
	by   *net.Interface
}

func openEar(interfaceName string) (ear, error) {
	e := &udpEar{}
	if interfaceName != "" {
		ifi, err := network.Interface(interfaceName)
		if err != nil {
			return nil, err
		}
		e.by = ifi
	}
	config := net.ListenConfig{Control: network.Share}
	packets, err := config.ListenPacket(context.Background(), "udp4", fmt.Sprintf(":%d", sacn.Port))
	if err != nil {
		return nil, err
	}
	e.conn = packets.(*net.UDPConn)
	e.v4 = ipv4.NewPacketConn(packets)
	return e, nil
}

func (e *udpEar) receive(b []byte) (int, netip.Addr, error) {
	n, from, err := e.conn.ReadFromUDPAddrPort(b)
	return n, from.Addr().Unmap(), err
}

func (e *udpEar) join(group netip.Addr) error {
	return e.v4.JoinGroup(e.by, &net.UDPAddr{IP: group.AsSlice()})
}

func (e *udpEar) leave(group netip.Addr) error {
	return e.v4.LeaveGroup(e.by, &net.UDPAddr{IP: group.AsSlice()})
}

func (e *udpEar) Close() error { return e.conn.Close() }
