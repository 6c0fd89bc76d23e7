package rdm

import (
	"encoding/binary"
	"fmt"
)

// StartCode is the START code of these packets on a DMX512 line (clause 6.2.1).
const StartCode = 0xCC

// Class is a command class (table A-1).
type Class byte

// Command classes; a response's is one more than its request's.
const (
	Discover      Class = 0x10
	DiscoverReply Class = 0x11
	Get           Class = 0x20
	GetReply      Class = 0x21
	Set           Class = 0x30
	SetReply      Class = 0x31
)

// Response types (table A-2), in [Packet.Port] of a response.
const (
	Ack         = 0x00
	AckTimer    = 0x01 // the answer comes later: the data say in how many tenths of a second
	Nack        = 0x02 // refused: the data say why
	AckOverflow = 0x03 // there is more: ask the same again
)

// Sub-devices (clause 9.3).
const (
	Root      = 0x0000
	AllOfThem = 0xFFFF
)

const (
	subStart = 0x01
	head     = 24
	// MaxData is the most data of one packet (clause 6.2.12).
	MaxData = 231
	// Size is how much longer a packet is than its data.
	Size = head + 2
)

// Packet is a request, or a response to one.
type Packet struct {
	To, From    UID
	Transaction byte   // a response has its request's
	Port        byte   // of a request the controller's port, 1 to 255; of a response its type
	Waiting     byte   // messages that wait in the responder; 0 in a request
	SubDevice   uint16 // Root, 1 to 512, AllOfThem
	Class       Class
	PID         PID
	Data        []byte
}

// Append appends the packet to b, START code first. It panics on more than MaxData data.
func (p *Packet) Append(b []byte) []byte {
	if len(p.Data) > MaxData {
		panic(fmt.Sprintf("rdm: packet of %d data, want at most %d", len(p.Data), MaxData))
	}
	start := len(b)
	b = append(b, StartCode, subStart, byte(head+len(p.Data)))
	b = append(b, p.To[:]...)
	b = append(b, p.From[:]...)
	b = append(b, p.Transaction, p.Port, p.Waiting)
	b = binary.BigEndian.AppendUint16(b, p.SubDevice)
	b = append(b, byte(p.Class))
	b = binary.BigEndian.AppendUint16(b, uint16(p.PID))
	b = append(append(b, byte(len(p.Data))), p.Data...)
	return binary.BigEndian.AppendUint16(b, sum(b[start:]))
}

// sum is the checksum of clause 6.2.11: all octets added up, the START code too.
func sum(b []byte) uint16 {
	var s uint16
	for _, v := range b {
		s += uint16(v)
	}
	return s
}

// Parse reads one whole packet. The data are part of b, not a copy.
func Parse(b []byte) (Packet, error) {
	if len(b) < Size {
		return Packet{}, fmt.Errorf("RDM packet: length: got %d octets, want at least %d", len(b), Size)
	}
	n := int(b[2])
	switch {
	case b[0] != StartCode:
		return Packet{}, fmt.Errorf("RDM packet: START code: got %#02x, want %#02x", b[0], StartCode)
	case b[1] != subStart:
		return Packet{}, fmt.Errorf("RDM packet: sub START code: got %#02x, want %#02x", b[1], subStart)
	case n < head || n+2 != len(b):
		return Packet{}, fmt.Errorf("RDM packet: message length: got %d in %d octets, want %d", n, len(b), len(b)-2)
	case int(b[23]) != n-head:
		return Packet{}, fmt.Errorf("RDM packet: length of data: got %d, want %d", b[23], n-head)
	}
	if got, want := binary.BigEndian.Uint16(b[n:]), sum(b[:n]); got != want {
		return Packet{}, fmt.Errorf("RDM packet: checksum: got %#04x, want %#04x", got, want)
	}
	return Packet{
		To: UID(b[3:]), From: UID(b[9:]), Transaction: b[15], Port: b[16], Waiting: b[17],
		SubDevice: binary.BigEndian.Uint16(b[18:]), Class: Class(b[20]), PID: PID(binary.BigEndian.Uint16(b[21:])),
		Data: b[head:n],
	}, nil
}

// Answers tells whether the packet is a response to the request. A device may answer with
// what waited in it instead ([QueuedMessage], clause 10.3.1), so the PID is the caller's to
// look at.
func (p *Packet) Answers(request *Packet) bool {
	return p.From == request.To && p.To == request.From && p.Transaction == request.Transaction &&
		p.Port <= AckOverflow && (p.Class == request.Class+1 || request.PID == QueuedMessage && (p.Class == GetReply || p.Class == SetReply))
}
