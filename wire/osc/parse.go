package osc

import (
	"encoding/binary"
	"fmt"
	"math"
	"strings"
)

// Parse reads a packet: a *Message or a *Bundle. Blobs are part of b, not a
// copy.
func Parse(b []byte) (Packet, error) {
	p, err := parse(b, 1)
	if err != nil {
		return nil, err
	}
	return p, p.Check()
}

// parse reads a packet that lies depth deep. Lengths that are multiples of four are what
// the readers below lean on: where one octet of a word is there, all four are.
func parse(b []byte, depth int) (Packet, error) {
	switch {
	case len(b)%4 != 0:
		return nil, fmt.Errorf("packet: length: got %d octets, want a multiple of 4", len(b))
	case depth > maxDepth+1:
		return nil, fmt.Errorf("bundle: got more than %d within each other", maxDepth)
	case strings.HasPrefix(string(b[:min(8, len(b))]), bundleHead):
		return parseBundle(b[8:], depth)
	}
	return parseMessage(b)
}

// parseBundle reads a bundle whose head has been cut off: its time, then elements, each
// behind its size, until the packet ends. A bundle may hold nothing.
func parseBundle(b []byte, depth int) (*Bundle, error) {
	if len(b) < 8 {
		return nil, fmt.Errorf("bundle: time: got %d octets, want 8", len(b))
	}
	bundle := &Bundle{Time: Time(binary.BigEndian.Uint64(b))}
	for b = b[8:]; len(b) > 0; {
		n := binary.BigEndian.Uint32(b) // four octets are there: the length is a multiple of four
		if uint64(n) > uint64(len(b)-4) || n%4 != 0 {
			return nil, fmt.Errorf("bundle: element %d: size: got %d, want a multiple of 4, at most %d", len(bundle.Elements)+1, n, len(b)-4)
		}
		e, err := parse(b[4:4+n], depth+1)
		if err != nil {
			return nil, fmt.Errorf("bundle: element %d: %w", len(bundle.Elements)+1, err)
		}
		bundle.Elements = append(bundle.Elements, e)
		b = b[4+n:]
	}
	return bundle, nil
}

// parseMessage reads address, types and one argument for each letter. OSC 1.0 tells of old
// senders that leave the types out; without them a message cannot be read unless one knows
// the receiver's methods, so it is refused.
func parseMessage(b []byte) (*Message, error) {
	address, b, err := parseString(b)
	if err != nil {
		return nil, fmt.Errorf("message: address: %w", err)
	}
	types, b, err := parseString(b)
	if err != nil {
		return nil, fmt.Errorf("message %.40q: types: %w", address, err)
	}
	if !strings.HasPrefix(types, ",") {
		return nil, fmt.Errorf("message %.40q: types: got %.20q, want a leading comma", address, types)
	}
	m := &Message{Address: address}
	for i := range len(types) - 1 {
		var a any
		if a, b, err = parseArg(types[i+1], b); err != nil {
			return nil, fmt.Errorf("message %.40q: argument %d: %w", address, i+1, err)
		}
		m.Args = append(m.Args, a)
	}
	if len(b) > 0 {
		return nil, fmt.Errorf("message %.40q: got %d octets after the last argument, want none", address, len(b))
	}
	return m, nil
}

// parseString returns the string at the head of b and what follows it. A string that fills
// its words still has a NUL: four letters take eight octets.
func parseString(b []byte) (string, []byte, error) {
	for end := 0; end < len(b); end++ {
		if b[end] != 0 {
			continue
		}
		// after is within b: the length of b is a multiple of four.
		after := end + 1 + pad(end+1)
		return string(b[:end]), b[after:], zeros(b[end:after])
	}
	return "", nil, fmt.Errorf("got %d octets without a NUL", len(b))
}

// zeros holds padding to NUL: other octets would be lost when the packet is encoded again.
func zeros(b []byte) error {
	for _, c := range b {
		if c != 0 {
			return fmt.Errorf("padding: got % x, want only NUL", b)
		}
	}
	return nil
}

// parseArg reads an argument by its letter and returns what follows it. T, F, N and I have
// no octets of their own.
func parseArg(letter byte, b []byte) (any, []byte, error) {
	switch letter {
	case 'T', 'F':
		return letter == 'T', b, nil
	case 'N':
		return nil, b, nil
	case 'I':
		return Impulse{}, b, nil
	case 's':
		s, rest, err := parseString(b)
		return s, rest, err
	case 'b':
		return parseBlob(b)
	case 'i', 'f':
		if len(b) < 4 {
			return nil, nil, fmt.Errorf("type %c: got %d octets, want 4", letter, len(b))
		}
		v := binary.BigEndian.Uint32(b)
		if letter == 'i' {
			return int32(v), b[4:], nil
		}
		return math.Float32frombits(v), b[4:], nil
	case 'h', 't', 'd':
		if len(b) < 8 {
			return nil, nil, fmt.Errorf("type %c: got %d octets, want 8", letter, len(b))
		}
		return wide(letter, binary.BigEndian.Uint64(b)), b[8:], nil
	}
	return nil, nil, fmt.Errorf("type: got %q, want one of ifsbhtdTFNI", letter)
}

// wide gives eight octets the type of their letter.
func wide(letter byte, v uint64) any {
	switch letter {
	case 'h':
		return int64(v)
	case 't':
		return Time(v)
	}
	return math.Float64frombits(v)
}

// parseBlob returns a part of b, with no room behind it that an append could write into.
func parseBlob(b []byte) (any, []byte, error) {
	if len(b) < 4 {
		return nil, nil, fmt.Errorf("blob: got %d octets, want its length", len(b))
	}
	n := binary.BigEndian.Uint32(b)
	if uint64(n) > uint64(len(b)-4) {
		return nil, nil, fmt.Errorf("blob: length: got %d, want at most %d", n, len(b)-4)
	}
	after := 4 + int(n) + pad(int(n))
	return b[4 : 4+n : 4+n], b[after:], zeros(b[4+n : after])
}
