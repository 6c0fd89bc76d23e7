// Package beacon encodes and decodes the packets by which runs of this program on one
// machine or network notice each other: what a run shows, and which universes it sends.
// The form is this program's own.
//
//	packet = "lmpb" version(1) run(16) { field }
//	field  = tag(1) length(2) value(length)
//
// Numbers are big-endian. Fields come in the order of their tags, each once but for Sends,
// which stand once for each output; a field that is empty is left out. A reader passes over
// tags that it does not know, so a later writer may add some: where the show is in time, for
// a machine that stands by. What would mislead an older reader needs another version.
//
//	tag  field    value
//	1    Machine  text (UTF-8, RFC 3629), at most 64 octets
//	2    Show     text, at most 128 octets
//	3    PID      process (4), not 0
//	4    CID      component identifier of its E1.31 (16), not 0
//	5    Sends    protocol(1) priority(1) address(n) { first(2) last(2) }
//	6    Sends    port(2), not 0, and then as 5: to another port than the protocol's own
//
// address is its length (1) and as many octets: 0 for all who listen, 4 for IPv4, 16 for
// IPv6. first and last are a range of universes, or of Art-Net Port-Addresses; ranges
// ascend and neither meet nor touch.
package beacon

import (
	"encoding/binary"
	"fmt"
	"net/netip"
	"unicode/utf8"
)

// Port and Group4 are where beacons go: a port that no standard known to us uses, and a
// group of the administratively scoped range for one organisation (RFC 2365, 6.2), which
// routers at its border keep in.
const Port = 15568

// Group4 is the group of beacons.
var Group4 = netip.AddrFrom4([4]byte{239, 194, 108, 98})

// MaxSize is the most octets of a packet: it fits an Ethernet frame with room for tunnels.
const MaxSize = 1400

// Limits of texts, in octets.
const (
	maxMachine = 64
	maxShow    = 128
)

const (
	magic   = "lmpb"
	version = 1
	head    = len(magic) + 1 + 16
)

// Tags of the fields that this version knows.
const (
	tagMachine = iota + 1
	tagShow
	tagPID
	tagCID
	tagSends
	tagSendsTo
)

// Beacon is what a run says of itself.
type Beacon struct {
	Run     [16]byte // another for every run
	Machine string
	Show    string
	PID     uint32
	CID     [16]byte
	Sends   []Sends
	Other   []Field // of later versions, as they came
}

// Protocol is that of an output.
type Protocol byte

// Protocols that share universes between senders.
const (
	E131   Protocol = 1
	ArtNet Protocol = 2
)

// Sends is what an output sends.
type Sends struct {
	Protocol  Protocol
	Priority  byte       // of E1.31
	To        netip.Addr // not valid for all who listen
	Port      uint16     // 0 for the protocol's own
	Universes []Range
}

// Range is universes that follow one another.
type Range struct{ First, Last uint16 }

// Has tells whether a universe is among those that are sent.
func (s *Sends) Has(universe uint16) bool {
	for _, r := range s.Universes {
		if r.First <= universe && universe <= r.Last {
			return true
		}
	}
	return false
}

// Field is one that this version does not know.
type Field struct {
	Tag   byte
	Value []byte
}

// Ranges are ascending universes as ranges.
func Ranges(universes []uint16) []Range {
	var out []Range
	for _, u := range universes {
		if n := len(out); n > 0 && int(out[n-1].Last)+1 >= int(u) {
			out[n-1].Last = u
			continue
		}
		out = append(out, Range{u, u})
	}
	return out
}

// Append appends the packet to b. Texts are cut to their limits at a rune; Sends that do
// not fit into a packet are left out, the last ranges first.
func (c *Beacon) Append(b []byte) []byte {
	start := len(b)
	b = append(append(append(b, magic...), version), c.Run[:]...)
	b = field(b, tagMachine, []byte(cut(c.Machine, maxMachine)))
	b = field(b, tagShow, []byte(cut(c.Show, maxShow)))
	if c.PID != 0 {
		b = field(b, tagPID, binary.BigEndian.AppendUint32(nil, c.PID))
	}
	if c.CID != ([16]byte{}) {
		b = field(b, tagCID, c.CID[:])
	}
	rest := 0
	for _, o := range c.Other {
		rest += 3 + len(o.Value)
	}
	for _, tag := range []byte{tagSends, tagSendsTo} {
		for i := range c.Sends {
			s := &c.Sends[i]
			if (s.Port != 0) != (tag == tagSendsTo) {
				continue
			}
			var port []byte
			if s.Port != 0 {
				port = binary.BigEndian.AppendUint16(nil, s.Port)
			}
			room := MaxSize - (len(b) - start) - rest - 3 - len(port)
			if v := s.append(nil, room); len(v) > 0 {
				b = field(b, tag, append(port, v...))
			}
		}
	}
	for _, o := range c.Other {
		b = field(b, o.Tag, o.Value)
	}
	return b
}

// field appends a field, unless it is empty.
func field(b []byte, tag byte, value []byte) []byte {
	if len(value) == 0 {
		return b
	}
	return append(binary.BigEndian.AppendUint16(append(b, tag), uint16(len(value))), value...)
}

