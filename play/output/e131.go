package output

import (
	"bytes"
	"cmp"
	"errors"
	"maps"
	"net/netip"
	"slices"
	"time"

	"lampblack/play/line"
	"lampblack/wire/sacn"
)

// syncDelay is the time that the data packets get to arrive before the
// synchronization packet follows (ANSI E1.31, clause 11.2.2).
const syncDelay = time.Millisecond

// e131 sends universes as ANSI E1.31 data packets.
//
// Send and the keeper's ticks go through it under mu; the rivals have a goroutine of
// their own, and tell only counters.
type e131 struct {
	base
	options Options
	open    func() (socket, error)

	// Guarded by mu.
	socket    socket
	streams   map[uint16]*e131Stream // by universe on the wire
	recent    []*e131Stream          // by place in the frames, as Send had them last
	order     []uint16               // of streams, ascending
	batch     []*datagram
	sync      sacn.Sync
	extra     datagram // synchronization and discovery
	announced time.Time
	version   int     // of the list that was announced
	rivals    *rivals // nil when nobody listens
	openEar   func() (ear, error)
	yielded   bool // to another source, until Send
}

// e131Stream is one universe of a source. The slots stand in its encoded packet
// alone, from one frame to the next.
type e131Stream struct {
	stillness
	show uint16 // its number in the show
	out  datagram
	data sacn.Data // the rest, its Slots empty
}

// slots are those of the encoded packet.
func (st *e131Stream) slots() []byte { return st.out.payload[sacn.DataHead:] }

// encode makes the packet anew with these slots.
func (st *e131Stream) encode(slots []byte) {
	d := st.data
	d.Slots = slots
	st.out.payload = d.Append(st.out.payload[:0])
}

func newE131(spec line.Out, o Options, open func() (socket, error)) (*e131, error) {
	s := &e131{base: newBase(spec), options: o, open: open, streams: map[uint16]*e131Stream{}}
	s.sync = sacn.Sync{CID: o.CID, Address: spec.Sync}
	var err error
	if s.socket, err = open(); err != nil {
		return nil, err
	}
	s.keep(keeperTick, s.tick)
	return s, nil
}

func (s *e131) Name() string {
	name := "E1.31 to " + s.spec.Place
	if s.spec.IPv6 {
		name += " IPv6"
	}
	if s.spec.Interface != "" {
		name += " by " + s.spec.Interface
	}
	return name
}

// errClosed is what Send returns after Close.
var errClosed = errors.New("output is closed")

// Send puts the universes that changed, and those that are due again, on the
// wire.
func (s *e131) Send(frames []Frame, due time.Time) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.closed {
		return errClosed
	}
	if s.yielded {
		s.yielded = false
		s.options.Announced.set(s, s.order)
	}
	now := time.Now()
	s.batch = s.batch[:0]
	for i, f := range frames {
		st := s.at(i, f.Universe)
		if st == nil {
			continue
		}
		changed := st.take(f.Slots[:min(len(f.Slots), sacn.MaxSlots)])
		if st.due(changed, now) {
			s.queue(st, now)
		}
	}
	return s.outcome(s.flush(), due, now)
}

// take puts new values into the packet and reports whether they are others.
func (st *e131Stream) take(slots []byte) bool {
	switch {
	case st.out.payload == nil || len(slots) != len(st.slots()):
		st.encode(slots)
	case bytes.Equal(st.slots(), slots):
		return false
	default:
		copy(st.slots(), slots)
	}
	return true
}

// at returns the stream of the show's universe, nil if it does not go out. Shows send
// the same universes in the same order, so it looks there first. At 250 universes and
// 44 frames a second the map would be asked 11 000 times a second.
func (s *e131) at(i int, universe uint16) *e131Stream {
	for len(s.recent) <= i {
		s.recent = append(s.recent, nil)
	}
	if st := s.recent[i]; st != nil && st.show == universe {
		return st
	}
	wire, goes := s.spec.Wire(universe)
	if !goes {
		return nil
	}
	s.recent[i] = s.stream(wire)
	s.recent[i].show = universe
	return s.recent[i]
}

