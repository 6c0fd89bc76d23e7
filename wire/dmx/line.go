package dmx

import (
	"fmt"
	"time"
)

// Level is a stretch of the line at one level.
type Level struct {
	High bool
	Time time.Duration
}

// Line returns the packet as levels of the line. Neighbours of one value are one level: a
// slot's last 1 bits run on into its stop bits, and the last slot's stop bits into idle
// time. The line rests high:
//
//	‾‾‾‾\______________/‾‾‾‾‾‾\___/ d d d d d d d d \‾‾‾‾‾‾\___/ d ...
//	         break       mark  start  data, lowest   2 stop  start
//	                                  bit first      bits
//
// where every bit takes 4 µs, 11 of them a slot 44 µs.
func (p *Packet) Line() []Level {
	var line []Level
	put := func(high bool, d time.Duration) {
		if n := len(line); n > 0 && line[n-1].High == high {
			line[n-1].Time += d
		} else if d > 0 {
			line = append(line, Level{high, d})
		}
	}
	put(false, p.Break)
	put(true, p.Mark)
	// Slot 0 is the START code, which looks like any other.
	for i := -1; i < len(p.Slots); i++ {
		slot := p.Start
		if i >= 0 {
			slot = p.Slots[i]
		}
		put(false, BitTime)
		for bit := range 8 {
			put(slot>>bit&1 == 1, BitTime)
		}
		put(true, 2*BitTime)
	}
	put(true, p.Idle)
	return line
}

// ParseLine reads one packet from the levels of a line: a break first, idle
// time last. Times of slots must be whole bits: this reads what Line writes, and is not a
// receiver of what a cable brings.
func ParseLine(line []Level) (Packet, error) {
	if len(line) < 2 || line[0].High {
		return Packet{}, fmt.Errorf("line: got %d levels, want a break (low) and a mark", len(line))
	}
	for i, l := range line {
		if l.Time <= 0 || i > 0 && l.High == line[i-1].High {
			return Packet{}, fmt.Errorf("line: level %d: got %v for %v after its like, want levels in turn", i, l.High, l.Time)
		}
	}
	p := Packet{Break: line[0].Time, Mark: line[1].Time}
	r := lineReader{line: line[2:]}
	bytes, err := r.slots()
	if err != nil {
		return Packet{}, fmt.Errorf("line: slot %d: %w", len(bytes), err)
	}
	if len(bytes) == 0 {
		return Packet{}, fmt.Errorf("line: got no START code")
	}
	p.Start, p.Slots, p.Idle = bytes[0], bytes[1:], r.idle
	return p, p.Acceptable()
}

// lineReader goes along a line bit by bit. used is how much of the first level the bits so
// far have taken up.
type lineReader struct {
	line []Level
	used time.Duration // of line[0]
	idle time.Duration
}

// slots reads slots until the line ends, high: a start bit, low, eight bits of data, the
// lowest first, and two stop bits, high (ANSI E1.11).
func (r *lineReader) slots() ([]byte, error) {
	var got []byte
	for len(r.line) > 0 {
		var v byte
		for i := range 11 {
			high, err := r.bit()
			switch {
			case err != nil:
				return got, err
			case i == 0 && high:
				return got, fmt.Errorf("start bit: got high, want low")
			case i > 8 && !high:
				return got, fmt.Errorf("stop bit: got low, want high")
			case i > 0 && i <= 8 && high:
				v |= 1 << (i - 1)
			}
		}
		got = append(got, v)
		if err := r.gap(); err != nil {
			return got, err
		}
	}
	return got, nil
}

// bit takes one bit time off the line.
func (r *lineReader) bit() (high bool, err error) {
	if len(r.line) == 0 {
		return false, fmt.Errorf("got the end of the line inside it")
	}
	l := r.line[0]
	r.used += BitTime
	switch {
	case r.used > l.Time:
		return false, fmt.Errorf("got an edge inside a bit")
	case r.used == l.Time:
		r.line, r.used = r.line[1:], 0
	}
	return l.High, nil
}

// gap takes the time that is left of the last stop bit's level: idle time
// after the last slot. Between slots our packets have none.
func (r *lineReader) gap() error {
	if r.used == 0 {
		return nil
	}
	if len(r.line) > 1 {
		return fmt.Errorf("got idle time before the next slot, want none")
	}
	r.idle, r.line = r.line[0].Time-r.used, nil
	return nil
}
