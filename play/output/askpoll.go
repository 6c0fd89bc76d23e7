package output

import (
	"context"
	"errors"
	"net"
	"net/netip"
	"sync"
	"time"

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
	var hearing sync.WaitGroup
	hearing.Go(func() {
		b := make([]byte, 2048)
		for {
			n, err := conn.Read(b)
			switch {
			case isClosed(err):
				return
			case err != nil:
				time.Sleep(keeperTick) // it came back
			default:
				if _, err := artnet.ParsePollReply(b[:n]); err == nil {
					q.answered()
				}
			}
		}
	})
	q.end = func() { conn.Close(); hearing.Wait() }
	return q
}

func isClosed(err error) bool { return errors.Is(err, net.ErrClosed) }
