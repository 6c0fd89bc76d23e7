package chase

import (
	"encoding/binary"
	"io"
	"time"

	"lampblack/wire/midi"
	"lampblack/wire/timecode"
)

// MIDIInput turns the bytes of a MIDI port into marks. The zero value with a
// Follower is ready. It belongs to one goroutine.
type MIDIInput struct {
	Follower *Follower
	// Other is called with every message that is not timecode, valid only
	// during the call, if it is set.
	Other func(at time.Time, message []byte)

	stream   midi.Stream
	quarters timecode.QuarterFrames
	last     time.Time // of the last quarter frame
}

// pieceGap is the pause after which quarter frames begin anew: eight of them,
// which could pass unnoticed, take 67 ms at least.
const pieceGap = 50 * time.Millisecond

// Feed takes bytes that arrived at an instant.
func (m *MIDIInput) Feed(at time.Time, b []byte) {
	m.stream.Feed(b, func(message []byte) { m.message(at, message) })
}

func (m *MIDIInput) message(at time.Time, b []byte) {
	if q, err := midi.ParseQuarterFrame(b); err == nil {
		if at.Sub(m.last) > pieceGap {
			m.quarters.Reset()
		}
		m.last = at
		if rate, quarter, locked := m.quarters.Feed(q.Piece, q.Nibble); locked {
			m.Follower.Mark(at, quarterTime(rate, quarter))
		}
		return
	}
	if full, err := midi.ParseFullFrame(b); err == nil {
		m.quarters.Reset()
		t := timecode.Time{Rate: timecode.Rate(full.Rate), Hours: full.Hours, Minutes: full.Minutes, Seconds: full.Seconds, Frame: full.Frame}
		if t.Check() == nil {
			m.Follower.Locate(at, t.Offset())
		}
		return
	}
	if m.Other != nil {
		m.Other(at, b)
	}
}

// quarterTime is the time of a quarter frame after midnight.
func quarterTime(rate timecode.Rate, quarter int64) time.Duration {
	whole, part := rate.Duration(quarter/4), quarter%4
	return whole + time.Duration(part)*(rate.Duration(1))/4
}

// Follow reads the port until it fails and returns why; the end of the port is
// io.EOF.
func (m *MIDIInput) Follow(r io.Reader) error {
	b := make([]byte, 1024)
	for {
		n, err := r.Read(b)
		m.Feed(time.Now(), b[:n])
		if err != nil {
			return err
		}
	}
}

// AudioInput turns linear timecode in audio into marks. It belongs to one
// goroutine.
type AudioInput struct {
	Follower *Follower

	rate    int
	decoder *timecode.Decoder
	samples int64
	clock   sampleClock
	buffer  []float32
	rest    []byte // half a sample
}

// NewAudioInput returns an input of mono samples at a rate in Hz. Give the
// frame rate where it is known (see timecode.NewDecoder).
func NewAudioInput(f *Follower, sampleRate int, rate ...timecode.Rate) *AudioInput {
	return &AudioInput{Follower: f, rate: sampleRate, decoder: timecode.NewDecoder(sampleRate, rate...), clock: sampleClock{rate: float64(sampleRate)}}
}

// Feed takes samples, of which the last was taken by the device at an instant,
// or somewhat earlier.
func (a *AudioInput) Feed(at time.Time, samples []float32) {
	a.samples += int64(len(samples))
	a.clock.arrived(at, a.samples)
	a.decoder.Feed(samples, func(r timecode.Received) {
		if !r.Reverse {
			a.Follower.Mark(a.clock.at(r.Start), r.Offset())
		}
	})
}

// pipeHolds is what a pipe holds: one read takes all that is in it, so that the last sample is
// the newest, and is stamped as it arrives.
const pipeHolds = 64 << 10

// Follow reads 16-bit little-endian mono samples, as sound programs write them
// into a pipe, until r fails, and returns why.
func (a *AudioInput) Follow(r io.Reader) error {
	b := make([]byte, pipeHolds)
	for {
		n, err := r.Read(b)
		a.feedBytes(time.Now(), b[:n])
		if err != nil {
			return err
		}
	}
}

func (a *AudioInput) feedBytes(at time.Time, b []byte) {
	if len(a.rest) == 1 && len(b) > 0 {
		b = append(a.rest, b...)
	}
	a.buffer = a.buffer[:0]
	for ; len(b) > 1; b = b[2:] {
		a.buffer = append(a.buffer, float32(int16(binary.LittleEndian.Uint16(b)))/(1<<15))
	}
	a.rest = append([]byte(nil), b...)
	if len(a.buffer) > 0 {
		a.Feed(at, a.buffer)
	}
}

// sampleClock finds when a sample was taken from when blocks of them arrive:
// never before they were taken, and some of them soon after. So the earliest
// arrival counts; it is let go slowly, for the device's clock is not ours. Where all
// that arrives for a while is late by more than jitter, samples were lost before they
// came to us, as when a pipe was full: then the earliest of that while counts.
type sampleClock struct {
	rate  float64
	zero  time.Time // when sample 0 was taken
	known bool

	slips time.Time     // since when all have been late, zero for not
	least time.Duration // by how much at least
}

const (
	// letGo is how fast the earliest arrival is forgotten: 1 ms a second, ten times
	// what a bad crystal drifts.
	letGo = 1e-3
	// slipped is by how much all must be late for a while, slipping, to be late for
	// good: some blocks of what programs write.
	slipped  = 15 * time.Millisecond
	slipping = 300 * time.Millisecond
)

func (c *sampleClock) arrived(at time.Time, samples int64) {
	zero := at.Add(-time.Duration(float64(samples) / c.rate * 1e9))
	late := zero.Sub(c.zero)
	switch {
	case !c.known || late < 0 || late > time.Second: // later by so much: the device has stopped between
		c.zero, c.known, c.slips = zero, true, time.Time{}
		return
	case late <= slipped:
		c.slips = time.Time{}
	case c.slips.IsZero():
		c.slips, c.least = at, late
	case at.Sub(c.slips) >= slipping:
		c.zero, c.slips = c.zero.Add(min(c.least, late)), time.Time{}
		return
	default:
		c.least = min(c.least, late)
	}
	c.zero = c.zero.Add(min(late, time.Duration(letGo*1e9*1024/c.rate)))
}

func (c *sampleClock) at(sample float64) time.Time {
	return c.zero.Add(time.Duration(sample / c.rate * 1e9))
}
