package output

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"maps"
	"net"
	"net/netip"
	"slices"
	"sync"
	"sync/atomic"
	"time"

	"lampblack/play/line"
	"lampblack/wire/artnet"
)

// nodeGone is how long a node may stay silent before it gets no more data. The
// protocol says that one is gone when it missed one poll; a single lost reply
// must not stop the light, so it may miss three.
const nodeGone = 4 * artnet.PollInterval

// artSocket is a socket that hears, too.
type artSocket interface {
	socket
	receive(b []byte) (int, netip.AddrPort, error)
	// broadcasts returns where polls go, and local the address of this host
	// that a receiver at to would see.
	broadcasts() []netip.Addr
	local(to netip.Addr) netip.Addr
}

// art sends universes as ArtDmx packets to the nodes that ask for them, or to
// one that was named.
//
// Three go through it: who calls Send, the keeper's ticks, and hear, which takes what
// nodes say. mu parts them; hear holds it only while it takes one packet.
type art struct {
	base
	options Options
	open    func() (artSocket, error)
	hearing sync.WaitGroup
	answers atomic.Pointer[string] // which nodes there are, for Stats; nil before any was heard

	// Guarded by mu.
	socket   artSocket
	streams  map[uint16]*artStream // by Port-Address
	order    []uint16
	nodes    map[nodeKey]artNode
	heard    bool             // that nodes may be others than answers has
	asking   []netip.AddrPort // who polled us and waits for a reply
	batch    []*datagram
	spare    []*datagram // for the next batch
	polled   time.Time
	down     time.Time // when there was no link last
	polls    int
	addrBuf  []netip.Addr
	syncData []byte
}

// artStream is one Port-Address; payload is the newest packet, encoded once for all who
// get it.
type artStream struct {
	stillness
	data    artnet.Dmx
	payload []byte
}

// nodeKey tells the parts of a node of more than four ports apart.
type nodeKey struct {
	addr netip.Addr
	bind byte
}

type artNode struct {
	outputs []uint16
	name    string
	seen    time.Time
	asked   time.Time // by itself, when it was late
	since   int       // how often it was since it answered
}

func newArt(spec line.Out, o Options, open func() (artSocket, error)) (*art, error) {
	s := &art{base: newBase(spec), options: o, open: open, streams: map[uint16]*artStream{}, nodes: map[nodeKey]artNode{},
		syncData: artnet.AppendSync(nil)}
	if err := s.connect(); err != nil {
		return nil, err
	}
	s.keep(keeperTick, s.tick)
	return s, nil
}

// connect opens the socket and, for discovery, listens to it.
func (s *art) connect() error {
	opened, err := s.open()
	if err != nil {
		return err
	}
	s.socket = opened
	if s.discovers() {
		s.hearing.Go(func() { s.hear(opened) })
	}
	return nil
}

// discovers reports whether the receivers are those that ask.
func (s *art) discovers() bool { return !s.spec.Addr.IsValid() }

func (s *art) Name() string {
	name := "Art-Net to " + s.spec.Place
	if s.spec.Interface != "" {
		name += " by " + s.spec.Interface
	}
	return name
}

// Send puts the universes that changed, and those that are due again, on the wire to
// everybody who asked for them. A universe that nobody asks for is counted as sent all
// the same: poll tells of it.
func (s *art) Send(frames []Frame, due time.Time) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.closed {
		return errClosed
	}
	now := time.Now()
	for _, f := range frames {
		port, goes := s.spec.Wire(f.Universe)
		if !goes {
			continue
		}
		st := s.stream(port)
		changed := st.at.IsZero() || !bytes.Equal(st.data.Slots, f.Slots)
		if changed {
			st.data.Slots = append(st.data.Slots[:0], f.Slots[:min(len(f.Slots), maxSlots)]...)
		}
		if st.due(changed, now) {
			s.queue(st, now)
		}
	}
	return s.outcome(s.flush(), due, now)
}

// stream returns the stream of a Port-Address, new if need be.
func (s *art) stream(port uint16) *artStream {
	if st := s.streams[port]; st != nil {
		return st
	}
	st := &artStream{data: artnet.Dmx{PortAddress: port}}
	s.streams[port] = st
	s.order = slices.Sorted(maps.Keys(s.streams))
	return st
}

