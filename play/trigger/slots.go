package trigger

import (
	"bytes"
	"fmt"
	"net/netip"
	"slices"
	"time"

	"lampblack/wire/artnet"
	"lampblack/wire/sacn"
)

// slots are the slots of universes as they come in, to one place.
type slots struct {
	feed      *feed
	universes []uint16
	receiver  sacn.Receiver
	art       map[uint16][]*artSource
	levels    []byte // of one universe, used again
}

func newSlots(f *feed) *slots {
	return &slots{feed: f, universes: f.universes(), art: map[uint16][]*artSource{}}
}

// artSource is who sends a universe by Art-Net, by its address.
type artSource struct {
	from     netip.Addr
	sequence byte
	heard    time.Time
	slots    []byte
}

const (
	// artLoss is how long a source of Art-Net may be silent: senders repeat what
	// stands every second or so, and receivers forget one after 10 s (Art-Net 4,
	// from memory).
	artLoss = 10 * time.Second
	// mostArt bounds what a hostile network can make us remember of each universe.
	mostArt = 16
)

// e131 takes a packet of E1.31.
func (s *slots) e131(b []byte, _ netip.AddrPort, now time.Time) {
	if sacn.KindOf(b) == sacn.KindSync || sacn.KindOf(b) == sacn.KindDiscovery {
		return
	}
	d, err := sacn.ParseData(b)
	switch {
	case err != nil:
		s.feed.refuse()
	case slices.Contains(s.universes, d.Universe):
		s.receiver.Take(d, now)
		s.universe(d.Universe, now)
	}
}

// artnet takes a packet of Art-Net.
func (s *slots) artnet(b []byte, from netip.AddrPort, now time.Time) {
	if op, ok := artnet.OpCodeOf(b); ok && op != artnet.OpDmx {
		return // polls and their like
	}
	d, err := artnet.ParseDmx(b)
	switch {
	case err != nil:
		s.feed.refuse()
	case slices.Contains(s.universes, d.PortAddress):
		s.takeArt(d, from.Addr(), now)
		s.universe(d.PortAddress, now)
	}
}

// takeArt remembers what a source sends. Of packets that come in another order than
// they left, as E1.31 puts it (clause 6.7.2), the late ones do not count; a sequence of
// 0 has none.
func (s *slots) takeArt(d artnet.Dmx, from netip.Addr, now time.Time) {
	s.forgetArt(d.PortAddress, now)
	list := s.art[d.PortAddress]
	i := slices.IndexFunc(list, func(a *artSource) bool { return a.from == from })
	switch {
	case i >= 0 && d.Sequence != 0 && list[i].sequence != 0 && !sacn.Accept(list[i].sequence, d.Sequence):
		return
	case i < 0 && len(list) >= mostArt:
		return
	case i < 0:
		list = append(list, &artSource{from: from})
		i = len(list) - 1
		s.art[d.PortAddress] = list
	}
	a := list[i]
	a.sequence, a.heard, a.slots = d.Sequence, now, append(a.slots[:0], d.Slots...)
}

func (s *slots) forgetArt(universe uint16, now time.Time) {
	s.art[universe] = slices.DeleteFunc(s.art[universe], func(a *artSource) bool { return now.Sub(a.heard) > artLoss })
}

// of returns the slots of a universe, none when nobody sends it: of several sources the
// highest of each, as the standards leave it to the receiver.
func (s *slots) of(universe uint16, now time.Time) []byte {
	if s.feed.from[0].Kind == "e131" {
		s.levels = s.receiver.Levels(s.levels[:0], universe, now)
		return s.levels
	}
	s.forgetArt(universe, now)
	s.levels = s.levels[:0]
	for _, a := range s.art[universe] {
		if n := len(a.slots) - len(s.levels); n > 0 {
			s.levels = append(s.levels, bytes.Repeat([]byte{0}, n)...)
		}
		for i, v := range a.slots {
			s.levels[i] = max(s.levels[i], v)
		}
	}
	return s.levels
}

// show tells how everything stands, silence among it.
func (s *slots) show(now time.Time) {
	for _, u := range s.universes {
		s.universe(u, now)
	}
}

// universe tells how the triggers of a universe stand. A slot that a shorter packet does
// not hold is one of which nothing is known.
func (s *slots) universe(universe uint16, now time.Time) {
	levels := s.of(universe, now)
	for k, t := range s.feed.from {
		switch {
		case t.Universe != universe:
		case len(levels) >= t.Slot:
			s.feed.set.stand(s.feed.of[k], "", "")
			s.feed.stand(k, t.Crosses(float64(levels[t.Slot-1]), s.feed.levels[k] == Closed), now)
		case len(levels) > 0:
			s.feed.lose(k, fmt.Sprintf("universe %d comes with %d slots, and slot %d is none of them", universe, len(levels), t.Slot), "let the other side send that slot", now)
		default:
			s.feed.lose(k, fmt.Sprintf("nobody sends universe %d to %s port %d", universe, t.Listen, t.Port), "see that the other side runs, and that it sends to this machine: it is heard as soon as it does", now)
		}
	}
}
