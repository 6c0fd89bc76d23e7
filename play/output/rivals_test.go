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
	from netip.Addr // this computer, if it is not valid

	mu     sync.Mutex
	joined map[netip.Addr]bool
}

func (f *fakeEar) receive(b []byte) (int, netip.Addr, error) {
	from := f.from
	if !from.IsValid() {
		from = netip.MustParseAddr("127.0.0.1")
	}
	select {
	case p := <-f.in:
		return copy(b, p), from, nil
	case <-f.gone:
		return 0, from, net.ErrClosed
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

// Another computer of our host's name has our identifier: its lists are no echo of ours.
func TestSameIdentifier(t *testing.T) {
	for from, want := range map[string]bool{"127.0.0.1": false, "203.0.113.7": true} { // RFC 5737: no computer's own
		synctest.Test(t, func(t *testing.T) {
			s, _ := testE131(t, "e131 multicast")
			e := &fakeEar{in: make(chan []byte), gone: make(chan struct{}), joined: map[netip.Addr]bool{}, from: netip.MustParseAddr(from)}
			s.listen(func() (ear, error) { return e, nil })
			s.Send([]Frame{frameOf(2, 1, 1)}, time.Now())
			for _, universes := range [][]uint16{{7}, {2, 9}} {
				d := sacn.Discovery{CID: s.options.CID, Universes: universes}
				e.in <- d.Append(nil)
				synctest.Wait()
				f, told := s.Stats().State.Has(Rival)
				if told != (want && universes[0] == 2) || told && !strings.Contains(f.Text, "at 203.0.113.7, under our identifier") {
					t.Errorf("from %s, universes %v: %v %+v", from, universes, told, f)
				}
			}
			time.Sleep(26 * time.Second)
			if is(Rival)(s.Stats().State) {
				t.Error("it is gone")
			}
			s.Close()
		})
	}
}
