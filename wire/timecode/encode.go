package timecode

import (
	"fmt"
	"math"
)

// RiseTime is how long an edge takes from 10 % to 90 %, in seconds: 40 us
// (ST 12-1, from memory).
const RiseTime = 40e-6

// halfRise is half the whole length of an edge of the shape that rise gives,
// which passes from 10 % to 90 % in 1.189 of it.
const halfRise = RiseTime / 1.189

// rise is the level at u of half an edge's length after its middle, 0 to 1.
func rise(u float64) float32 { return float32(u * (1.5 - float64(0.5*u)*u)) }

// Encoder makes linear time code as audio. Every edge stands at its exact
// rational instant, so there is no drift at any length.
type Encoder struct {
	rate    Rate
	user    uint32
	level   float32
	first   int64 // frame at sample 0
	last    int64 // frame after the last, or <0 for no end
	width   float64
	num     int64 // a half bit is num/den samples
	den     int64
	sample  int64 // next sample
	half    int64 // half bits since sample 0 of the edge at 'from'
	from    float64
	to      float64
	sign    float32
	word    Word
	wordFor int64
}

// EncoderOptions describe the signal.
type EncoderOptions struct {
	Start      Time    // the frame that starts at sample 0
	SampleRate int     // Hz, 8000 to 192000
	Level      float32 // peak, 0 to 1; 0 means 0.5 (-6 dB of full scale)
	Frames     int64   // how many frames, 0 for no end
	User       uint32  // user bits
}

// NewEncoder returns an encoder that stands at sample 0.
func NewEncoder(o EncoderOptions) (*Encoder, error) {
	if err := o.Start.Check(); err != nil {
		return nil, err
	}
	if o.SampleRate < 8000 || o.SampleRate > 192000 {
		return nil, fmt.Errorf("linear timecode: sample rate: got %d Hz, want 8000 to 192000", o.SampleRate)
	}
	if o.Level < 0 || o.Level > 1 || o.Frames < 0 {
		return nil, fmt.Errorf("linear timecode: level %v, %d frames: want 0 to 1, 0 or more", o.Level, o.Frames)
	}
	if o.Level == 0 {
		o.Level = 0.5
	}
	fps, per := o.Start.Rate.Fraction()
	e := &Encoder{rate: o.Start.Rate, user: o.User, level: o.Level, first: o.Start.Count(), last: -1,
		width: halfRise * float64(o.SampleRate), num: int64(o.SampleRate) * per, den: 160 * fps, sign: -1, wordFor: -1}
	if o.Frames > 0 {
		e.last = o.Frames
	}
	e.step()
	return e, nil
}

// Samples returns how many samples the signal has, or 0 if it has no end: the
// edge that ends the last frame is part of it, and a bit more for a reader to
// see it.
func (e *Encoder) Samples() int64 {
	if e.last < 0 {
		return 0
	}
	return int64(math.Ceil(e.position(160*e.last + 2)))
}

// position returns where an edge stands, in samples.
func (e *Encoder) position(half int64) float64 {
	n := half * e.num
	return float64(n/e.den) + float64(n%e.den)/float64(e.den)
}

// step goes on to the next edge: from is passed, to is the one after.
func (e *Encoder) step() {
	e.from, e.sign = e.position(e.half), -e.sign
	e.half += e.halves(e.half)
	e.to = e.position(e.half)
}

// halves returns how many half bits follow the edge at a half bit: one, if the
// bit is a 1, or two.
func (e *Encoder) halves(half int64) int64 {
	frame, bit := half/160, half%160/2
	if e.wordFor != frame {
		e.word = Frame{Time: e.rate.Frame(e.first + frame), User: e.user}.Balance().Word()
		e.wordFor = frame
	}
	if e.word[bit/8]>>(bit%8)&1 == 1 {
		return 1
	}
	return 2
}

// Read fills dst with the next samples and returns how many there were: fewer
// than asked at the end.
func (e *Encoder) Read(dst []float32) int {
	n := len(dst)
	if end := e.Samples(); end > 0 {
		n = int(min(int64(n), end-e.sample))
	}
	for i := 0; i < n; {
		i += e.run(dst[i:n])
	}
	return n
}

// run fills dst up to the next edge and returns how many samples that took.
func (e *Encoder) run(dst []float32) int {
	n := min(len(dst), int(math.Ceil(e.to)-float64(e.sample)))
	if n <= 0 {
		e.step()
		return 0
	}
	flat := e.sign * e.level
	for i := range dst[:n] {
		dst[i] = flat
	}
	for i := 0; i < n; i++ { // the edge behind
		d := float64(e.sample) + float64(i) - e.from
		if d >= e.width {
			break
		}
		dst[i] = flat * rise(d/e.width)
	}
	if e.last < 0 || e.half <= 160*e.last { // the edge ahead, but none after the end
		for i := n - 1; i >= 0; i-- {
			d := e.to - float64(e.sample) - float64(i)
			if d >= e.width {
				break
			}
			dst[i] = min(dst[i]*e.sign, e.level*rise(d/e.width)) * e.sign
		}
	}
	e.sample += int64(n)
	return n
}
