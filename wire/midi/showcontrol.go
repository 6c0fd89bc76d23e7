package midi

import (
	"bytes"
	"fmt"
)

// ShowControl is a MIDI Show Control 1.0 message:
// F0 7F device 02 format command data F7, 128 bytes at most (section 3).
//
// The standard forbids it as the only safety of dangerous equipment (section
// 4.1): fog and pyrotechnics stay under manual control.
type ShowControl struct {
	Device  byte // 00 to 6F one device, 70 to 7E groups, 7F all
	Format  byte // 01 lighting, 10 sound, 7F all
	Command Command
	Time    ShowTime // of TimedGo and, when not zero, Set
	Cue     string   // digits and points; "" for none
	List    string   // needs Cue
	Path    string   // needs List
	Macro   byte     // of Fire, 0 to 127
	Control uint16   // of Set, 14 bits
	Value   uint16   // of Set, 14 bits
}

// Lighting and All are the formats that lighting equipment answers to. showSub tells show
// control among the universal real-time messages; showLimit is the longest, in bytes.
const (
	Lighting  = 0x01
	All       = 0x7F
	showSub   = 0x02
	showLimit = 128
)

// Command is what a show control message asks for (section 5).
type Command byte

// The general commands of MIDI Show Control 1.0.
const (
	Go      Command = 0x01
	Stop    Command = 0x02
	Resume  Command = 0x03
	TimedGo Command = 0x04
	Load    Command = 0x05
	Set     Command = 0x06
	Fire    Command = 0x07
	AllOff  Command = 0x08
	Restore Command = 0x09
	Reset   Command = 0x0A
	GoOff   Command = 0x0B
)

// ShowTime is the standard's time field: hr mn sc fr ff, hr with the rate code
// in bits 5 and 6 as in MIDI time code (section 3.2, standard time). Hundredths are of a
// frame.
type ShowTime struct {
	Rate, Hours, Minutes, Seconds, Frame, Hundredths byte
}

// check leaves what a full frame has as well to FullFrame.
func (t ShowTime) check() error {
	f := FullFrame{Rate: t.Rate, Hours: t.Hours, Minutes: t.Minutes, Seconds: t.Seconds, Frame: t.Frame}
	if err := f.check(); err != nil {
		return fmt.Errorf("show control time: %w", err)
	}
	if t.Hundredths > 99 {
		return fmt.Errorf("show control time: hundredths: got %d, want 0 to 99", t.Hundredths)
	}
	return nil
}

func (t ShowTime) append(b []byte) []byte {
	return append(b, t.Rate<<5|t.Hours, t.Minutes, t.Seconds, t.Frame, t.Hundredths)
}

func parseShowTime(b []byte) (ShowTime, error) {
	if len(b) < 5 {
		return ShowTime{}, fmt.Errorf("show control time: got %d bytes, want 5", len(b))
	}
	t := ShowTime{Rate: b[0] >> 5, Hours: b[0] & 0x1F, Minutes: b[1], Seconds: b[2], Frame: b[3], Hundredths: b[4]}
	return t, t.check()
}

// Check returns an error that names the first field that the command cannot
// carry.
func (s *ShowControl) Check() error {
	if s.Device > 0x7F || s.Format < 1 || s.Format > 0x7F {
		return fmt.Errorf("show control: device %#x, format %#x: want 0 to 0x7f, 1 to 0x7f", s.Device, s.Format)
	}
	for _, n := range []string{s.Cue, s.List, s.Path} {
		if err := checkNumber(n); err != nil {
			return err
		}
	}
	if s.List != "" && s.Cue == "" || s.Path != "" && s.List == "" {
		return fmt.Errorf("show control: cue %q, list %q, path %q: each needs the one before", s.Cue, s.List, s.Path)
	}
	if err := s.checkCommand(); err != nil {
		return err
	}
	if n := len(s.appendAll(nil)); n > showLimit {
		return fmt.Errorf("show control: length: got %d bytes, want at most %d", n, showLimit)
	}
	return nil
}

// checkCommand holds the fields against what the command carries (section 5).
func (s *ShowControl) checkCommand() error {
	switch s.Command {
	case Go, Stop, Resume, GoOff:
		return nil
	case TimedGo:
		return s.Time.check()
	case Load:
		if s.Cue == "" {
			return fmt.Errorf("show control: load: got no cue, want one")
		}
		return nil
	case Set:
		if s.Control > 0x3FFF || s.Value > 0x3FFF {
			return fmt.Errorf("show control: set: control %d, value %d: want 14 bits", s.Control, s.Value)
		}
		return s.Time.check()
	case Fire:
		if s.Macro > 127 {
			return fmt.Errorf("show control: fire: macro %d, want 0 to 127", s.Macro)
		}
		return nil
	case AllOff, Restore, Reset:
		if s.Cue != "" {
			return fmt.Errorf("show control: command %#02x: got cue %q, want none", byte(s.Command), s.Cue)
		}
		return nil
	}
	return fmt.Errorf("show control: command: got %#02x, want 0x01 to 0x0b", byte(s.Command))
}

