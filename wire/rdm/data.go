package rdm

import (
	"encoding/binary"
	"fmt"
	"math"
	"strings"
	"unicode/utf8"
)

// MaxText is the longest text of a device (clause 10.5.3 and others).
const MaxText = 32

// need is an error where data have not the length that they must have.
func need(b []byte, p PID, least, most int) error {
	if len(b) < least || len(b) > most {
		want := fmt.Sprint(least)
		if most > least {
			want = fmt.Sprintf("%d to %d", least, most)
		}
		return fmt.Errorf("%v: length of data: got %d, want %s", p, len(b), want)
	}
	return nil
}

// Text reads a text of a device: ASCII of up to 32 octets; a NUL, which some devices send,
// ends it. What is no ASCII becomes U+FFFD, and surrounding spaces go.
func Text(b []byte) string {
	b = b[:min(len(b), MaxText)]
	var out strings.Builder
	for _, c := range b {
		if c == 0 {
			break
		}
		if c < ' ' || c > '~' {
			out.WriteRune(utf8.RuneError)
			continue
		}
		out.WriteByte(c)
	}
	return strings.TrimSpace(out.String())
}

// Info is the data of DEVICE_INFO (clause 10.5.1).
type Info struct {
	Protocol  uint16 //  0: 0x0100
	Model     uint16 //  2
	Category  uint16 //  4
	Software  uint32 //  6
	Footprint uint16 // 10: slots of the mode that it is in
	Mode      byte   // 12: from 1
	Modes     byte   // 13
	Address   uint16 // 14: 1 to 512; 0xFFFF where it has no slots
	Parts     uint16 // 16: sub-devices
	Sensors   byte   // 18
}

const infoSize = 19

// Append appends the data to b.
func (i *Info) Append(b []byte) []byte {
	for _, v := range []uint16{i.Protocol, i.Model, i.Category} {
		b = binary.BigEndian.AppendUint16(b, v)
	}
	b = binary.BigEndian.AppendUint32(b, i.Software)
	b = binary.BigEndian.AppendUint16(b, i.Footprint)
	b = append(b, i.Mode, i.Modes)
	b = binary.BigEndian.AppendUint16(b, i.Address)
	b = binary.BigEndian.AppendUint16(b, i.Parts)
	return append(b, i.Sensors)
}

// ParseInfo reads the data of DEVICE_INFO.
func ParseInfo(b []byte) (Info, error) {
	if err := need(b, DeviceInfoPID, infoSize, infoSize); err != nil {
		return Info{}, err
	}
	u := binary.BigEndian
	return Info{Protocol: u.Uint16(b), Model: u.Uint16(b[2:]), Category: u.Uint16(b[4:]), Software: u.Uint32(b[6:]),
		Footprint: u.Uint16(b[10:]), Mode: b[12], Modes: b[13], Address: u.Uint16(b[14:]), Parts: u.Uint16(b[16:]), Sensors: b[18]}, nil
}

// Mode is the data of DMX_PERSONALITY_DESCRIPTION (clause 10.6.2).
type Mode struct {
	Number    byte   // 0: from 1
	Footprint uint16 // 1
	Name      string // 3
}

// ParseMode reads the data of DMX_PERSONALITY_DESCRIPTION.
func ParseMode(b []byte) (Mode, error) {
	if err := need(b, PersonalityDescription, 3, 3+MaxText); err != nil {
		return Mode{}, err
	}
	return Mode{Number: b[0], Footprint: binary.BigEndian.Uint16(b[1:]), Name: Text(b[3:])}, nil
}

// Count reads the data of DEVICE_HOURS, LAMP_HOURS and LAMP_STRIKES: one number of 32 bits
// (clauses 10.8.1 to 10.8.3).
func Count(p PID, b []byte) (uint32, error) {
	if err := need(b, p, 4, 4); err != nil {
		return 0, err
	}
	return binary.BigEndian.Uint32(b), nil
}

