package output

import (
	"bytes"
	"errors"
	"net"
	"net/netip"
	"sync"
	"testing"
	"time"

	"lampblack/play/line"
	"lampblack/wire/sacn"
)

// sentPacket is what a fake socket was given, and when.
type sentPacket struct {
	at      time.Time
	to      netip.AddrPort
	payload []byte
}

// fakeSocket keeps what it is given.
type fakeSocket struct {
	mu      sync.Mutex
	packets []sentPacket
	fail    error
	closed  bool
	heard   chan sentPacket // for receive
	gone    chan struct{}
}

func newFakeSocket() *fakeSocket {
	return &fakeSocket{heard: make(chan sentPacket, 16), gone: make(chan struct{})}
}

func (f *fakeSocket) send(d []*datagram) error {
	f.mu.Lock()
	defer f.mu.Unlock()
	if f.closed {
		return net.ErrClosed
	}
	if f.fail != nil {
		return f.fail
	}
	for _, g := range d {
		f.packets = append(f.packets, sentPacket{time.Now(), g.to, bytes.Clone(g.payload)})
	}
	return nil
}

func (f *fakeSocket) Close() error {
	f.mu.Lock()
	defer f.mu.Unlock()
	if !f.closed {
		close(f.gone)
	}
	f.closed = true
	return nil
}

func (f *fakeSocket) reopen() {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.closed, f.gone = false, make(chan struct{})
}

func (f *fakeSocket) setFail(err error) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.fail = err
}

// taken returns what was sent since the last call.
func (f *fakeSocket) taken() []sentPacket {
	f.mu.Lock()
	defer f.mu.Unlock()
	p := f.packets
	f.packets = nil
	return p
}

func (f *fakeSocket) receive(b []byte) (int, netip.AddrPort, error) {
	select {
	case p := <-f.heard:
		return copy(b, p.payload), p.to, nil
	case <-f.away():
		return 0, netip.AddrPort{}, net.ErrClosed
	}
}

func (f *fakeSocket) away() chan struct{} {
	f.mu.Lock()
	defer f.mu.Unlock()
	return f.gone
}

func (f *fakeSocket) broadcasts() []netip.Addr {
	return []netip.Addr{netip.MustParseAddr("192.168.1.255")}
}

func (f *fakeSocket) local(netip.Addr) netip.Addr { return netip.MustParseAddr("192.168.1.5") }

var errCable = errors.New("network is down")

// only returns the data packets among the packets, decoded strictly.
func only(t testing.TB, packets []sentPacket) (data []sacn.Data, at []time.Time) {
	t.Helper()
	for _, p := range packets {
		if sacn.KindOf(p.payload) != sacn.KindData {
			continue
		}
		d, err := sacn.ParseData(p.payload)
		if err != nil {
			t.Fatal(err)
		}
		data, at = append(data, d), append(at, p.at)
	}
	return data, at
}

func testSpec(t testing.TB, text string) line.Out {
	t.Helper()
	s, err := line.ParseOut(text)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func testE131(t testing.TB, line string) (*e131, *fakeSocket) {
	t.Helper()
	return testE131With(t, line, Options{})
}

func testE131With(t testing.TB, line string, o Options) (*e131, *fakeSocket) {
	t.Helper()
	f := newFakeSocket()
	s, err := newE131(testSpec(t, line), o.filled(), func() (socket, error) { f.reopen(); return f, nil })
	if err != nil {
		t.Fatal(err)
	}
	return s, f
}

// frameOf is a universe of n slots of one level.
func frameOf(universe uint16, n int, level byte) Frame {
	return Frame{Universe: universe, Slots: bytes.Repeat([]byte{level}, n)}
}

const period = time.Second / 44

// run sends what values gives for d at 44 frames a second.
func run(t testing.TB, s Sink, d time.Duration, values func(i int) []Frame) {
	t.Helper()
	start := time.Now()
	for i := 0; time.Duration(i+1)*period <= d; i++ {
		due := start.Add(time.Duration(i) * period)
		time.Sleep(time.Until(due))
		if err := s.Send(values(i), due); err != nil {
			t.Fatal(err)
		}
	}
	time.Sleep(time.Until(start.Add(d)))
}

func still(frames ...Frame) func(int) []Frame { return func(int) []Frame { return frames } }