// checkNumber checks a cue, list or path number: ASCII digits and points, a
// digit at both ends (section 3.2, cue numbers).
func checkNumber(n string) error {
	for i := range len(n) {
		digit := n[i] >= '0' && n[i] <= '9'
		if !digit && (n[i] != '.' || i == 0 || i == len(n)-1) {
			return fmt.Errorf("show control: number: got %q, want digits and points as 12.5", n)
		}
	}
	return nil
}

// Append appends the message to b. It panics on a message that Check refuses.
func (s *ShowControl) Append(b []byte) []byte {
	if err := s.Check(); err != nil {
		panic("midi: " + err.Error())
	}
	return s.appendAll(b)
}

// appendAll appends without a check. Numbers of 14 bits are two bytes of seven, the low
// one first.
func (s *ShowControl) appendAll(b []byte) []byte {
	b = append(b, statusSysEx, 0x7F, s.Device, showSub, s.Format, byte(s.Command))
	switch s.Command {
	case TimedGo:
		b = s.appendCue(s.Time.append(b))
	case Set:
		b = append(b, byte(s.Control&0x7F), byte(s.Control>>7), byte(s.Value&0x7F), byte(s.Value>>7))
		if s.Time != (ShowTime{}) {
			b = s.Time.append(b)
		}
	case Fire:
		b = append(b, s.Macro)
	default:
		b = s.appendCue(b)
	}
	return append(b, statusEndX)
}

// appendCue appends cue, list and path as text, a NUL between them.
func (s *ShowControl) appendCue(b []byte) []byte {
	b = append(b, s.Cue...)
	for _, n := range []string{s.List, s.Path} {
		if n != "" {
			b = append(append(b, 0), n...)
		}
	}
	return b
}

// ParseShowControl reads a show control message.
func ParseShowControl(b []byte) (ShowControl, error) {
	n := len(b)
	if n < 7 || n > showLimit || b[0] != statusSysEx || b[1] != 0x7F || b[3] != showSub || b[n-1] != statusEndX {
		return ShowControl{}, fmt.Errorf("show control: got % x, want f0 7f device 02 format command data f7, at most %d bytes", clip(b), showLimit)
	}
	s := ShowControl{Device: b[2], Format: b[4], Command: Command(b[5])}
	if err := s.parseData(b[6 : n-1]); err != nil {
		return ShowControl{}, err
	}
	if err := s.Check(); err != nil {
		return ShowControl{}, err
	}
	// What the fields above cannot hold (leading separators, a zero time
	// written out) would be lost: refuse it.
	if again := s.appendAll(nil); !bytes.Equal(again, b) {
		return ShowControl{}, fmt.Errorf("show control: data: got % x, want % x", clip(b[6:n-1]), clip(again[6:len(again)-1]))
	}
	return s, nil
}

// parseData reads what follows the command. A time has five bytes and is told from a cue
// by its place alone: it stands first, or behind Set's four.
func (s *ShowControl) parseData(data []byte) (err error) {
	switch s.Command {
	case TimedGo:
		if s.Time, err = parseShowTime(data); err != nil {
			return err
		}
		return s.parseCue(data[5:])
	case Set:
		if len(data) != 4 && len(data) != 9 {
			return fmt.Errorf("show control: set: got %d data bytes, want 4 or 9", len(data))
		}
		s.Control = uint16(data[0]) | uint16(data[1])<<7
		s.Value = uint16(data[2]) | uint16(data[3])<<7
		if len(data) == 9 {
			s.Time, err = parseShowTime(data[4:])
		}
		return err
	case Fire:
		if len(data) != 1 {
			return fmt.Errorf("show control: fire: got %d data bytes, want 1", len(data))
		}
		s.Macro = data[0]
		return nil
	}
	return s.parseCue(data)
}

// parseCue reads cue, list and path, a NUL between them; of none, data is empty.
func (s *ShowControl) parseCue(data []byte) error {
	parts := bytes.Split(data, []byte{0})
	if len(parts) > 3 {
		return fmt.Errorf("show control: cue: got %d numbers, want cue, list and path at most", len(parts))
	}
	for i, p := range parts {
		*[]*string{&s.Cue, &s.List, &s.Path}[i] = string(p)
	}
	return nil
}