// stream returns the stream of a universe, new if need be.
func (s *e131) stream(universe uint16) *e131Stream {
	if st := s.streams[universe]; st != nil {
		return st
	}
	st := &e131Stream{data: sacn.Data{CID: s.options.CID, Source: sacn.CutSource(s.options.Source), Priority: s.spec.Priority,
		SyncAddress: s.spec.Sync, Preview: s.spec.Preview, Universe: universe}}
	st.out.to = s.address(universe)
	s.streams[universe] = st
	s.order = slices.Sorted(maps.Keys(s.streams))
	if s.rivals != nil {
		s.rivals.set(s.order)
	}
	s.options.Announced.set(s, s.order)
	return st
}

// address returns where the packets of a universe go.
func (s *e131) address(universe uint16) netip.AddrPort {
	port := s.spec.Port
	if port == 0 {
		port = sacn.Port
	}
	switch {
	case s.spec.Addr.IsValid():
		return netip.AddrPortFrom(s.spec.Addr, port)
	case s.spec.IPv6:
		return netip.AddrPortFrom(sacn.Group6(universe), port)
	}
	return netip.AddrPortFrom(sacn.Group4(universe), port)
}

// queue numbers a stream's next packet for flush. Every packet of a universe has the
// next number, repeats included: receivers drop what comes out of order (clause 6.7.2).
func (s *e131) queue(st *e131Stream, now time.Time) {
	sacn.SetSequence(st.out.payload, st.data.Sequence)
	st.data.Sequence++
	st.sent(now)
	s.batch = append(s.batch, &st.out)
}

// flush sends what is queued, and the synchronization packet after it. Without data
// that left there is nothing to synchronize.
func (s *e131) flush() error {
	if len(s.batch) == 0 {
		return nil
	}
	err := s.write(s.batch)
	if s.sync.Address == 0 || err != nil {
		return err
	}
	time.Sleep(syncDelay)
	s.extra.to = s.address(s.sync.Address)
	s.extra.payload = s.sync.Append(s.extra.payload[:0])
	s.sync.Sequence++
	s.batch = append(s.batch[:0], &s.extra)
	return s.write(s.batch)
}

// write sends datagrams, whole or with the error of the first that failed.
func (s *e131) write(d []*datagram) error {
	return s.transmit(s, s.socket, d)
}

// tick keeps still universes alive and announces them every ten seconds. A list that
// has changed is announced at once, as a receiver would wait ten seconds for it
// otherwise.
func (s *e131) tick(now time.Time) {
	s.batch = s.batch[:0]
	for _, u := range s.order {
		if st := s.streams[u]; st.overdue(now) {
			s.queue(st, now)
		}
	}
	s.note(s.flush())
	if s.rivals != nil {
		s.rivals.forget(now)
	}
	universes, version := s.options.Announced.list()
	if len(s.order) > 0 && !s.yielded && (version != s.version || now.Sub(s.announced) >= sacn.DiscoveryInterval) {
		s.announced, s.version = now, version
		s.announce(universes)
	}
}

// announce sends the universe discovery packets (clause 8). To a single
// receiver they go by unicast: whoever chose that may have to do without
// multicast.
func (s *e131) announce(universes []uint16) {
	for _, page := range sacn.Pages(s.options.CID, sacn.CutSource(s.options.Source), universes) {
		s.extra.to = s.address(sacn.DiscoveryUniverse)
		s.extra.payload = page.Append(s.extra.payload[:0])
		if err := s.write([]*datagram{&s.extra}); err != nil {
			s.counters.failed(err)
		}
	}
}

