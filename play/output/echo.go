package output

import (
	"bytes"
	"crypto/rand"
	"net"
	"net/netip"
	"os"

	"golang.org/x/net/icmp"
	"golang.org/x/net/ipv4"
	"golang.org/x/net/ipv6"
)

// newEcho asks a receiver by echo requests (RFC 792; RFC 4443, 4.1), or is nil where this
// user may not send any: systems allow them without rights by a socket that takes nothing
// else, or to those who may do all.
func newEcho(from, to netip.Addr) *question {
	unprivileged, privileged, proto := "udp4", "ip4:icmp", 1
	var kind, reply icmp.Type = ipv4.ICMPTypeEcho, ipv4.ICMPTypeEchoReply
	if to.Is6() {
		unprivileged, privileged, proto = "udp6", "ip6:ipv6-icmp", 58
		kind, reply = ipv6.ICMPTypeEchoRequest, ipv6.ICMPTypeEchoReply
	}
	conn, err := icmp.ListenPacket(unprivileged, from.String())
	var dst net.Addr = &net.UDPAddr{IP: to.AsSlice(), Zone: to.Zone()}
	if err != nil {
		conn, err = icmp.ListenPacket(privileged, from.String())
		dst = &net.IPAddr{IP: to.AsSlice(), Zone: to.Zone()}
	}
	if err != nil {
		return nil
	}
	body := make([]byte, 16) // by which our own answers are known
	_, _ = rand.Read(body)
	q := &question{}
	sequence := 0
	q.ask = func() error {
		sequence = (sequence + 1) & 0xffff
		m := icmp.Message{Type: kind, Body: &icmp.Echo{ID: os.Getpid() & 0xffff, Seq: sequence, Data: body}}
		b, err := m.Marshal(nil)
		if err == nil {
			_, err = conn.WriteTo(b, dst)
		}
		return err
	}
	read := func(b []byte) (int, error) {
		n, _, err := conn.ReadFrom(b)
		return n, err // also what came back to an earlier question
	}
	q.hear(conn, read, func(b []byte) bool {
		m, err := icmp.ParseMessage(proto, b)
		if err != nil || m.Type != reply {
			return false
		}
		e, ok := m.Body.(*icmp.Echo)
		return ok && bytes.Equal(e.Data, body)
	})
	return q
}