// queue encodes a universe's next packet for everybody who wants it.
func (s *art) queue(st *artStream, now time.Time) {
	st.data.Sequence = artnet.Next(st.data.Sequence)
	st.payload = st.data.Append(st.payload[:0])
	st.sent(now)
	for _, to := range s.receivers(st.data.PortAddress) {
		s.add(netip.AddrPortFrom(to, s.port()), st.payload)
	}
}

// add puts a datagram into the batch, without allocation once it has grown. spare grows
// to the largest batch there was, and is never given back.
func (s *art) add(to netip.AddrPort, payload []byte) {
	n := len(s.batch)
	if n == len(s.spare) {
		s.spare = append(s.spare, new(datagram))
	}
	d := s.spare[n]
	d.to, d.payload = to, payload
	s.batch = append(s.batch, d)
}

func (s *art) port() uint16 {
	return artPort(&s.spec)
}

// receivers returns the nodes that put out a Port-Address, each once.
func (s *art) receivers(port uint16) []netip.Addr {
	s.addrBuf = s.addrBuf[:0]
	if !s.discovers() {
		return append(s.addrBuf, s.spec.Addr)
	}
	for key, n := range s.nodes {
		if slices.Contains(n.outputs, port) && !slices.Contains(s.addrBuf, key.addr) {
			s.addrBuf = append(s.addrBuf, key.addr)
		}
	}
	slices.SortFunc(s.addrBuf, netip.Addr.Compare)
	return s.addrBuf
}

// flush sends what is queued, and ArtSync after it. The pause lets the data arrive
// before the synchronization, as for E1.31; it is a millisecond of the frame's 23.
func (s *art) flush() error {
	if len(s.batch) == 0 {
		return nil
	}
	err := s.write()
	if err != nil || !s.spec.ArtSync {
		return err
	}
	time.Sleep(syncDelay)
	s.toAll(s.syncData)
	return s.write()
}

// toAll queues a packet for every node: by broadcast, or for the one named.
func (s *art) toAll(payload []byte) {
	if !s.discovers() {
		s.add(netip.AddrPortFrom(s.spec.Addr, s.port()), payload)
		return
	}
	if s.socket == nil {
		return
	}
	for _, to := range s.socket.broadcasts() {
		s.add(netip.AddrPortFrom(to, s.port()), payload)
	}
}

// write sends the batch and empties it.
func (s *art) write() error {
	batch := s.batch
	s.batch = s.batch[:0]
	return s.transmit(s, s.socket, batch)
}

// tick keeps still universes alive, polls, and answers polls.
func (s *art) tick(now time.Time) {
	for _, u := range s.order {
		if st := s.streams[u]; st.overdue(now) {
			s.queue(st, now)
		}
	}
	s.note(s.flush())
	if !s.discovers() {
		return
	}
	s.answer()
	s.missing(now)
	s.tell()
	if now.Sub(s.polled) >= artnet.PollInterval {
		s.polled = now
		s.polls++
		s.poll(now)
	}
	if err := s.write(); err != nil {
		s.counters.failed(err)
	}
}

// poll asks who is there, and forgets who was not for a while. Three polls are allowed
// to pass before a universe without a node is told of, as a reply may be late or lost.
func (s *art) poll(now time.Time) {
	poll := artnet.Poll{Flags: artnet.ReplyOnChange}
	s.toAll(poll.Append(nil))
	maps.DeleteFunc(s.nodes, func(_ nodeKey, n artNode) bool { return now.Sub(n.seen) > nodeGone })
	s.heard = true
	if s.polls < 4 {
		return // they may not have answered yet
	}
	s.unasked()
}

// seen says which nodes there are, for a person to compare.
func (s *art) seen() string {
	if len(s.nodes) == 0 {
		return "none answers"
	}
	var names []string
	for key, n := range s.nodes {
		names = append(names, fmt.Sprintf("%v %q takes %v", key.addr, n.name, n.outputs))
	}
	slices.Sort(names)
	return fmt.Sprintf("there are %v", names)
}

// Stats counts, and tells which nodes answer polls, as of the keeper's last tick. It waits
// for nothing: a run asks between two frames, while a packet may be on its way.
func (s *art) Stats() Stats {
	st := s.base.Stats()
	st.Asks = s.discovers()
	if a := s.answers.Load(); a != nil {
		st.Answers = *a
	}
	return st
}

