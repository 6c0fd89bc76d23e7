package output

import (
	"net/netip"
	"testing"
	"testing/synctest"
	"time"

	"lampblack/wire/sacn"
)

// A machine that stands by sends the same on purpose: it is no rival, from when that is known.
func TestAlliesAreNoRivals(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s, _ := testE131(t, "e131 multicast")
		s.options.Allies = &Allies{}
		e := &fakeEar{in: make(chan []byte), gone: make(chan struct{}), joined: map[netip.Addr]bool{}}
		s.listen(func() (ear, error) { return e, nil })
		s.Send([]Frame{frameOf(1, 1, 1)}, time.Now())
		other := [16]byte{7}
		list := sacn.Discovery{CID: other, Source: "the other machine", Universes: []uint16{1}}
		data := sacn.Data{CID: other, Source: "the other machine", Priority: 99, Universe: 1, Slots: []byte{1}}
		e.in <- list.Append(nil)
		synctest.Wait()
		e.in <- data.Append(nil)
		time.Sleep(2 * sampleTime)
		if _, is := s.Stats().State.Has(Rival); !is {
			t.Fatalf("a source that nobody knows is no rival: %+v", s.Stats().State)
		}
		s.options.Allies.Add(other)
		e.in <- list.Append(nil)
		synctest.Wait()
		if f, is := s.Stats().State.Has(Rival); is || e.member(sacn.Group4(1)) {
			t.Errorf("an ally is a rival, or its data are listened to: %+v", f)
		}
		s.Close()
	})
}
