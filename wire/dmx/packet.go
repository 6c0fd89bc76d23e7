package dmx

import (
	"fmt"
	"time"
)

// What the line does (ANSI E1.11, clause 8; EIA-485 at 250 kbit/s).
const (
	Baud     = 250_000
	BitTime  = 4 * time.Microsecond
	SlotTime = 11 * BitTime // start bit, eight data bits, two stop bits
	MaxSlots = 512
)

// Limits of ANSI E1.11 (table 6 and the text around it): Min for what a transmitter may send,
// Take for what a receiver must take.
const (
	MinBreak     = 92 * time.Microsecond
	TypicalBreak = 176 * time.Microsecond
	TakeBreak    = 88 * time.Microsecond
	MinMark      = 12 * time.Microsecond
	TakeMark     = 8 * time.Microsecond
	MaxMark      = time.Second // exclusive; also of any idle time between slots
	MinPacket    = 1204 * time.Microsecond
	TakePacket   = 1196 * time.Microsecond
	MaxPacket    = time.Second             // break to break
	Loss         = 1250 * time.Millisecond // without a packet the signal is lost
)

// Levels is the START code of packets whose slots are levels. Many receivers
// do not look at it, so no other belongs on a line with lights.
const Levels = 0x00

// Packet is one packet as it stands on the line.
type Packet struct {
	Break time.Duration
	Mark  time.Duration // after the break
	Start byte
	Slots []byte
	Idle  time.Duration // high after the last slot, until the next break
}

// Time returns how long a packet of n slots keeps the line, without idle time.
func Time(breakTime, mark time.Duration, n int) time.Duration {
	return breakTime + mark + time.Duration(n+1)*SlotTime
}

// Time returns how long the packet keeps the line, its idle time included.
func (p *Packet) Time() time.Duration {
	return Time(p.Break, p.Mark, len(p.Slots)) + p.Idle
}

// Check returns an error that names what a transmitter must not send.
func (p *Packet) Check() error { return p.check(MinBreak, MinMark, MinPacket, MaxPacket) }

// Acceptable returns an error that names what a receiver need not take.
func (p *Packet) Acceptable() error { return p.check(TakeBreak, TakeMark, TakePacket, Loss) }

// check is against either set of limits: those of a transmitter, or the wider ones within
// which a receiver must still understand.
func (p *Packet) check(leastBreak, leastMark, least, most time.Duration) error {
	switch {
	case len(p.Slots) > MaxSlots:
		return fmt.Errorf("packet: slots: got %d, want at most %d", len(p.Slots), MaxSlots)
	case p.Break < leastBreak:
		return fmt.Errorf("packet: break: got %v, want at least %v", p.Break, leastBreak)
	case p.Mark < leastMark || p.Mark >= MaxMark:
		return fmt.Errorf("packet: mark after break: got %v, want %v to less than %v", p.Mark, leastMark, MaxMark)
	case p.Idle < 0 || p.Idle >= MaxMark:
		return fmt.Errorf("packet: idle time: got %v, want less than %v", p.Idle, MaxMark)
	case p.Time() < least || p.Time() > most:
		return fmt.Errorf("packet: break to break: got %v, want %v to %v", p.Time(), least, most)
	}
	return nil
}

// Append appends the bytes that a UART sends after the break: START code and
// slots.
func (p *Packet) Append(b []byte) []byte { return append(append(b, p.Start), p.Slots...) }

// Fill returns the idle time that the packet needs at least to be long enough
// for a transmitter.
func (p *Packet) Fill() time.Duration {
	return max(0, MinPacket-Time(p.Break, p.Mark, len(p.Slots)))
}
