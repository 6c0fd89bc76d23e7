package chase

import (
	"errors"
	"io"
	"net"
	"net/netip"
	"syscall"
)

// OpenPackets sends each message as a UDP packet to an address.
func OpenPackets(to netip.AddrPort) (*Port, error) {
	return newPort("packets to "+to.String(), func() (io.WriteCloser, error) {
		conn, err := net.DialUDP("udp", nil, net.UDPAddrFromAddrPort(to))
		if err != nil {
			return nil, err // and no socket, not even one that is nil
		}
		return packets{conn}, nil
	})
}

// packets is a socket that goes on when nobody listens at the other end: the system says
// so with the packet after the one that nobody took, which is then sent again.
type packets struct{ *net.UDPConn }

func (p packets) Write(b []byte) (int, error) {
	n, err := p.UDPConn.Write(b)
	if errors.Is(err, syscall.ECONNREFUSED) {
		n, err = p.UDPConn.Write(b)
	}
	return n, err
}
