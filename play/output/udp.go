package output

import (
	"errors"
	"fmt"
	"net"
	"net/netip"
	"syscall"

	"lampblack/play/network"

	"golang.org/x/net/ipv4"
	"golang.org/x/net/ipv6"
)

// datagram is one packet and where it goes. It is used again from frame to frame.
type datagram struct {
	to      netip.AddrPort
	payload []byte

	// Owned by udpSocket: to, in the form that it needs.
	form    netip.AddrPort
	addr    net.UDPAddr
	buffers [1][]byte
}

// prepare brings the datagram into the form of a batch. With hundreds of
// datagrams a frame it counts how much memory is touched, so it leaves alone
// what has not changed.
func (g *datagram) prepare() ipv4.Message {
	if g.form != g.to {
		g.form = g.to
		g.addr = net.UDPAddr{IP: append(g.addr.IP[:0], g.to.Addr().AsSlice()...), Port: int(g.to.Port()), Zone: g.to.Addr().Zone()}
	}
	g.buffers[0] = g.payload
	return ipv4.Message{Buffers: g.buffers[:], Addr: &g.addr}
}

// socket sends datagrams. It is the only thing of the network that the sinks
// see, so that tests can give them one of their own.
type socket interface {
	// send sends all datagrams that it can and returns the first error.
	send(d []*datagram) error
	Close() error
}

// udpSocket sends many datagrams with one call of the system where it can
// (sendmmsg on Linux).
type udpSocket struct {
	conn     *net.UDPConn
	v4       *ipv4.PacketConn
	v6       *ipv6.PacketConn
	messages []ipv4.Message
	came     func(error) // told what the network sends back to earlier packets; may be nil
}

// openUDP opens a socket for one family. An interface name chooses where
// multicast goes; empty leaves it to the system.
func openUDP(v6 bool, bind netip.AddrPort, interfaceName string) (*udpSocket, error) {
	network := "udp4"
	if v6 {
		network = "udp6"
	}
	conn, err := net.ListenUDP(network, net.UDPAddrFromAddrPort(bind))
	if err != nil {
		return nil, fmt.Errorf("open socket: %w", err)
	}
	s := &udpSocket{conn: conn}
	if v6 {
		s.v6 = ipv6.NewPacketConn(conn)
	} else {
		s.v4 = ipv4.NewPacketConn(conn)
	}
	if err := s.choose(interfaceName); err != nil {
		conn.Close()
		return nil, err
	}
	// A burst of 256 full universes has to fit, whatever the system's default.
	conn.SetWriteBuffer(1 << 20)
	return s, nil
}

// choose sets the interface for multicast.
func (s *udpSocket) choose(name string) error {
	if name == "" {
		return nil
	}
	ifi, err := network.Interface(name)
	if err != nil {
		return err
	}
	if s.v6 != nil {
		err = s.v6.SetMulticastInterface(ifi)
	} else {
		err = s.v4.SetMulticastInterface(ifi)
	}
	if err != nil {
		return fmt.Errorf("send by interface %s: %w", name, err)
	}
	return nil
}

func (s *udpSocket) Close() error { return s.conn.Close() }

// send hands the batch to the system, as often as it takes. One receiver that cannot be
// reached must not keep the others from their light: what fails is stepped over, and
// the first error is told at the end.
func (s *udpSocket) send(d []*datagram) error {
	for len(s.messages) < len(d) {
		s.messages = append(s.messages, ipv4.Message{})
	}
	for i, g := range d {
		s.messages[i] = g.prepare()
	}
	var first error
	for rest := s.messages[:len(d)]; len(rest) > 0; {
		n, err := s.write(rest)
		n = max(n, 0) // the call counts -1 when the first one failed
		if again := rest[n:]; err != nil && sentBack(err) && len(again) > 0 {
			// It may be the answer to an earlier packet, and says nothing of this one.
			more, second := s.write(again)
			if second == nil && s.came != nil {
				s.came(err)
			}
			n, err = n+max(more, 0), second
		}
		if err != nil && !passing(err) && first == nil {
			first = err
		}
		if len(rest) > n && (err != nil || n == 0) { // one is lost: go on with the next
			n++
		}
		rest = rest[n:]
	}
	return first
}

// write returns how many the system took at once.
func (s *udpSocket) write(m []ipv4.Message) (int, error) {
	if s.v6 != nil {
		return s.v6.WriteBatch(m, 0)
	}
	return s.v4.WriteBatch(m, 0)
}

// sentBack reports errors that may be what the network answers to an earlier packet
// (ip(7), IP_RECVERR): they come once, in place of a packet that would have left.
func sentBack(err error) bool {
	return errors.Is(err, syscall.ECONNREFUSED) || errors.Is(err, syscall.EHOSTUNREACH) || errors.Is(err, syscall.ENETUNREACH)
}

// passing reports errors that concern one packet and not the network: nobody
// listened when an earlier packet came.
func passing(err error) bool { return errors.Is(err, syscall.ECONNREFUSED) }
