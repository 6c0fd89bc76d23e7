package chase

import (
	"time"

	"lampblack/wire/midi"
	"lampblack/wire/timecode"
)

const (
	// ahead is how far before their times quarter frames are handed over: more
	// than the time between two calls of Update, so that none is missed.
	ahead = 60 * time.Millisecond
	// jump is how far off a position is no slow drift but another place.
	jump = 20 * time.Millisecond
)

// MIDITimeCode sends MIDI time code through a Port: quarter frames while the
// show runs, a full message when it stands or goes elsewhere. It belongs to
// one goroutine.
type MIDITimeCode struct {
	port  *Port
	rate  timecode.Rate
	start time.Duration // timecode at the show's beginning

	running  bool
	told     bool          // where it stands
	next     int64         // the quarter frame to hand over next
	at       time.Time     // of the last Update
	position time.Duration // then, as timecode
}

// NewMIDITimeCode returns a sender; the show begins at the address start.
func NewMIDITimeCode(port *Port, start timecode.Time) *MIDITimeCode {
	return &MIDITimeCode{port: port, rate: start.Rate, start: start.Offset()}
}

// Name says what goes where.
func (m *MIDITimeCode) Name() string {
	return "MIDI time code " + m.rate.String() + ", " + m.port.Name()
}

// Stats counts messages.
func (m *MIDITimeCode) Stats() Stats { return m.port.Stats() }

// Fault says why none leaves, and since when.
func (m *MIDITimeCode) Fault() (since time.Time, err error) { return m.port.Fault() }

// Close closes the port.
func (m *MIDITimeCode) Close() error { return m.port.Close() }

// Update says that the show is at a position, and whether it runs. It is to be
// called at least every 50 ms.
func (m *MIDITimeCode) Update(at time.Time, position time.Duration, running bool) {
	p := position + m.start
	moved := m.told && (p-m.expected(at)).Abs() > jump
	switch {
	case !running:
		if m.running || moved || !m.told {
			m.locate(at, p)
		}
	case !m.running || moved:
		if moved || !m.told {
			m.locate(at, p)
		}
		// From the next even frame on: piece 0 belongs to its instant.
		n := 4 * m.rate.Frames(p) / 8 * 8
		for quarterTime(m.rate, n) < p {
			n += 8
		}
		m.next = n
	}
	m.running, m.told, m.at, m.position = running, true, at, p
	for running {
		due := at.Add(quarterTime(m.rate, m.next) - p)
		if due.Sub(at) > ahead {
			return
		}
		piece, nibble := m.rate.Quarter(m.next)
		m.port.send(m, due, midi.QuarterFrame{Piece: piece, Nibble: nibble}.Append(nil))
		m.next++
	}
}

// expected is where the show would be by now.
func (m *MIDITimeCode) expected(at time.Time) time.Duration {
	if !m.running {
		return m.position
	}
	return m.position + at.Sub(m.at)
}

// locate takes back what was to follow and sends the full message of a
// position.
func (m *MIDITimeCode) locate(at time.Time, p time.Duration) {
	t := m.rate.At(p)
	full := midi.FullFrame{Device: 0x7F, Rate: byte(t.Rate), Hours: t.Hours, Minutes: t.Minutes, Seconds: t.Seconds, Frame: t.Frame}
	m.port.takeBack(m)
	m.port.send(m, at, full.Append(nil))
}
