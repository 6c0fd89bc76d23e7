package trigger

import (
	"context"
	"errors"
	"fmt"
	"net"
	"net/netip"
	"os"
	"time"

	"golang.org/x/net/ipv4"
	"golang.org/x/net/ipv6"

	"lampblack/play/network"
	"lampblack/wire/sacn"
)

// packets is a socket that listens.
type packets interface {
	ReadFromUDPAddrPort(b []byte) (n int, from netip.AddrPort, err error)
	SetReadDeadline(t time.Time) error
	Close() error
}

// Limits of what is read from a network. A person's presses and the 44 frames a second
// of forty universes stay far below; a flood is read at this pace, and the rest of it is
// left to the system, which drops it.
const (
	breath   = 10 * time.Millisecond
	mostRead = 200        // packets in a breath
	mostBusy = breath / 5 // of one processor, however dear a packet is to take
	// largest is more than a UDP packet can hold.
	largest = 1 << 16
	// looks is how often a place looks up from its packets, at silence above all.
	looks = 250 * time.Millisecond
)

// read takes packets until the socket ends. Look is called now and then, if it is not
// nil.
func (f *feed) read(p packets, take func(b []byte, from netip.AddrPort, now time.Time), look func(now time.Time)) error {
	b := make([]byte, largest)
	pace := pacer{began: time.Now()}
	looked := pace.began
	for {
		if err := p.SetReadDeadline(time.Now().Add(looks)); err != nil {
			return err
		}
		n, from, err := p.ReadFromUDPAddrPort(b)
		now := time.Now()
		switch {
		case err == nil:
			take(b[:n], from, now)
		case !errors.Is(err, os.ErrDeadlineExceeded):
			return err
		}
		if look != nil && now.Sub(looked) >= looks {
			look(now)
			looked = now
		}
		if pace.rests(now, time.Now()) {
			f.crowd()
		}
	}
}

// pacer holds a reader to its pace.
type pacer struct {
	began   time.Time // the breath
	packets int
	busy    time.Duration
}

// rests counts a packet that was taken from one instant to another, and waits for the
// next breath when this one is full.
func (p *pacer) rests(from, to time.Time) bool {
	if to.Sub(p.began) >= breath {
		*p = pacer{began: to}
		return false
	}
	p.packets++
	p.busy += to.Sub(from)
	if p.packets < mostRead && p.busy < mostBusy {
		return false
	}
	time.Sleep(p.began.Add(breath).Sub(to))
	*p = pacer{began: time.Now()}
	return true
}

// openPackets opens a socket on a port that other programs of this host may listen on
// as well, and joins the groups of its universes if it is for multicast.
func openPackets(at spot, universes []uint16) (packets, error) {
	config := net.ListenConfig{Control: network.Share}
	conn, err := config.ListenPacket(context.Background(), "udp", at.listen.String())
	if err != nil {
		return nil, err
	}
	udp := conn.(*net.UDPConn)
	if at.multicast {
		if err := join(udp, at, universes); err != nil {
			udp.Close()
			return nil, err
		}
	}
	return udp, nil
}

func join(udp *net.UDPConn, at spot, universes []uint16) error {
	var by *net.Interface
	if at.by != "" {
		var err error
		if by, err = network.Interface(at.by); err != nil {
			return err
		}
	}
	for _, universe := range universes {
		var err error
		if at.listen.Addr().Is4() {
			err = ipv4.NewPacketConn(udp).JoinGroup(by, &net.UDPAddr{IP: sacn.Group4(universe).AsSlice()})
		} else {
			err = ipv6.NewPacketConn(udp).JoinGroup(by, &net.UDPAddr{IP: sacn.Group6(universe).AsSlice()})
		}
		if err != nil {
			return fmt.Errorf("join the group of universe %d: %w", universe, err)
		}
	}
	return nil
}
