package timecode

import "math"

// bitClock turns edges into bits and looks for sync words.
type bitClock struct {
	bit, least, most float64 // the length of a bit in samples, and its limits
	last             float64 // the edge before
	half             bool    // a half bit has passed since the bit began
	low              uint64  // bits 0 to 63 of the last 80
	top              uint16  // bits 64 to 79
	begins           [81]float64
	count            int64 // bits taken
	nominal          float64
	astray           int // edges since the last sync word
}

// giveUp is how many edges without a sync word mean that the speed is wrong:
// noise in a pause, or a bit length at which every whole bit looks like half a
// bit. Three frames have 240 to 480.
const giveUp = 480

// reversed is the sync word as it arrives when the tape runs backwards, in the
// 16 bits that arrived first.
const reversed = 0x3FFD

func newBitClock(sampleRate int) bitClock {
	fs := float64(sampleRate)
	// Between 24 and 30 frames a second: 1920 to 2400 bits. Half to double the
	// speed is followed once it has locked.
	return bitClock{bit: fs / 2160, nominal: fs / 2160, least: fs / 4800, most: fs / 960, last: math.Inf(-1)}
}

// edge takes an edge and returns the word that it completes, if it does.
func (c *bitClock) edge(at float64) (Word, Received, bool) {
	d := at - c.last
	c.last = at
	if c.astray++; c.astray > giveUp {
		c.bit, c.astray = c.nominal, 0
	}
	switch {
	case d > 1.6*c.bit: // nothing was heard for a while, or the bits are longer
		c.half, c.count = false, 0
		if d > 4*c.nominal {
			c.bit, c.astray = c.nominal, 0
		}
		c.begins[0] = at
		return Word{}, Received{}, false
	case d > 0.75*c.bit:
		c.adapt(d)
		c.half = false
		return c.push(0, at)
	case c.half:
		c.adapt(2 * d)
		c.half = false
		return c.push(1, at)
	}
	c.adapt(2 * d)
	c.half = true
	return Word{}, Received{}, false
}

// adapt follows the speed: fast enough for a wow of some per cent, slow enough
// that noise on one edge does not matter.
func (c *bitClock) adapt(length float64) {
	c.bit = min(max(c.bit+0.05*(length-c.bit), c.least), c.most)
}

// push takes a bit in at the top of 80 that move down: the oldest lies in bit 0 of low. A frame
// is whole when its sync word is on top or, from a tape that runs backwards, mirrored at the
// bottom.
//
//	oldest                                  newest
//	low 0 ....................... 63 | top 0 .. 15
//	bits 0 to 63 of the frame        | sync         forwards
//	sync, mirrored | bits 63 to 0 of the frame      backwards
func (c *bitClock) push(b uint16, end float64) (Word, Received, bool) {
	c.low = c.low>>1 | uint64(c.top&1)<<63
	c.top = c.top>>1 | b<<15
	c.count++
	c.begins[c.count%81] = end
	if c.count < 80 {
		return Word{}, Received{}, false
	}
	switch {
	case c.top == sync:
		c.astray = 0
		return c.word(), c.received(false), true
	case uint16(c.low) == reversed:
		c.astray = 0
		return c.mirrored(), c.received(true), true
	}
	return Word{}, Received{}, false
}

// received measures the frame from all its edges, which averages the noise on
// each: its middle is their mean, its length a least-squares slope.
func (c *bitClock) received(reverse bool) Received {
	base := c.begins[(c.count-80)%81]
	var sum, slope float64
	for i := range 81 {
		t := c.begins[(c.count-80+int64(i))%81] - base
		sum += t
		slope += t * float64(i-40)
	}
	// The sum of (i-40)^2 for 81 edges is 44280.
	length := slope / 44280 * 80
	r := Received{Start: base + sum/81 - length/2, Length: length, Reverse: reverse}
	if reverse { // the frame's instant is where the tape leaves it
		r.Start += length
	}
	return r
}

// word is the last 80 bits as they came.
func (c *bitClock) word() Word {
	var w Word
	for i := range 8 {
		w[i] = byte(c.low >> (8 * i))
	}
	w[8], w[9] = byte(c.top), byte(c.top>>8)
	return w
}

// mirrored is the last 80 bits, the newest first.
func (c *bitClock) mirrored() Word {
	forward := c.word()
	var w Word
	for i := range 80 {
		if forward[(79-i)/8]>>((79-i)%8)&1 == 1 {
			w.set(i, 1)
		}
	}
	return w
}
