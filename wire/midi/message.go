package midi

import "fmt"

// Status bytes of the messages that this package makes (MIDI 1.0, tables 1 to 3).
const (
	statusNoteOff = 0x80
	statusNoteOn  = 0x90
	statusControl = 0xB0
	statusProgram = 0xC0
	statusSysEx   = 0xF0
	statusQuarter = 0xF1
	statusEndX    = 0xF7
	statusMeta    = 0xFF // in files only; on a port it is system reset
)

// NoteOn returns a note-on message: MIDI channel 0 to 15, key and velocity 0
// to 127. It panics on values outside.
func NoteOn(channel, key, velocity byte) []byte {
	return channelMessage(statusNoteOn, channel, key, velocity)
}

// NoteOff returns a note-off message with velocity 0.
func NoteOff(channel, key byte) []byte { return channelMessage(statusNoteOff, channel, key, 0) }

// Program returns a program change.
func Program(channel, program byte) []byte { return channelMessage(statusProgram, channel, program) }

// Control returns a control change.
func Control(channel, controller, value byte) []byte {
	return channelMessage(statusControl, channel, controller, value)
}

// channelMessage panics on numbers of more bits than MIDI has: 4 for a channel, 7 for data.
func channelMessage(status, channel byte, data ...byte) []byte {
	if channel > 15 {
		panic(fmt.Sprintf("midi: channel %d, want 0 to 15", channel))
	}
	for _, d := range data {
		if d > 127 {
			panic(fmt.Sprintf("midi: data byte %d, want 0 to 127", d))
		}
	}
	return append([]byte{status | channel}, data...)
}

// dataBytes returns how many data bytes follow a status byte, or -1 when the
// message has no fixed length or the status is undefined (MIDI 1.0, table 1).
func dataBytes(status byte) int {
	switch {
	case status < 0x80:
		return -1
	case status < 0xC0, status >= 0xE0 && status < 0xF0, status == 0xF2:
		return 2
	case status < 0xE0, status == statusQuarter, status == 0xF3:
		return 1
	case status == 0xF6, status >= 0xF8 && status != 0xF9 && status != 0xFD:
		return 0
	}
	return -1
}

// QuarterFrame is one of the eight pieces of a MIDI time code quarter frame
// (MTC specification, "Quarter Frame Messages"): F1 0nnndddd.
type QuarterFrame struct {
	Piece  byte // 0 to 7
	Nibble byte // 0 to 15
}

// Append appends the message to b.
func (q QuarterFrame) Append(b []byte) []byte {
	if q.Piece > 7 || q.Nibble > 15 {
		panic(fmt.Sprintf("midi: quarter frame piece %d nibble %d, want at most 7 and 15", q.Piece, q.Nibble))
	}
	return append(b, statusQuarter, q.Piece<<4|q.Nibble)
}

// ParseQuarterFrame reads a quarter frame message.
func ParseQuarterFrame(b []byte) (QuarterFrame, error) {
	if len(b) != 2 || b[0] != statusQuarter || b[1] > 0x7F {
		return QuarterFrame{}, fmt.Errorf("quarter frame: got % x, want f1 and one data byte", b)
	}
	return QuarterFrame{Piece: b[1] >> 4, Nibble: b[1] & 0xF}, nil
}

// FullFrame is MIDI time code's full message (MTC specification, "Full
// Message"): F0 7F device 01 01 hr mn sc fr F7 with hr = 0 rr hhhhh. The
// numbers are plain binary.
type FullFrame struct {
	Device                         byte // 0x7F for all
	Rate                           byte // 0 24, 1 25, 2 30 drop, 3 30 frames a second
	Hours, Minutes, Seconds, Frame byte
}

// framesOf is the number of frame numbers in a second, by rate code.
var framesOf = [4]byte{24, 25, 30, 30}

// check does not know of drop frame: the numbers that it leaves out pass here.
func (f FullFrame) check() error {
	switch {
	case f.Device > 0x7F || f.Rate > 3:
		return fmt.Errorf("full frame: device %#x, rate code %d: want at most 0x7f and 3", f.Device, f.Rate)
	case f.Hours > 23 || f.Minutes > 59 || f.Seconds > 59 || f.Frame >= framesOf[f.Rate]:
		return fmt.Errorf("full frame: got %02d:%02d:%02d:%02d, want a time of day in frames 0 to %d",
			f.Hours, f.Minutes, f.Seconds, f.Frame, framesOf[f.Rate]-1)
	}
	return nil
}

// Append appends the message to b. It panics on values that no time has.
func (f FullFrame) Append(b []byte) []byte {
	if err := f.check(); err != nil {
		panic("midi: " + err.Error())
	}
	return append(b, statusSysEx, 0x7F, f.Device, 1, 1, f.Rate<<5|f.Hours, f.Minutes, f.Seconds, f.Frame, statusEndX)
}

// ParseFullFrame reads a full message.
func ParseFullFrame(b []byte) (FullFrame, error) {
	if len(b) != 10 || b[0] != statusSysEx || b[1] != 0x7F || b[3] != 1 || b[4] != 1 || b[9] != statusEndX || b[5] > 0x7F {
		return FullFrame{}, fmt.Errorf("full frame: got % x, want f0 7f device 01 01 hr mn sc fr f7", clip(b))
	}
	f := FullFrame{Device: b[2], Rate: b[5] >> 5, Hours: b[5] & 0x1F, Minutes: b[6], Seconds: b[7], Frame: b[8]}
	if err := f.check(); err != nil {
		return FullFrame{}, err
	}
	return f, nil
}

// clip keeps error messages about hostile input short.
func clip(b []byte) []byte { return b[:min(len(b), 16)] }
