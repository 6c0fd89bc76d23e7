package osc

import (
	"encoding/binary"
	"fmt"
	"math"
	"strings"
	"time"
)

// Packet is a *Message or a *Bundle.
type Packet interface {
	// Check returns an error that names what cannot be sent.
	Check() error
	// Append appends the packet to b. It panics on one that Check refuses.
	Append(b []byte) []byte
	packet()
}

// Message calls the method at an address.
type Message struct {
	Address string
	Args    []any
}

// Bundle holds packets that take effect together.
type Bundle struct {
	Time     Time
	Elements []Packet
}

// Time is an OSC time tag: NTP time, or Now.
type Time uint64

// Now means at once.
const Now Time = 1

// Impulse is the argument without a value ("bang").
type Impulse struct{}

// unixEpoch is 1970 in seconds of NTP's era 0, which begins in 1900.
const unixEpoch = 2_208_988_800

// At returns the time tag of a time between 1900 and 2036.
func At(t time.Time) Time {
	// Rounded to the nearest 2^-32 s; the last nanosecond of a second stays in it.
	frac := (uint64(t.Nanosecond())<<32 + 500_000_000) / 1_000_000_000
	return Time(uint64(t.Unix()+unixEpoch)<<32 + frac)
}

// Time returns the time of a tag, to the nearest nanosecond.
func (t Time) Time() time.Time {
	ns := (uint64(t)&0xFFFFFFFF*1_000_000_000 + 1<<31) >> 32
	return time.Unix(int64(t>>32)-unixEpoch, int64(ns)).UTC()
}

const (
	bundleHead = "#bundle\x00"
	// maxDepth is how deep bundles may lie within each other, so that a
	// hostile packet cannot exhaust the stack.
	maxDepth = 16
)

func (m *Message) packet() {}
func (b *Bundle) packet()  {}

// Check refuses addresses that are no OSC address pattern and arguments of a
// type that the package does not know.
func (m *Message) Check() error {
	if err := checkAddress(m.Address); err != nil {
		return err
	}
	for i, a := range m.Args {
		letter, err := typeOf(a)
		if err != nil {
			return fmt.Errorf("message %s: argument %d: %w", m.Address, i+1, err)
		}
		if s, ok := a.(string); ok && letter == 's' && strings.Contains(s, "\x00") {
			return fmt.Errorf("message %s: argument %d: got a string with a NUL", m.Address, i+1)
		}
	}
	return nil
}

// checkAddress wants printable ASCII without space and "#". The characters ?*[]{} and the
// comma belong to patterns and are let through; whether a pattern is well formed is for who
// matches it.
func checkAddress(s string) error {
	if !strings.HasPrefix(s, "/") {
		return fmt.Errorf("message: address: got %.40q, want a leading /", s)
	}
	for i := range len(s) {
		if c := s[i]; c <= ' ' || c > '~' || c == '#' {
			return fmt.Errorf("message: address: got %.40q, want printable ASCII without space and #", s)
		}
	}
	return nil
}

// typeOf is the letter of an argument's type; of T, F, N and I it is all there is.
func typeOf(a any) (byte, error) {
	switch v := a.(type) {
	case int32:
		return 'i', nil
	case float32:
		return 'f', nil
	case string:
		return 's', nil
	case []byte:
		return 'b', nil
	case int64:
		return 'h', nil
	case Time:
		return 't', nil
	case float64:
		return 'd', nil
	case bool:
		if v {
			return 'T', nil
		}
		return 'F', nil
	case nil:
		return 'N', nil
	case Impulse:
		return 'I', nil
	}
	return 0, fmt.Errorf("got a %T, want int32, float32, string, []byte, int64, Time, float64, bool, nil or Impulse", a)
}

// Append appends the message to b.
func (m *Message) Append(b []byte) []byte {
	if err := m.Check(); err != nil {
		panic("osc: " + err.Error())
	}
	b = appendString(b, m.Address)
	types := []byte{','}
	for _, a := range m.Args {
		letter, _ := typeOf(a)
		types = append(types, letter)
	}
	b = appendString(b, string(types))
	for _, a := range m.Args {
		b = appendArg(b, a)
	}
	return b
}

// appendArg appends the octets of an argument, none for those that are a letter alone.
func appendArg(b []byte, a any) []byte {
	switch v := a.(type) {
	case int32:
		return binary.BigEndian.AppendUint32(b, uint32(v))
	case float32:
		return binary.BigEndian.AppendUint32(b, math.Float32bits(v))
	case string:
		return appendString(b, v)
	case []byte:
		b = binary.BigEndian.AppendUint32(b, uint32(len(v)))
		return append(append(b, v...), make([]byte, pad(len(v)))...)
	case int64:
		return binary.BigEndian.AppendUint64(b, uint64(v))
	case Time:
		return binary.BigEndian.AppendUint64(b, uint64(v))
	case float64:
		return binary.BigEndian.AppendUint64(b, math.Float64bits(v))
	}
	return b
}

// appendString appends a string, its NUL, and NUL up to a multiple of four.
func appendString(b []byte, s string) []byte {
	b = append(append(b, s...), 0)
	return append(b, make([]byte, pad(len(s)+1))...)
}

// pad is how many octets lack to a multiple of four.
func pad(n int) int { return -n & 3 }

// Check checks every element; an inner bundle's time must not be before the
// outer one's.
func (b *Bundle) Check() error { return b.check(1) }

// check goes into the bundle. An inner one may not be due before the outer (OSC 1.0, "Temporal
// Semantics and OSC Time Tags"); at once, 1, counts as the number it is.
func (b *Bundle) check(depth int) error {
	if depth > maxDepth {
		return fmt.Errorf("bundle: got more than %d within each other", maxDepth)
	}
	for i, e := range b.Elements {
		inner, ok := e.(*Bundle)
		if !ok {
			if err := e.Check(); err != nil {
				return fmt.Errorf("bundle: element %d: %w", i+1, err)
			}
			continue
		}
		if inner.Time < b.Time {
			return fmt.Errorf("bundle: element %d: time: got %#x, want at least the outer %#x", i+1, uint64(inner.Time), uint64(b.Time))
		}
		if err := inner.check(depth + 1); err != nil {
			return fmt.Errorf("bundle: element %d: %w", i+1, err)
		}
	}
	return nil
}

// Append appends the bundle to b.
func (b *Bundle) Append(dst []byte) []byte {
	if err := b.Check(); err != nil {
		panic("osc: " + err.Error())
	}
	dst = append(dst, bundleHead...)
	dst = binary.BigEndian.AppendUint64(dst, uint64(b.Time))
	for _, e := range b.Elements {
		at := len(dst)
		dst = e.Append(append(dst, 0, 0, 0, 0))
		binary.BigEndian.PutUint32(dst[at:], uint32(len(dst)-at-4))
	}
	return dst
}