// append appends the value of the field, with as many ranges as there is room for; nothing
// when there is none for one.
func (s *Sends) append(b []byte, room int) []byte {
	addr := s.To.AsSlice()
	n := min((room-3-len(addr))/4, len(s.Universes))
	if n <= 0 {
		return nil
	}
	b = append(b, byte(s.Protocol), s.Priority, byte(len(addr)))
	b = append(b, addr...)
	for _, r := range s.Universes[:n] {
		b = binary.BigEndian.AppendUint16(binary.BigEndian.AppendUint16(b, r.First), r.Last)
	}
	return b
}

// cut returns the longest beginning of valid text that fits.
func cut(s string, most int) string {
	n := 0
	for i, r := range s {
		size := utf8.RuneLen(r)
		if r == utf8.RuneError && s[i:min(i+3, len(s))] != "\uFFFD" || i+size > most {
			return s[:i]
		}
		n = i + size
	}
	return s[:n]
}

// Parse reads a packet. What it accepts, Append writes again octet by octet.
func Parse(b []byte) (Beacon, error) {
	var c Beacon
	switch {
	case len(b) < head:
		return c, fmt.Errorf("beacon: length: got %d octets, want at least %d", len(b), head)
	case len(b) > MaxSize:
		return c, fmt.Errorf("beacon: length: got %d octets, want at most %d", len(b), MaxSize)
	case string(b[:len(magic)]) != magic:
		return c, fmt.Errorf("beacon: got %q at the beginning, want %q", b[:len(magic)], magic)
	case b[len(magic)] != version:
		return c, fmt.Errorf("beacon: version: got %d, want %d", b[len(magic)], version)
	}
	copy(c.Run[:], b[len(magic)+1:])
	last := byte(0)
	for b = b[head:]; len(b) > 0; {
		if len(b) < 3 {
			return c, fmt.Errorf("beacon: field: got %d octets, want 3 at least", len(b))
		}
		tag, n := b[0], int(binary.BigEndian.Uint16(b[1:]))
		switch {
		case n == 0 || n > len(b)-3:
			return c, fmt.Errorf("beacon: field %d: length: got %d, and %d octets are left", tag, n, len(b)-3)
		case tag == 0, tag < last, tag == last && tag < tagSends:
			return c, fmt.Errorf("beacon: field %d: got it after field %d, want tags to ascend", tag, last)
		}
		if err := c.take(tag, b[3:3+n]); err != nil {
			return c, err
		}
		last, b = tag, b[3+n:]
	}
	return c, nil
}

// take takes in the value of a field.
func (c *Beacon) take(tag byte, v []byte) error {
	switch tag {
	case tagMachine:
		return text(&c.Machine, tag, v, maxMachine)
	case tagShow:
		return text(&c.Show, tag, v, maxShow)
	case tagPID:
		if len(v) != 4 || binary.BigEndian.Uint32(v) == 0 {
			return fmt.Errorf("beacon: process: got % x, want 4 octets that are not all 0", v)
		}
		c.PID = binary.BigEndian.Uint32(v)
	case tagCID:
		if len(v) != 16 || [16]byte(v) == ([16]byte{}) {
			return fmt.Errorf("beacon: component identifier: got % x, want 16 octets that are not all 0", v)
		}
		c.CID = [16]byte(v)
	case tagSends:
		s, err := parseSends(v)
		if err != nil {
			return err
		}
		c.Sends = append(c.Sends, s)
	case tagSendsTo:
		if len(v) < 2 || v[0] == 0 && v[1] == 0 {
			return fmt.Errorf("beacon: sends: port: got % x, want 2 octets that are not all 0", v[:min(len(v), 2)])
		}
		s, err := parseSends(v[2:])
		if err != nil {
			return err
		}
		s.Port = binary.BigEndian.Uint16(v)
		c.Sends = append(c.Sends, s)
	default:
		c.Other = append(c.Other, Field{tag, append([]byte(nil), v...)})
	}
	return nil
}

func text(to *string, tag byte, v []byte, most int) error {
	if len(v) > most || !utf8.Valid(v) {
		return fmt.Errorf("beacon: field %d: got %q, want text of at most %d octets", tag, v, most)
	}
	*to = string(v)
	return nil
}

func parseSends(v []byte) (s Sends, err error) {
	if len(v) < 3 || len(v) < 3+int(v[2]) {
		return s, fmt.Errorf("beacon: sends: got %d octets, want more", len(v))
	}
	s.Protocol, s.Priority = Protocol(v[0]), v[1]
	n := int(v[2])
	if n > 0 {
		var ok bool
		if s.To, ok = netip.AddrFromSlice(v[3 : 3+n]); !ok {
			return s, fmt.Errorf("beacon: sends: address: got %d octets, want 0, 4 or 16", n)
		}
	}
	v = v[3+n:]
	if len(v) == 0 || len(v)%4 != 0 {
		return s, fmt.Errorf("beacon: sends: universes: got %d octets, want some ranges of 4", len(v))
	}
	for before := -2; len(v) > 0; v = v[4:] {
		r := Range{binary.BigEndian.Uint16(v), binary.BigEndian.Uint16(v[2:])}
		if r.First > r.Last || int(r.First) <= before+1 {
			return s, fmt.Errorf("beacon: sends: universes: got %d to %d after %d, want ranges that ascend and do not touch", r.First, r.Last, before)
		}
		before = int(r.Last)
		s.Universes = append(s.Universes, r)
	}
	return s, nil
}