// tell puts which nodes there are into words for Stats, where they may have changed.
func (s *art) tell() {
	if !s.heard {
		return
	}
	text := ""
	if len(s.nodes) > 0 {
		text = s.seen()
	}
	s.answers.Store(&text)
	s.heard = false
}

// answer replies to those who polled: a controller is part of the network too.
func (s *art) answer() {
	for _, to := range s.asking {
		local := s.socket.local(to.Addr())
		if !local.Is4() {
			continue
		}
		reply := artnet.PollReply{IP: local.As4(), UDPPort: s.port(), Oem: 0x00FF, Esta: 0x7FF0, // "unknown" and "prototype"
			ShortName: s.options.Source, LongName: s.options.Source, Style: artnet.StyleController, BindIP: local.As4(),
			BindIndex: 1, Status2: artnet.Status2LongPort}
		s.add(netip.AddrPortFrom(to.Addr(), s.port()), reply.Append(nil))
	}
	s.asking = s.asking[:0]
}

// hear takes replies and polls until the socket is closed.
func (s *art) hear(from artSocket) {
	b := make([]byte, 2048)
	for {
		n, addr, err := from.receive(b)
		switch {
		case errors.Is(err, net.ErrClosed):
			return
		case err != nil:
			s.counters.failed(fmt.Errorf("%s: listen: %w", s.Name(), err))
			time.Sleep(keeperTick)
		default:
			s.take(b[:n], addr)
		}
	}
}

// maxNodes bounds what a hostile network can make us remember.
const maxNodes = 4096

// take takes a packet that was heard: a node describes itself, or somebody asks who we
// are. Everything else is not for a controller. Everything from the network is hostile:
// packets that do not parse are passed over, and beyond 4096 nodes new ones are not
// remembered. A node is known by where its packet came from, not by the address that it
// gives.
func (s *art) take(b []byte, from netip.AddrPort) {
	op, _ := artnet.OpCodeOf(b)
	s.mu.Lock()
	defer s.mu.Unlock()
	switch op {
	case artnet.OpPoll:
		if _, err := artnet.ParsePoll(b); err == nil && len(s.asking) < maxNodes {
			s.asking = append(s.asking, from)
		}
	case artnet.OpPollReply:
		r, err := artnet.ParsePollReply(b)
		key := nodeKey{from.Addr().Unmap(), r.BindIndex}
		if _, known := s.nodes[key]; err != nil || !known && len(s.nodes) >= maxNodes {
			return
		}
		s.heard = true
		s.counters.health.clear(Silent, key.addr.String())
		outputs := r.Outputs()
		if len(outputs) == 0 { // controllers, and ports that only listen
			delete(s.nodes, key)
			return
		}
		for _, u := range outputs { // what asks anew is to hear at once
			if st := s.streams[u]; st != nil && !slices.Contains(s.nodes[key].outputs, u) {
				st.left = repeats
			}
		}
		s.nodes[key] = artNode{outputs: outputs, name: r.ShortName, seen: time.Now()}
	}
}

// Reopen opens the socket anew; nodes and sequences stay. The old socket's reader ends
// by itself when that is closed.
func (s *art) Reopen() error {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.closed {
		return errClosed
	}
	if s.socket != nil {
		s.socket.Close()
		s.socket = nil
	}
	if err := s.connect(); err != nil {
		s.away = err
		s.counters.failed(err)
		return err
	}
	s.polled, s.trouble = time.Time{}, nil
	s.hook(s.socket)
	for _, st := range s.streams {
		st.left = repeats
	}
	return nil
}

// Close sends the last values until they were sent three times. Art-Net has no
// way to say goodbye: nodes hold what they heard last.
func (s *art) Close() error {
	if s.halt() {
		return nil
	}
	err := s.finish()
	s.hearing.Wait()
	return err
}

// finish sends the last packets and closes the socket.
func (s *art) finish() error {
	s.mu.Lock()
	defer s.mu.Unlock()
	err := s.farewell(repeats, func(int) (bool, error) {
		now := time.Now()
		for _, u := range s.order {
			if st := s.streams[u]; st.left > 0 {
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