// Number16 reads data of one number of 16 bits, as DMX_START_ADDRESS has.
func Number16(p PID, b []byte) (uint16, error) {
	if err := need(b, p, 2, 2); err != nil {
		return 0, err
	}
	return binary.BigEndian.Uint16(b), nil
}

// PIDs reads the data of SUPPORTED_PARAMETERS (clause 10.4.1).
func PIDs(b []byte) ([]PID, error) {
	if len(b)%2 != 0 {
		return nil, fmt.Errorf("%v: length of data: got %d, want an even number", SupportedParameters, len(b))
	}
	out := make([]PID, 0, len(b)/2)
	for ; len(b) > 0; b = b[2:] {
		out = append(out, PID(binary.BigEndian.Uint16(b)))
	}
	return out, nil
}

// Sensor is the data of SENSOR_DEFINITION (clause 10.7.1).
type Sensor struct {
	Number    byte     //  0
	Type      byte     //  1: table A-12
	Unit      byte     //  2: table A-13
	Prefix    byte     //  3: table A-14
	Range     [2]int16 //  4: least and most that it can say
	Normal    [2]int16 //  8: least and most of a healthy device
	Recording byte     // 12
	Name      string   // 13
}

// ParseSensor reads the data of SENSOR_DEFINITION.
func ParseSensor(b []byte) (Sensor, error) {
	if err := need(b, SensorDefinitionPID, 13, 13+MaxText); err != nil {
		return Sensor{}, err
	}
	at := func(i int) int16 { return int16(binary.BigEndian.Uint16(b[i:])) }
	return Sensor{Number: b[0], Type: b[1], Unit: b[2], Prefix: b[3], Range: [2]int16{at(4), at(6)}, Normal: [2]int16{at(8), at(10)},
		Recording: b[12], Name: Text(b[13:])}, nil
}

// Temperature is the type of a sensor of temperature (table A-12).
const Temperature = 0x00

// symbols are units of sensors (table A-13).
var symbols = map[byte]string{0x01: "°C", 0x02: "V", 0x03: "V", 0x04: "V", 0x05: "A", 0x06: "A", 0x07: "A", 0x08: "Hz", 0x09: "Ω", 0x0A: "W", 0x0B: "kg", 0x0C: "m"}

// Symbol is the sensor's unit, "" for one that is not known here.
func (s *Sensor) Symbol() string { return symbols[s.Unit] }

// Value is what a reading of the sensor comes to, in its unit without a prefix: 1 to 10 are
// deci, centi, and then thousandths of thousandths, 17 to 26 deca, hecto, and then thousands
// of thousands (table A-14).
func (s *Sensor) Value(reading int16) float64 {
	power := 0
	switch p := int(s.Prefix); {
	case p >= 1 && p <= 2:
		power = -p
	case p >= 3 && p <= 10:
		power = -3 * (p - 2)
	case p >= 0x11 && p <= 0x12:
		power = p - 0x10
	case p >= 0x13 && p <= 0x1A:
		power = 3 * (p - 0x12)
	}
	if power < 0 {
		return float64(reading) / math.Pow10(-power)
	}
	return float64(reading) * math.Pow10(power)
}

// Knows tells whether both ends of the normal range are said: -32 768 and 32 767 stand for
// not defined (clause 10.7.1).
func (s *Sensor) Knows() (least, most bool) {
	return s.Normal[0] != math.MinInt16, s.Normal[1] != math.MaxInt16
}

// Reading is the data of SENSOR_VALUE (clause 10.7.2).
type Reading struct {
	Number                       byte
	Present, Low, High, Recorded int16
}

// ParseReading reads the data of SENSOR_VALUE.
func ParseReading(b []byte) (Reading, error) {
	if err := need(b, SensorValuePID, 9, 9); err != nil {
		return Reading{}, err
	}
	at := func(i int) int16 { return int16(binary.BigEndian.Uint16(b[i:])) }
	return Reading{b[0], at(1), at(3), at(5), at(7)}, nil
}
