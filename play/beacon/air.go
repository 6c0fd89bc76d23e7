package beacon

import (
	"context"
	"errors"
	"fmt"
	"net"
	"net/netip"
	"slices"
	"time"

	"lampblack/play/network"
	"lampblack/wire/beacon"

	"golang.org/x/net/ipv4"
)

// udpAir is a socket in the group of beacons, on the port that all runs of a machine share.
type udpAir struct {
	conn *net.UDPConn
	v4   *ipv4.PacketConn
	port uint16

	joined map[string]int // the index with which an interface was joined, by its name; of who sends

	own network.Own // of who receives
}

func openAir(port uint16) (*udpAir, error) {
	config := net.ListenConfig{Control: network.Share}
	packets, err := config.ListenPacket(context.Background(), "udp4", fmt.Sprintf(":%d", port))
	if err != nil {
		return nil, err
	}
	a := &udpAir{conn: packets.(*net.UDPConn), v4: ipv4.NewPacketConn(packets), port: port, joined: map[string]int{}}
	// It stays in this network, and other runs of this machine hear it.
	_ = a.v4.SetMulticastTTL(1)
	_ = a.v4.SetMulticastLoopback(true)
	return a, nil
}

// send passes over what an interface does not take: the outputs tell what is wrong with it.
func (a *udpAir) send(packet []byte, by []string) {
	all, err := net.Interfaces()
	if err != nil {
		return
	}
	group := net.UDPAddrFromAddrPort(netip.AddrPortFrom(beacon.Group4, a.port))
	for i := range all {
		ifi := &all[i]
		local := ifi.Flags&net.FlagLoopback != 0
		if ifi.Flags&net.FlagUp == 0 || !local && (by == nil && ifi.Flags&net.FlagMulticast == 0 || by != nil && !slices.Contains(by, ifi.Name)) {
			continue
		}
		a.join(ifi)
		if a.v4.SetMulticastInterface(ifi) == nil {
			_, _ = a.v4.WriteTo(packet, nil, group)
		}
	}
}

// join takes part in the group by an interface, anew where it went away and came back.
func (a *udpAir) join(ifi *net.Interface) {
	if a.joined[ifi.Name] != ifi.Index && a.v4.JoinGroup(ifi, &net.UDPAddr{IP: beacon.Group4.AsSlice()}) == nil {
		a.joined[ifi.Name] = ifi.Index
	}
}

func (a *udpAir) receive(b []byte) (int, bool, error) {
	for {
		n, from, err := a.conn.ReadFromUDPAddrPort(b)
		switch {
		case errors.Is(err, net.ErrClosed):
			return 0, false, err
		case err != nil: // of an interface that went away: others go on
			time.Sleep(every / 10)
			continue
		}
		return n, a.own.Has(from.Addr()), nil
	}
}

func (a *udpAir) Close() error { return a.conn.Close() }

// listen takes part in the group by all interfaces, for who only hears.
func (a *udpAir) listen() {
	all, _ := net.Interfaces()
	for i := range all {
		if all[i].Flags&net.FlagUp != 0 && all[i].Flags&(net.FlagMulticast|net.FlagLoopback) != 0 {
			a.join(&all[i])
		}
	}
}
