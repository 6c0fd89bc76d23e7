package output_test

import (
	"bytes"
	"fmt"
	"net"
	"os"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"lampblack/play/output"
	"lampblack/play/output/sinktest"
	"lampblack/wire/artnet"
	"lampblack/wire/outside"
	"lampblack/wire/sacn"
)

// listener keeps the datagrams that come to a port of the loopback.
type listener struct {
	conn *net.UDPConn
	port int

	mu   sync.Mutex
	got  [][]byte
	from []net.Addr
	came chan struct{}
}

func listen(t testing.TB, network, address string) *listener {
	t.Helper()
	packets, err := net.ListenPacket(network, address)
	if err != nil {
		t.Skipf("outside check left out: needs %s on the loopback (%v)", network, err)
	}
	l := &listener{conn: packets.(*net.UDPConn), came: make(chan struct{}, 1)}
	l.port = l.conn.LocalAddr().(*net.UDPAddr).Port
	l.conn.SetReadBuffer(1 << 22)
	t.Cleanup(func() { l.conn.Close() })
	go func() {
		b := make([]byte, 2048)
		for {
			n, from, err := l.conn.ReadFrom(b)
			if err != nil {
				return
			}
			l.mu.Lock()
			l.got, l.from = append(l.got, bytes.Clone(b[:n])), append(l.from, from)
			l.mu.Unlock()
			select {
			case l.came <- struct{}{}:
			default:
			}
		}
	}()
	return l
}

func (l *listener) peek() [][]byte {
	l.mu.Lock()
	defer l.mu.Unlock()
	return slices.Clone(l.got)
}

// rest returns all that came, once something has and then nothing for a while.
func (l *listener) rest(t testing.TB) [][]byte {
	t.Helper()
	for deadline := time.After(10 * time.Second); ; {
		select {
		case <-l.came:
			continue
		case <-time.After(100 * time.Millisecond):
		}
		if got := l.peek(); len(got) > 0 {
			return got
		}
		select {
		case <-deadline:
			t.Fatal("no datagram came")
		default:
		}
	}
}

func TestE131KeepsContract(t *testing.T) {
	for _, c := range []struct{ network, address, place string }{{"udp4", "127.0.0.1:0", "127.0.0.1"}, {"udp6", "[::1]:0", "::1"}} {
		t.Run(c.network, func(t *testing.T) {
			sinktest.Check(t, func(t *testing.T) sinktest.Wire {
				l := listen(t, c.network, c.address)
				s, err := output.Open(fmt.Sprintf("e131 %s port %d", c.place, l.port), output.Options{})
				if err != nil {
					t.Fatal(err)
				}
				return sinktest.Wire{Sink: s, Last: func(t *testing.T) []byte { return lastLevels(t, l) }}
			})
		})
	}
}

// lastLevels follows the packets as a receiver must; the levels that counted
// before the termination are those that arrived.
func lastLevels(t *testing.T, l *listener) []byte {
	t.Helper()
	var last []byte
	ends := 0
	for _, b := range l.rest(t) {
		d, err := sacn.ParseData(b)
		switch {
		case sacn.KindOf(b) == sacn.KindDiscovery:
			continue
		case err != nil:
			t.Fatal(err)
		case d.Universe != 1:
			continue
		case d.Terminated:
			ends++
		}
		last = d.Slots
	}
	if ends != 3 {
		t.Errorf("%d packets with Stream_Terminated, want 3", ends)
	}
	return last
}

func TestArtNetKeepsContract(t *testing.T) {
	sinktest.Check(t, func(t *testing.T) sinktest.Wire {
		l := listen(t, "udp4", "127.0.0.1:0")
		s, err := output.Open(fmt.Sprintf("artnet 127.0.0.1 port %d", l.port), output.Options{})
		if err != nil {
			t.Fatal(err)
		}
		return sinktest.Wire{Sink: s, Last: func(t *testing.T) []byte {
			var last []byte
			for _, b := range l.rest(t) {
				d, err := artnet.ParseDmx(b)
				if err != nil {
					t.Fatal(err)
				}
				if d.PortAddress == 1 {
					last = d.Slots
				}
			}
			return last
		}}
	})
}

