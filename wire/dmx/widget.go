package dmx

import (
	"fmt"
)

// Message is one message to or from a widget.
type Message struct {
	Label byte
	Data  []byte // at most MaxData
}

// Labels of widget messages (from memory).
const (
	LabelParameters = 3  // asked without data; answered with firmware and timing
	LabelReceived   = 5  // from the widget: a packet came in; the first octet is its status, 0 where all is well
	LabelSend       = 6  // send the data, START code first, over and over
	LabelRDM        = 7  // send this packet of RDM, START code first; answered by LabelReceived or LabelNoAnswer
	LabelSerial     = 10 // asked without data; answered with four octets, BCD
	LabelDiscover   = 11 // as LabelRDM, of a range of devices that may answer at once
	LabelNoAnswer   = 12 // from the widget: no device answered in time
)

const (
	widgetStart = 0x7E
	widgetEnd   = 0xE7
	widgetHead  = 4

	// MaxData is the most data of one message.
	MaxData = 600
	// WidgetSlots is the fewest slots that a widget sends: a packet of 24 is
	// the shortest that takes MinPacket.
	WidgetSlots = 24
)

// Append appends the message to b. It panics on more than MaxData data.
func (m *Message) Append(b []byte) []byte {
	if len(m.Data) > MaxData {
		panic(fmt.Sprintf("dmx: widget message of %d data, want at most %d", len(m.Data), MaxData))
	}
	b = append(b, widgetStart, m.Label, byte(len(m.Data)), byte(len(m.Data)>>8))
	return append(append(b, m.Data...), widgetEnd)
}

// AppendSend appends the message that makes a widget send the slots as levels,
// filled up with zeros to WidgetSlots.
func AppendSend(b, slots []byte) []byte {
	n := max(len(slots), WidgetSlots)
	b = append(b, widgetStart, LabelSend, byte(n+1), byte((n+1)>>8), Levels)
	b = append(b, slots...)
	for range n - len(slots) {
		b = append(b, 0)
	}
	return append(b, widgetEnd)
}

// ParseMessage reads one whole message. The data are part of b, not a copy.
func ParseMessage(b []byte) (Message, error) {
	if len(b) < widgetHead+1 {
		return Message{}, fmt.Errorf("widget message: length: got %d octets, want at least %d", len(b), widgetHead+1)
	}
	n := int(b[2]) | int(b[3])<<8
	switch {
	case b[0] != widgetStart:
		return Message{}, fmt.Errorf("widget message: start: got %#02x, want %#02x", b[0], widgetStart)
	case n > MaxData:
		return Message{}, fmt.Errorf("widget message: length of data: got %d, want at most %d", n, MaxData)
	case len(b) != widgetHead+n+1:
		return Message{}, fmt.Errorf("widget message: length of data: got %d in %d octets, want %d", n, len(b), len(b)-widgetHead-1)
	case b[len(b)-1] != widgetEnd:
		return Message{}, fmt.Errorf("widget message: end: got %#02x, want %#02x", b[len(b)-1], widgetEnd)
	}
	return Message{Label: b[1], Data: b[widgetHead : widgetHead+n]}, nil
}

// Scanner finds messages in the bytes of a serial port. After bytes that are
// no message it looks for the next start octet. The zero value is ready.
type Scanner struct {
	pending []byte
	Skipped int // octets that belonged to no message
}

// Feed takes bytes as they come and calls emit with every message that they
// complete. The message is valid only during the call.
func (s *Scanner) Feed(b []byte, emit func(Message)) {
	s.pending = append(s.pending, b...)
	at := 0
	for {
		rest := s.pending[at:]
		size, whole := frame(rest)
		if !whole {
			break
		}
		m, err := ParseMessage(rest[:size])
		if err != nil { // the start octet was data: go on behind it
			at, s.Skipped = at+1, s.Skipped+1
			continue
		}
		emit(m)
		at += size
	}
	s.pending = append(s.pending[:0], s.pending[at:]...)
}

// frame returns how many octets the message at the head of b has, and whether
// they are all there. What cannot be a message has one octet.
func frame(b []byte) (size int, whole bool) {
	if len(b) > 0 && b[0] != widgetStart {
		return 1, true
	}
	if len(b) < widgetHead {
		return 0, false
	}
	n := int(b[2]) | int(b[3])<<8
	if n > MaxData {
		return 1, true
	}
	size = widgetHead + n + 1
	return size, len(b) >= size
}
