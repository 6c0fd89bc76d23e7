package output

import (
	"net"
	"net/netip"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"lampblack/wire/sacn"
)

// fakeEar hears what a test puts in, of the groups that were joined.
type fakeEar struct {
	in   chan []byte
	gone chan struct{}

	mu     sync.Mutex
	joined map[netip.Addr]bool
}

func (f *fakeEar) receive(b []byte) (int, error) {
	select {
	case p := <-f.in:
		return copy(b, p), nil
	case <-f.gone:
		return 0, net.ErrClosed
	}
}

func (f *fakeEar) member(group netip.Addr) bool {
	f.mu.Lock()
	defer f.mu.Unlock()
	return f.joined[group]
}

func (f *fakeEar) set(group netip.Addr, in bool) error {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.joined[group] = in
	return nil
}

func (f *fakeEar) join(group netip.Addr) error  { return f.set(group, true) }
func (f *fakeEar) leave(group netip.Addr) error { return f.set(group, false) }
func (f *fakeEar) Close() error                 { close(f.gone); return nil }

// Another source announces a universe of ours: for a moment its data are heard,
// then the output says what receivers will do.
func TestRivals(t *testing.T) {
	for priority, says := range map[byte]string{
		150: `universe 2 is sent by "Stage right" too, with priority 150 against our 100: receivers follow it and not us`,
		100: "receivers mix both",
		50:  "receivers follow us",
	} {
		synctest.Test(t, func(t *testing.T) {
			s, _ := testE131(t, "e131 multicast")
			e := &fakeEar{in: make(chan []byte), gone: make(chan struct{}), joined: map[netip.Addr]bool{}}
			s.listen(func() (ear, error) { return e, nil })
			s.Send([]Frame{frameOf(1, 1, 1), frameOf(2, 1, 1)}, time.Now())
			rival := [16]byte{7}
			ours := sacn.Discovery{CID: s.options.CID, Universes: []uint16{1, 2}}
			theirs := sacn.Discovery{CID: rival, Source: "Stage right", Universes: []uint16{2, 9}}
			e.in <- ours.Append(nil)
			synctest.Wait()
			if e.member(sacn.Group4(2)) {
				t.Error("it listens to itself")
			}
			e.in <- theirs.Append(nil)
			synctest.Wait()
			if !e.member(sacn.Group4(2)) || e.member(sacn.Group4(9)) {
				t.Errorf("joined %v, want the group of universe 2", e.joined)
			}
			data := sacn.Data{CID: rival, Source: "Stage right", Priority: priority, Universe: 2, Slots: []byte{1}}
			e.in <- data.Append(nil)
			e.in <- []byte("noise")
			time.Sleep(2 * sampleTime)
			if e.member(sacn.Group4(2)) {
				t.Error("it listens for ever")
			}
			if last := s.Stats().LastError; !strings.Contains(last, says) {
				t.Errorf("last error %q, want %q in it", last, says)
			}
			s.Close()
		})
	}
}
