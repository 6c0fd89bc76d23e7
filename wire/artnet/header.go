package artnet

import (
	"encoding/binary"
	"errors"
	"fmt"
	"time"
)

// Port is the UDP port of every packet, 0x1936.
const Port = 6454

// Times that the protocol sets.
const (
	// PollInterval is how often a controller asks who is there: 2.5 s to 3 s.
	PollInterval = 2750 * time.Millisecond
	// ReplyWithin is the longest that a node takes to answer.
	ReplyWithin = 3 * time.Second
	// SyncLoss is the time without ArtSync after which nodes go on by themselves.
	SyncLoss = 4 * time.Second
)

// MaxPortAddress is the highest of the 15-bit Port-Addresses.
const MaxPortAddress = 0x7FFF

// PortAddress puts a Port-Address together: net 0 to 127, sub-net and universe
// 0 to 15.
func PortAddress(net, subNet, universe byte) uint16 {
	return uint16(net&0x7F)<<8 | uint16(subNet&0xF)<<4 | uint16(universe&0xF)
}

// OpCode says what a packet is.
type OpCode uint16

// The OpCodes of this package's packets.
const (
	OpPoll      OpCode = 0x2000
	OpPollReply OpCode = 0x2100
	OpDmx       OpCode = 0x5000
	OpSync      OpCode = 0x5200
	OpTodAsk    OpCode = 0x8000
	OpTodData   OpCode = 0x8100
	OpTodDo     OpCode = 0x8200
	OpRdm       OpCode = 0x8300
)

const (
	identifier = "Art-Net\x00"
	version    = 14
	headSize   = 12
)

// ErrNot is wrapped by the decoders' errors about packets of another kind.
var ErrNot = errors.New("not such a packet")

// OpCodeOf returns the OpCode of an Art-Net packet, and whether b is one.
func OpCodeOf(b []byte) (OpCode, bool) {
	if len(b) < 10 || string(b[:8]) != identifier {
		return 0, false
	}
	return OpCode(binary.LittleEndian.Uint16(b[8:])), true
}

func appendHead(b []byte, op OpCode) []byte {
	b = append(b, identifier...)
	b = binary.LittleEndian.AppendUint16(b, uint16(op))
	return binary.BigEndian.AppendUint16(b, version)
}

// parseHead checks identifier, OpCode and length; the version of a packet that
// has one must be 14 or higher, as the protocol asks.
func parseHead(b []byte, kind string, op OpCode, least int) error {
	got, ok := OpCodeOf(b)
	switch {
	case !ok:
		return fmt.Errorf("%s packet: identifier: got % x, want % x: %w", kind, b[:min(len(b), 8)], identifier, ErrNot)
	case got != op:
		return fmt.Errorf("%s packet: OpCode: got %#04x, want %#04x: %w", kind, uint16(got), uint16(op), ErrNot)
	case len(b) < least:
		return fmt.Errorf("%s packet: length: got %d octets, want at least %d", kind, len(b), least)
	}
	if op == OpPollReply {
		return nil
	}
	if v := binary.BigEndian.Uint16(b[10:]); v < version {
		return fmt.Errorf("%s packet: ProtVer: got %d, want %d or more", kind, v, version)
	}
	return nil
}
