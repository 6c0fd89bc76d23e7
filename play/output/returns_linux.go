package output

import "golang.org/x/sys/unix"

// returns asks the system for what the network sends back to packets of an unconnected
// socket, that nobody is there or nobody listens (ip(7), IP_RECVERR), and has it told.
func (s *udpSocket) returns(tell func(error)) {
	level, option := unix.IPPROTO_IP, unix.IP_RECVERR
	if s.v6 != nil {
		level, option = unix.IPPROTO_IPV6, unix.IPV6_RECVERR
	}
	raw, err := s.conn.SyscallConn()
	if err != nil {
		return
	}
	s.came = tell
	_ = raw.Control(func(fd uintptr) {
		// One that does not take it works all the same, and tells nothing.
		_ = unix.SetsockoptInt(int(fd), level, option, 1)
	})
}
