package chase

import (
	"net"
	"strings"
	"testing"
	"time"
)

// Messages are packets of their own, in order. Those that nobody takes are lost, and
// cost none of those that come once somebody listens.
func TestOpenPackets(t *testing.T) {
	listen := func(port int) *net.UDPConn {
		t.Helper()
		c, err := net.ListenUDP("udp4", &net.UDPAddr{IP: net.IPv4(127, 0, 0, 1), Port: port})
		if err != nil {
			t.Fatal(err)
		}
		return c
	}
	c := listen(0)
	to := c.LocalAddr().(*net.UDPAddr).AddrPort()
	c.Close()
	p, err := OpenPackets(to)
	if err != nil {
		t.Fatal(err)
	}
	sent := func(n uint64) {
		t.Helper()
		for deadline := time.Now().Add(20 * time.Second); p.Stats().Sent+p.Stats().Dropped < n; {
			if time.Now().After(deadline) {
				t.Fatalf("%+v", p.Stats())
			}
			time.Sleep(time.Millisecond)
		}
	}
	p.Send(time.Now(), []byte("lost"))
	p.Send(time.Now(), []byte("lost too"))
	sent(2)
	c = listen(int(to.Port()))
	defer c.Close()
	for _, m := range []string{"one", "two", "three"} {
		p.Send(time.Now(), []byte(m))
	}
	b := make([]byte, 100)
	c.SetReadDeadline(time.Now().Add(20 * time.Second))
	for _, want := range []string{"one", "two", "three"} {
		n, err := c.Read(b)
		if err != nil || string(b[:n]) != want {
			t.Fatalf("got %q, %v, want %q; %+v", b[:n], err, want, p.Stats())
		}
	}
	if err := p.Close(); err != nil {
		t.Error(err)
	}
	if s := p.Stats(); s.LastError != "" || !strings.Contains(p.Name(), to.String()) {
		t.Errorf("%s: %+v", p.Name(), s)
	}
}
