package rdm

import (
	"encoding/binary"
	"fmt"
	"strings"
)

// Grade is how grave a status message is (table A-4).
type Grade byte

// Grades of status messages.
const (
	GradeNone     Grade = 0x00
	GradeLast     Grade = 0x01 // asked: what was said last, once more
	GradeAdvisory Grade = 0x02
	GradeWarning  Grade = 0x03
	GradeError    Grade = 0x04
	gradeCleared  Grade = 0x10 // added: it is over
)

// Cleared tells whether what was wrong is over.
func (g Grade) Cleared() bool { return g&gradeCleared != 0 }

// Status is one message of STATUS_MESSAGES (clause 10.3.2).
type Status struct {
	SubDevice uint16   // 0
	Grade     Grade    // 2
	ID        uint16   // 3: table B-2; 0x8000 and above are the maker's
	Values    [2]int16 // 5
}

const statusSize = 9

// ParseStatus reads the data of STATUS_MESSAGES.
func ParseStatus(b []byte) ([]Status, error) {
	if len(b)%statusSize != 0 {
		return nil, fmt.Errorf("%v: length of data: got %d, want a multiple of %d", StatusMessages, len(b), statusSize)
	}
	out := make([]Status, 0, len(b)/statusSize)
	for ; len(b) > 0; b = b[statusSize:] {
		at := func(i int) uint16 { return binary.BigEndian.Uint16(b[i:]) }
		out = append(out, Status{at(0), Grade(b[2]), at(3), [2]int16{int16(at(5)), int16(at(7))}})
	}
	return out, nil
}

// statusWords say what the standard's messages mean (table B-2), in our words; {1} and
// {2} are the values.
var statusWords = map[uint16]string{
	0x0001: "part {1} cannot find its zero",
	0x0002: "sensor {1} is not found",
	0x0003: "sensor {1} is always on",
	0x0011: "the lamp went out",
	0x0012: "the lamp did not strike",
	0x0021: "too hot: sensor {1} at {2} °C",
	0x0022: "too cold: sensor {1} at {2} °C",
	0x0023: "sensor {1} is out of its range",
	0x0031: "phase {1} has too much voltage: {2} V",
	0x0032: "phase {1} has too little voltage: {2} V",
	0x0033: "phase {1} has too much current: {2} A",
	0x0034: "phase {1} has too little current: {2} A",
	0x0035: "phase {1} is {2}° off",
	0x0036: "a phase is missing",
	0x0037: "{1} A",
	0x0038: "{1} V",
	0x0041: "no dimmer in place",
	0x0042: "a breaker has tripped",
	0x0043: "{1} W",
	0x0044: "a dimmer fails",
	0x0045: "a dimmer gives full light by itself",
	0x0050: "ready",
	0x0051: "not ready",
	0x0052: "fluid is low",
}

// String says what the message means.
func (s Status) String() string {
	if words, ok := statusWords[s.ID]; ok {
		return strings.NewReplacer("{1}", fmt.Sprint(s.Values[0]), "{2}", fmt.Sprint(s.Values[1])).Replace(words)
	}
	return fmt.Sprintf("message %#04x of its maker, %d, %d", s.ID, s.Values[0], s.Values[1])
}
