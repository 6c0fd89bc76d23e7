package timecode

import (
	"fmt"
	"math/bits"
)

// Frame is what one frame of linear time code says.
type Frame struct {
	Time
	User        uint32 // eight groups of four user bits, group 1 in the lowest
	ColourFrame bool
	Group       uint8 // binary group flags 0 to 2 in bits 0 to 2
	Polarity    bool  // the correction bit as sent; see Balance
}

// Word is the 80 bits of a frame: bit n is bit n%8 of octet n/8.
type Word [10]byte

// sync is bits 64 to 79, bit 64 lowest.
const sync = 0xBFFC

// digit is a BCD digit of the address: its lowest bit and how many bits it has. Units have
// four; tens have two or three, as many as they need.
type digit struct {
	at, width int
	tens      bool
}

// digits come in pairs, units and tens, of frames, seconds, minutes and hours. Between them
// lie the user bits, four after every four of digits and flags.
var digits = [...]digit{{0, 4, false}, {8, 2, true}, {16, 4, false}, {24, 3, true}, {32, 4, false}, {40, 3, true}, {48, 4, false}, {56, 2, true}}

// Flags that stand in the same place at every rate.
const (
	dropBit   = 10
	colourBit = 11
)

// flagBits returns where the polarity bit and the binary group flags 0 to 2
// are: they change places at 25 frames a second.
func (r Rate) flagBits() (polarity int, group [3]int) {
	if r == Rate25 {
		return 59, [3]int{27, 58, 43}
	}
	return 27, [3]int{43, 58, 59}
}

// set and get place a number with its lowest bit at bit at: bits go out in the order of
// their numbers, so the lowest is first on the line.
func (w *Word) set(at int, v uint32) { // the bits must be 0 before
	for ; v != 0; v, at = v>>1, at+1 {
		w[at/8] |= byte(v&1) << (at % 8)
	}
}

func (w *Word) get(at, width int) uint8 {
	var v uint8
	for i := range width {
		v |= w[(at+i)/8] >> ((at + i) % 8) & 1 << i
	}
	return v
}

// Word returns the frame's bits. It panics on an address that Check refuses.
func (f Frame) Word() Word {
	if err := f.Check(); err != nil {
		panic(err.Error())
	}
	var w Word
	pairs := [4]uint8{f.Frame, f.Seconds, f.Minutes, f.Hours}
	for i, d := range digits {
		v := pairs[i/2] % 10
		if d.tens {
			v = pairs[i/2] / 10
		}
		w.set(d.at, uint32(v))
	}
	for g := range 8 {
		w.set(8*g+4, f.User>>(4*g)&0xF)
	}
	polarity, group := f.Rate.flagBits()
	for i, at := range group {
		w.set(at, uint32(f.Group>>i&1))
	}
	for at, on := range map[int]bool{dropBit: f.Rate.Drop(), colourBit: f.ColourFrame, polarity: f.Polarity} {
		if on {
			w.set(at, 1)
		}
	}
	w.set(64, sync)
	return w
}

// Balance returns the frame with the polarity bit that makes the number of
// zeros even.
func (f Frame) Balance() Frame {
	f.Polarity = false
	w := f.Word()
	ones := 0
	for _, b := range w {
		ones += bits.OnesCount8(b)
	}
	// Of 80 bits the zeros are even when the ones are; an odd count gets this bit too.
	f.Polarity = ones%2 != 0
	return f
}

// ParseWord reads the bits of a frame at a rate, which the bits do not say,
// but for drop frame.
func ParseWord(w Word, r Rate) (Frame, error) {
	if got := uint16(w[8]) | uint16(w[9])<<8; got != sync {
		return Frame{}, fmt.Errorf("linear timecode: sync word: got %#04x, want %#04x", got, sync)
	}
	if got := w.get(dropBit, 1) == 1; got != r.Drop() {
		return Frame{}, fmt.Errorf("linear timecode: drop frame flag: got %v, want %v at %v frames a second", got, r.Drop(), r)
	}
	f := Frame{Time: Time{Rate: r}, ColourFrame: w.get(colourBit, 1) == 1}
	pairs := [4]*uint8{&f.Frame, &f.Seconds, &f.Minutes, &f.Hours}
	for i, d := range digits {
		// Four bits can hold 10 to 15. What is a digit and yet no clock's, 39 hours, Check
		// refuses at the end.
		v := w.get(d.at, d.width)
		if v > 9 {
			return Frame{}, fmt.Errorf("linear timecode: bits %d to %d: got %d, want a digit", d.at, d.at+d.width-1, v)
		}
		if d.tens {
			v *= 10
		}
		*pairs[i/2] += v
	}
	for g := range 8 {
		f.User |= uint32(w.get(8*g+4, 4)) << (4 * g)
	}
	polarity, group := r.flagBits()
	for i, at := range group {
		f.Group |= w.get(at, 1) << i
	}
	f.Polarity = w.get(polarity, 1) == 1
	return f, f.Check()
}
