package midi

// SysExLimit is the longest system exclusive message that a Stream keeps; a
// longer one is dropped whole, so that a broken port cannot fill the memory.
const SysExLimit = 1 << 16

// Stream cuts the bytes of a MIDI port into messages: it knows running status,
// and real-time bytes in the middle of another message. The zero value is
// ready. A Stream belongs to one goroutine.
type Stream struct {
	status  byte // running status, 0 for none
	pending []byte
	sysex   bool
	skip    bool // inside a system exclusive message that grew too long
}

// Feed takes bytes as they come and calls emit with every message that they
// complete. The message is valid only during the call. Bytes that belong to no
// message (data without a status, undefined statuses) are passed over, as a
// receiver must (MIDI 1.0, "undefined status bytes").
func (s *Stream) Feed(b []byte, emit func(message []byte)) {
	for _, c := range b {
		switch {
		case c >= 0xF8:
			if dataBytes(c) == 0 {
				emit([]byte{c})
			}
		case c >= 0x80:
			s.begin(c, emit)
		default:
			s.data(c, emit)
		}
	}
}

// begin takes a status byte, which ends whatever was under way: a system exclusive
// message whole if it is the right byte, anything else unfinished and dropped.
func (s *Stream) begin(c byte, emit func([]byte)) {
	if s.sysex && c == statusEndX && !s.skip {
		emit(append(s.pending, c))
	}
	s.sysex, s.skip, s.status = c == statusSysEx, false, 0
	s.pending = s.pending[:0]
	switch {
	case s.sysex:
		s.pending = append(s.pending, c)
	case dataBytes(c) == 0:
		emit([]byte{c})
	case dataBytes(c) > 0:
		s.status = c
	}
}

// data takes a data byte: into the system exclusive message, or behind the running status.
func (s *Stream) data(c byte, emit func([]byte)) {
	if s.sysex {
		if len(s.pending) >= SysExLimit-1 {
			s.skip, s.pending = true, s.pending[:0]
		}
		if !s.skip {
			s.pending = append(s.pending, c)
		}
		return
	}
	if s.status == 0 {
		return
	}
	if len(s.pending) == 0 {
		s.pending = append(s.pending, s.status)
	}
	s.pending = append(s.pending, c)
	if len(s.pending) <= dataBytes(s.status) {
		return
	}
	emit(s.pending)
	s.pending = s.pending[:0]
	if s.status >= 0xF0 { // system common messages end running status
		s.status = 0
	}
}
