// Package lampstest is a data line of lamps that answer by ANSI E1.20, an interface and an
// Art-Net node before it, for tests. It is written from the standard (from memory), octet by
// octet, and shares nothing with package wire/rdm, so that the two hold each other.
package lampstest

// Lamp is a lamp that answers. Its fields are set before it is asked.
type Lamp struct {
	UID                           [6]byte
	Maker, Model, Label, Software string
	Address                       int // 0 for none
	Mode                          int // from 1
	Modes                         []Mode
	Hours, LampHours, Strikes     uint32
	Sensors                       []Sensor
	Status                        []byte       // of nine octets each
	Lacks                         map[int]bool // parameters that it does not know
	Later                         map[int]bool // parameters that it answers late
	Protected                     bool         // nothing can be set
	Pieces                        bool         // texts come in pieces of four octets
	Stubborn                      bool         // answers ranges though it said that it will not
	Forgets                       bool         // takes what is set, and does not keep it

	Identifies bool // it shows itself now
	Identified int  // how often it began to
	muted      bool
	queue      [][]byte
	said       map[int]int // how much of a text in pieces was said
}

// Mode is a mode of a lamp.
type Mode struct {
	Footprint int
	Name      string
}

// Sensor is a thermometer, in tenths of a degree.
type Sensor struct {
	Name     string
	Now, Top int // what it reads, and the most that is normal
}

func two(v int) []byte { return []byte{byte(v >> 8), byte(v)} }
func four(v uint32) []byte {
	return []byte{byte(v >> 24), byte(v >> 16), byte(v >> 8), byte(v)}
}

// Response types and command classes.
const (
	ack, timer, nack, overflow = 0, 1, 2, 3
	discovery, get, set        = 0x10, 0x20, 0x30
)

// answer is what the lamp says: a response type and data.
func (l *Lamp) answer(class, pid int, data []byte) (kind byte, out []byte) {
	if l.Lacks[pid] {
		return nack, two(0)
	}
	if class == set {
		return l.set(pid, data)
	}
	number := 0
	if len(data) > 0 {
		number = int(data[0])
	}
	switch pid {
	case 0x0030:
		status := l.Status
		l.Status = nil
		return ack, status
	case 0x0050:
		for _, p := range []int{0x0030, 0x0080, 0x0081, 0x0082, 0x00E0, 0x00E1, 0x0200, 0x0201, 0x0400, 0x0401, 0x0402} {
			if !l.Lacks[p] {
				out = append(out, two(p)...)
			}
		}
		return ack, out
	case 0x0060:
		return ack, l.info()
	case 0x0080:
		return l.text(pid, l.Model)
	case 0x0081:
		return l.text(pid, l.Maker)
	case 0x0082:
		return l.text(pid, l.Label)
	case 0x00C0:
		return l.text(pid, l.Software)
	case 0x00E0:
		return ack, []byte{byte(l.Mode), byte(len(l.Modes))}
	case 0x00E1:
		if number < 1 || number > len(l.Modes) {
			return nack, two(6)
		}
		m := l.Modes[number-1]
		return ack, append(append([]byte{byte(number)}, two(m.Footprint)...), m.Name...)
	case 0x00F0:
		return ack, two(l.address())
	case 0x0200, 0x0201:
		if number >= len(l.Sensors) {
			return nack, two(6)
		}
		return ack, l.Sensors[number].say(pid, number)
	case 0x0400:
		return ack, four(l.Hours)
	case 0x0401:
		return ack, four(l.LampHours)
	case 0x0402:
		return ack, four(l.Strikes)
	case 0x1000:
		if l.Identifies {
			return ack, []byte{1}
		}
		return ack, []byte{0}
	}
	return nack, two(0)
}

func (l *Lamp) address() int {
	if l.Address == 0 {
		return 0xFFFF
	}
	return l.Address
}

func (l *Lamp) footprint() int {
	if l.Mode < 1 || l.Mode > len(l.Modes) {
		return 0
	}
	return l.Modes[l.Mode-1].Footprint
}

// info is DEVICE_INFO.
func (l *Lamp) info() []byte {
	b := []byte{1, 0, 0x12, 0x34, 1, 1, 0, 0, 1, 2}
	b = append(b, two(l.footprint())...)
	b = append(b, byte(l.Mode), byte(len(l.Modes)))
	b = append(b, two(l.address())...)
	return append(b, 0, 0, byte(len(l.Sensors)))
}

// text answers at once, or in pieces.
func (l *Lamp) text(pid int, text string) (byte, []byte) {
	if !l.Pieces || len(text) <= 4 {
		return ack, []byte(text)
	}
	if l.said == nil {
		l.said = map[int]int{}
	}
	from := l.said[pid]
	if from+4 >= len(text) {
		l.said[pid] = 0
		return ack, []byte(text[from:])
	}
	l.said[pid] = from + 4
	return overflow, []byte(text[from : from+4])
}

// say is SENSOR_DEFINITION or SENSOR_VALUE: temperature, degrees Celsius, tenths.
func (s *Sensor) say(pid, number int) []byte {
	if pid == 0x0201 {
		b := append([]byte{byte(number)}, two(s.Now)...)
		return append(b, 0, 0, 0, 0, 0, 0)
	}
	b := []byte{byte(number), 0, 1, 1}
	for _, v := range []int{-400, 1500, -32768, s.Top} {
		b = append(b, two(v)...)
	}
	return append(append(b, 0), s.Name...)
}

// set takes an address, a mode, or being shown.
func (l *Lamp) set(pid int, data []byte) (byte, []byte) {
	switch {
	case l.Protected && pid != 0x1000:
		return nack, two(4)
	case pid == 0x00F0 && len(data) == 2:
		a := int(data[0])<<8 | int(data[1])
		if a < 1 || a > 512 {
			return nack, two(6)
		}
		if !l.Forgets {
			l.Address = a
		}
	case pid == 0x00E0 && len(data) == 1:
		if int(data[0]) < 1 || int(data[0]) > len(l.Modes) {
			return nack, two(6)
		}
		if !l.Forgets {
			l.Mode = int(data[0])
		}
	case pid == 0x1000 && len(data) == 1:
		if l.Identifies = data[0] != 0; l.Identifies {
			l.Identified++
		}
	default:
		return nack, two(5)
	}
	return ack, nil
}
