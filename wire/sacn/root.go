package sacn

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"strings"
	"unicode/utf8"
)

// Port is the UDP port of every packet (clause 9: ACN_SDT_MULTICAST_PORT).
const Port = 5568

const (
	// MaxSlots is the number of slots of a full universe (ANSI E1.11).
	MaxSlots = 512
	// MaxUniverse is the highest universe that may carry data (clause 6.2.7).
	MaxUniverse = 63999
	// MaxPriority is the highest priority (clause 6.2.3).
	MaxPriority = 200
	// DefaultPriority is what a source sends that was told nothing (clause 6.2.3).
	DefaultPriority = 100
	// DiscoveryUniverse addresses the group of discovery packets (clause 6.2.7).
	DiscoveryUniverse = 64214
	// MaxSource is the longest source name in octets, its NUL apart (clause 6.2.2).
	MaxSource = sourceField - 1

	sourceField = 64
	flags       = 0x7000 // high four bits of each flags-and-length word (clause 5.4)
)

// Vectors of the layers (appendix A).
const (
	rootData     = 0x00000004
	rootExtended = 0x00000008
	frameData    = 0x00000002
	frameSync    = 0x00000001
	frameList    = 0x00000002
	listVector   = 0x00000001
	setProperty  = 0x02
)

// Offsets of the fields that begin a layer.
const (
	rootAt  = 16
	frameAt = 38
	dmpAt   = 115
	listAt  = 112
	bodyAt  = 44 // the first octet after the framing layer's vector
)

// preamble is octets 0 to 15 of every packet (clauses 5.1 to 5.3).
var preamble = []byte{0, 0x10, 0, 0, 'A', 'S', 'C', '-', 'E', '1', '.', '1', '7', 0, 0, 0}

// ErrNot is wrapped by the errors of the decoders about an octet string that
// is no packet of the wanted kind at all, as against one that is damaged.
var ErrNot = errors.New("not such a packet")

func appendRoot(b []byte, length int, vector uint32, cid [16]byte) []byte {
	b = append(b, preamble...)
	b = appendLength(b, length-rootAt)
	b = binary.BigEndian.AppendUint32(b, vector)
	return append(b, cid[:]...)
}

func appendLength(b []byte, n int) []byte {
	return binary.BigEndian.AppendUint16(b, flags|uint16(n))
}

var padding [sourceField]byte

// appendSource writes the name into its 64 octets. A name that is too long is
// cut between two characters, for a receiver must be able to show it; so is
// one with a NUL inside.
func appendSource(b []byte, name string) []byte {
	name = CutSource(name)
	b = append(b, name...)
	return append(b, padding[:sourceField-len(name)]...)
}

// CutSource returns what of the name fits a packet: at most MaxSource octets
// of whole UTF-8 characters before the first NUL.
func CutSource(name string) string {
	name, _, _ = strings.Cut(strings.ToValidUTF8(name, "\uFFFD"), "\x00")
	if len(name) <= MaxSource {
		return name
	}
	end := MaxSource
	for !utf8.RuneStart(name[end]) {
		end--
	}
	return name[:end]
}

// parseRoot checks the root and framing layers and returns the CID.
func parseRoot(b []byte, kind string, least int, root, frame uint32) (cid [16]byte, err error) {
	switch {
	case len(b) < least:
		return cid, fmt.Errorf("%s packet: length: got %d octets, want at least %d", kind, len(b), least)
	case !bytes.Equal(b[:rootAt], preamble):
		return cid, fmt.Errorf("%s packet: octets 0 to 15: got % x, want % x: %w", kind, b[:rootAt], preamble, ErrNot)
	}
	if got := binary.BigEndian.Uint32(b[18:]); got != root {
		return cid, fmt.Errorf("%s packet: root vector: got %#x, want %#x: %w", kind, got, root, ErrNot)
	}
	if got := binary.BigEndian.Uint32(b[40:]); got != frame {
		return cid, fmt.Errorf("%s packet: framing vector: got %#x, want %#x: %w", kind, got, frame, ErrNot)
	}
	if err := checkLength(b, kind, "root", rootAt); err != nil {
		return cid, err
	}
	copy(cid[:], b[22:])
	return cid, checkLength(b, kind, "framing", frameAt)
}

func checkLength(b []byte, kind, layer string, at int) error {
	got, want := binary.BigEndian.Uint16(b[at:]), flags|uint16(len(b)-at)
	if got != want { // a packet too long for the word has too many slots or universes, too
		return fmt.Errorf("%s packet: %s flags and length: got %#04x, want %#04x", kind, layer, got, want)
	}
	return nil
}

// parseSource reads the name. All behind its NUL must be NUL too, or encoding it again would
// give other octets.
func parseSource(b []byte, kind string) (string, error) {
	field := b[bodyAt : bodyAt+sourceField]
	end := bytes.IndexByte(field, 0)
	switch {
	case end < 0:
		return "", fmt.Errorf("%s packet: source name: got 64 octets without a NUL, want at most 63 of text", kind)
	case !utf8.Valid(field[:end]):
		return "", fmt.Errorf("%s packet: source name: got % x, want UTF-8", kind, field[:end])
	case len(bytes.Trim(field[end:], "\x00")) > 0:
		return "", fmt.Errorf("%s packet: source name: got octets after its NUL, want only NUL", kind)
	}
	return string(field[:end]), nil
}
