package output

import (
	"context"
	"net"
	"net/netip"

	"lampblack/play/network"
	"lampblack/wire/artnet"
)

// newPolls asks one Art-Net node by polls, or is nil where the protocol's port cannot be
// had: nodes answer to it, whatever port asked. The socket is connected, so that of several
// that share the port this one gets what its node says.
func newPolls(from netip.Addr, to netip.AddrPort) *question {
	d := net.Dialer{Control: network.Share, LocalAddr: net.UDPAddrFromAddrPort(netip.AddrPortFrom(from, to.Port()))}
	conn, err := d.DialContext(context.Background(), "udp4", to.String())
	if err != nil {
		return nil
	}
	q := &question{}
	poll := artnet.Poll{}
	packet := poll.Append(nil)
	q.ask = func() error {
		_, err := conn.Write(packet)
		return err
	}
	q.hear(conn, conn.Read, func(b []byte) bool {
		_, err := artnet.ParsePollReply(b)
		return err == nil
	})
	return q
}
