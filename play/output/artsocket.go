package output

import (
	"context"
	"fmt"
	"net"
	"net/netip"

	"lampblack/play/network"

	"golang.org/x/net/ipv4"
)

// maxSlots is a full universe (ANSI E1.11).
const maxSlots = 512

// artUDP is a socket on the protocol's own port, which several programs of one host
// share. That is why it must listen on that very port: nodes answer to it, whatever
// port asked.
type artUDP struct {
	*udpSocket
	interfaceName string
}

// openArt opens a socket for discovery on the port.
func openArt(port uint16, interfaceName string) (*artUDP, error) {
	if interfaceName != "" {
		if _, err := network.Interface(interfaceName); err != nil {
			return nil, err
		}
	}
	config := net.ListenConfig{Control: network.Share}
	packets, err := config.ListenPacket(context.Background(), "udp4", fmt.Sprintf(":%d", port))
	if err != nil {
		return nil, fmt.Errorf("open socket: %w", err)
	}
	conn := packets.(*net.UDPConn)
	conn.SetWriteBuffer(1 << 20)
	return &artUDP{udpSocket: &udpSocket{conn: conn, v4: ipv4.NewPacketConn(conn)}, interfaceName: interfaceName}, nil
}

func (a *artUDP) receive(b []byte) (int, netip.AddrPort, error) {
	for {
		n, from, err := a.conn.ReadFromUDPAddrPort(b)
		if err != nil && passing(err) {
			continue
		}
		return n, from, err
	}
}

// networks returns the IPv4 networks of the chosen interface, or of all that are up. A
// network of one or two addresses has no broadcast, and is left out.
func (a *artUDP) networks() []netip.Prefix {
	all, err := net.Interfaces()
	if err != nil {
		return nil
	}
	var out []netip.Prefix
	for _, ifi := range all {
		if ifi.Flags&net.FlagUp == 0 || a.interfaceName != "" && ifi.Name != a.interfaceName {
			continue
		}
		addrs, err := ifi.Addrs()
		if err != nil {
			continue
		}
		for _, addr := range addrs {
			if p, err := netip.ParsePrefix(addr.String()); err == nil && p.Addr().Is4() && p.Bits() < 31 {
				out = append(out, p)
			}
		}
	}
	return out
}

func (a *artUDP) broadcasts() []netip.Addr {
	var out []netip.Addr
	for _, p := range a.networks() {
		out = append(out, lastAddr(p))
	}
	return out
}

func (a *artUDP) local(to netip.Addr) netip.Addr {
	for _, p := range a.networks() {
		if p.Contains(to.Unmap()) {
			return p.Addr()
		}
	}
	return netip.Addr{}
}

// lastAddr is the directed broadcast address of an IPv4 network.
func lastAddr(p netip.Prefix) netip.Addr {
	b := p.Addr().As4()
	for i := p.Bits(); i < 32; i++ {
		b[i/8] |= 0x80 >> (i % 8)
	}
	return netip.AddrFrom4(b)
}

// oneNode is a socket for a node whose address is known: nothing is heard.
type oneNode struct{ *udpSocket }

func (oneNode) receive([]byte) (int, netip.AddrPort, error) {
	return 0, netip.AddrPort{}, net.ErrClosed
}
func (oneNode) broadcasts() []netip.Addr    { return nil }
func (oneNode) local(netip.Addr) netip.Addr { return netip.Addr{} }
