package output

import (
	"net/netip"
	"slices"

	"lampblack/wire/artnet"
	"lampblack/wire/sacn"
)

// Sending is what an output sends now, to whom, and by which interfaces, as far as other
// programs of the network may send the same.
type Sending struct {
	ArtNet    bool       // and not E1.31
	To        netip.Addr // not valid for all who listen
	Port      uint16     // 0 for the protocol's own: by another it is for programs that listen there
	By        []string   // the interfaces that packets leave by; nil for all
	Universes []uint16   // on the wire, ascending
	Priority  byte       // of E1.31
	CID       [16]byte   // of E1.31
}

// Told is an output that tells what it sends, and is told of faults that others see. Those
// that [Mailbox] gives are.
type Told interface {
	Sink
	// Sending is what it sends; false where nobody else can send the same.
	Sending() (Sending, bool)
	// Mark tells of a fault. Unmark says that all of a cause are over, but for those of some.
	Mark(f Fault)
	Unmark(c Cause, but ...string)
}

var _ Told = (*mailbox)(nil)

// sender is a sink that others of the network may meet.
type sender interface{ Sending() (Sending, bool) }

// Sending is what the sink behind it sends.
func (m *mailbox) Sending() (Sending, bool) {
	if s, ok := m.sink.(sender); ok {
		return s.Sending()
	}
	return Sending{}, false
}

// Mark adds a fault that others see to those that the output knows.
func (m *mailbox) Mark(f Fault) { m.counters.health.set(f) }

// Unmark takes such faults back.
func (m *mailbox) Unmark(c Cause, but ...string) { m.counters.health.clearAll(c, but...) }

// Sending is what goes out now; a preview is not for lamps.
func (s *e131) Sending() (Sending, bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	return Sending{To: s.spec.Addr, Port: another(s.spec.Port, sacn.Port), By: s.watch.by(), Universes: slices.Clone(s.order), Priority: s.spec.Priority, CID: s.options.CID}, !s.spec.Preview
}

// Sending is what goes out now. Polls go by broadcast, so by all interfaces where none is named.
func (s *art) Sending() (Sending, bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	out := Sending{ArtNet: true, To: s.spec.Addr, By: s.watch.by(), Universes: slices.Clone(s.order)}
	if s.discovers() && s.spec.Interface == "" {
		out.By = nil
	}
	out.Port = another(s.port(), artnet.Port)
	return out, true
}

// another is a port, or 0 where it is the protocol's own.
func another(port, own uint16) uint16 {
	if port == own {
		return 0
	}
	return port
}

// by are the interfaces that packets left by when it looked last.
func (w *watch) by() []string {
	if w == nil {
		return []string{}
	}
	if w.name != "" {
		return []string{w.name}
	}
	if by := w.left.Load(); by != nil {
		return *by
	}
	return []string{}
}