func TestFileKeepsContract(t *testing.T) {
	sinktest.Check(t, func(t *testing.T) sinktest.Wire {
		dir := t.TempDir()
		s, err := output.Open("file x universes 1", output.Options{Dir: dir})
		if err != nil {
			t.Fatal(err)
		}
		return sinktest.Wire{Sink: s, Last: func(t *testing.T) []byte { return lastCaptured(t, dir+"/x") }}
	})
}

func TestMailboxKeepsContract(t *testing.T) {
	sinktest.Check(t, func(t *testing.T) sinktest.Wire {
		dir := t.TempDir()
		s, err := output.Open("file x universes 1", output.Options{Dir: dir})
		if err != nil {
			t.Fatal(err)
		}
		return sinktest.Wire{Sink: patient{output.Mailbox(s), s}, Last: func(t *testing.T) []byte { return lastCaptured(t, dir+"/x") }}
	})
}

// patient waits after each Send until the sink behind the mailbox has it, so
// that newest-wins drops nothing.
type patient struct {
	output.Sink
	behind output.Sink
}

func (p patient) Send(frames []output.Frame, due time.Time) error {
	before := p.behind.Stats().Sent
	if err := p.Sink.Send(frames, due); err != nil {
		return err
	}
	tick := time.NewTicker(time.Millisecond)
	defer tick.Stop()
	for p.behind.Stats().Sent == before {
		<-tick.C
	}
	return nil
}

func openCapture(t *testing.T, path string) *output.Capture {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	c, err := output.OpenCapture(bytes.NewReader(b), int64(len(b)))
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func lastCaptured(t *testing.T, path string) []byte {
	t.Helper()
	var last []byte
	c := openCapture(t, path)
	if err := c.Each(func(f output.CapturedFrame) error {
		if len(f.Frames) > 0 {
			last = f.Frames[0].Slots
		}
		return nil
	}); err != nil {
		t.Fatal(err)
	}
	return last
}

// What leaves by the loopback is what tshark reads: universe, priority,
// sequence and synchronization address of a run of a hundred frames.
func TestTsharkDissectsRun(t *testing.T) {
	l := listen(t, "udp4", "127.0.0.1:0")
	s, err := output.Open(fmt.Sprintf("e131 127.0.0.1 port %d priority 150", l.port), output.Options{Source: "Stage left"})
	if err != nil {
		t.Fatal(err)
	}
	for i := range 100 {
		if err := s.Send([]output.Frame{{Universe: 9, Slots: bytes.Repeat([]byte{byte(i)}, 512)}}, time.Now()); err != nil {
			t.Fatal(err)
		}
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	packets := slices.DeleteFunc(l.rest(t), func(b []byte) bool { return sacn.KindOf(b) != sacn.KindData })
	lines := outside.Dissect(t, sacn.Port, packets, []string{"--enable-heuristic", "acn", "-o", "acn.dmx_enable:TRUE"},
		"acn.dmx.source_name", "acn.dmx.priority", "acn.dmx.universe", "acn.dmx.seq_number", "acn.dmx.count", "acn.dmx.option_s", "_ws.malformed")
	// A keep-alive of the keeper may stand between two: the sequence goes on.
	if len(lines) < 105 {
		t.Fatalf("%d packets, want 100, two repeats and three terminations", len(lines))
	}
	for i, line := range lines {
		end := 0
		if i >= len(lines)-3 {
			end = 1
		}
		want := fmt.Sprintf("Stage left\t150\t9\t%d\t513\t%d\t", i, end)
		if line != want {
			t.Fatalf("packet %d: %q, want %q", i, line, want)
		}
	}
}

func TestOpenFails(t *testing.T) {
	for spec, says := range map[string]string{
		"e131 multicast interface nope7":          `network interface "nope7": not there now, only lo`,
		"e131 10.0.0.1 interface nope7":           `network interface "nope7"`,
		"artnet nodes interface nope7":            `network interface "nope7"`,
		"e131 multicast priority 201 universes 0": "column 25",
	} {
		if _, err := output.Open(spec, output.Options{}); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%s: %v, want %q in it", spec, err, says)
		}
	}
}