// listen watches for other sources of our universes, heard through what open
// gives, and tells of them as the last error. Without a socket for it the
// output works all the same. The lock is held, or nobody else has s yet.
func (s *e131) listen(open func() (ear, error)) {
	s.openEar = open
	e, err := open()
	if err != nil {
		return
	}
	if s.rivals, err = newRivals(s.options, s.spec.Priority, e, &s.counters); err == nil {
		s.rivals.set(s.order)
	}
}

// targets are where packets go: to one receiver, or to groups, all of which go one way.
func (s *e131) targets() []netip.Addr {
	s.mu.Lock()
	defer s.mu.Unlock()
	switch {
	case s.spec.Addr.IsValid():
		return []netip.Addr{s.spec.Addr}
	case len(s.order) == 0:
		return nil
	}
	return []netip.Addr{s.address(s.order[0]).Addr()}
}

// lookAfter begins to watch the way of the packets, and to ask who is to receive them,
// where that is one.
func (s *e131) lookAfter(w ways, questions ...*question) {
	look := &watch{ways: w, name: s.spec.Interface, targets: s.targets, questions: questions, receiver: s.spec.Place}
	if look.name == "" && s.spec.IPv6 {
		look.name, _ = anyMulticast() // as its socket was opened
	}
	look.unanswers = notAnswered(look.receiver)
	switch {
	case !s.spec.Addr.IsValid():
		s.counters.health.set(notReceived("multicast"))
	case len(questions) == 0:
		s.counters.health.set(look.unanswers)
	}
	s.look(look, s.socket)
}

// deafen ends listen.
func (s *e131) deafen() {
	if s.rivals != nil {
		s.rivals.close()
		s.rivals = nil
		s.counters.health.clearAll(Rival) // who listens anew hears of them anew
	}
}

// Reopen opens the socket anew; the streams go on as they were.
func (s *e131) Reopen() error {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.closed {
		return errClosed
	}
	if s.socket != nil {
		s.socket.Close()
		s.socket = nil
	}
	opened, err := s.open()
	if err != nil {
		s.away = err
		s.counters.failed(err)
		return err
	}
	s.socket, s.trouble = opened, nil
	s.hook(opened)
	if s.openEar != nil { // its socket may hang on an interface that is gone
		s.deafen()
		s.listen(s.openEar)
	}
	for _, st := range s.streams {
		st.left = repeats // the receivers may have missed the last change
	}
	return nil
}

// Yield tells receivers that the streams are over, so that they follow another source at once,
// and falls silent until Send brings something.
func (s *e131) Yield() error {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.closed {
		return errClosed
	}
	for _, u := range s.order {
		st := s.streams[u]
		st.data.Terminated = true
		st.encode(st.slots())
	}
	err := s.farewell(repeats, func(int) (bool, error) {
		s.batch = s.batch[:0]
		for _, u := range s.order {
			s.queue(s.streams[u], time.Now())
		}
		return len(s.batch) > 0, s.flush()
	})
	for _, st := range s.streams { // the next packet begins it again, with the next number
		st.data.Terminated = false
		st.encode(st.slots())
		st.stillness = stillness{left: repeats}
	}
	s.options.Announced.set(s, nil)
	s.yielded = true
	return err
}

// Close sends the last values until they were sent three times, then three packets with
// Stream_Terminated (clause 6.2.6). What values those hold does not matter: receivers
// are to ignore them (the same clause, from memory).
func (s *e131) Close() error {
	if s.halt() {
		return nil
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	s.deafen()
	s.options.Announced.set(s, nil)
	err := s.farewell(2*repeats, func(i int) (bool, error) {
		s.batch = s.batch[:0]
		now := time.Now()
		for _, u := range s.order {
			st := s.streams[u]
			if i == repeats {
				st.data.Terminated = true
				st.encode(st.slots())
			}
			if st.data.Terminated || st.left > 0 {
				s.queue(st, now)
			}
		}
		return len(s.batch) > 0, s.flush()
	})
	if s.socket != nil {
		err = cmp.Or(err, s.socket.Close())
	}
	return err
}
