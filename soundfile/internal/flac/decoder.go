package flac

import (
	"errors"
	"fmt"
	"io"
)

// A Decoder turns frames into interleaved samples. It is for one goroutine, and what
// it returns is its own memory.
type Decoder struct {
	info Info
	r    io.Reader
	eof  bool
	err  error // of r

	buf    []byte // unread bytes are buf[lo:hi]; 8 more are readable
	lo, hi int
	last   int // bytes of the last frame

	pos     int64 // frames of sound so far
	lost    int64 // of those, silence for damaged frames
	skipped int64 // bytes passed over
	cut     bool  // the stream ended within a frame
	failed  int   // headers whose frame did not decode

	// Whole samples of the frame at hand, by channel: narrow for nearly all sound, wide
	// where 32 bits do not hold it. out holds them interleaved and scaled.
	narrow [8][]int32
	wide   [8][]int64
	out    []float32
}

const (
	startBuffer = 64 << 10
	// maxFrameBytes bounds a frame: 65535 samples of 8 channels of 33 bits, as
	// they are, and some room.
	maxFrameBytes = 65536*8*33/8 + 1024
	// maxGap bounds the silence put for lost frames, in seconds: a number that
	// leaps further is damage itself.
	maxGap = 60
	// maxFailed bounds the work on a stream that holds headers and no frames.
	maxFailed = 4096
	// narrowBits is the widest sound whose arithmetic stays within 32 bits.
	narrowBits = 28
)

// NewDecoder decodes the frames of r, which stands behind the metadata.
func NewDecoder(r io.Reader, info Info) *Decoder {
	return &Decoder{r: r, info: info, buf: make([]byte, startBuffer+8)}
}

// Lost returns the number of frames of sound so far that damage silenced.
func (d *Decoder) Lost() int64 { return d.lost }

// Cut reports whether the stream ended within a frame.
func (d *Decoder) Cut() bool { return d.cut }

// errDamaged stands for a frame that does not decode.
var errDamaged = errors.New("flac: damaged frame")

// Next returns the samples of the next frame, full scale 1, valid until the next
// call. The error is io.EOF at the end.
//
// A pattern of bits within a frame can look like a header, check byte and all (one in
// 256 of those that pass the other tests), so only the sum at a frame's end decides.
// When it is wrong the search goes on one byte behind the header, not behind the frame:
// where the frame ends is not known.
func (d *Decoder) Next() ([]float32, error) {
	for {
		h, err := d.findHeader()
		if err != nil {
			return nil, err
		}
		if gap := d.gap(h); gap > 0 {
			return d.silence(gap), nil
		}
		n, err := d.frame(h)
		if err == nil {
			d.lo += n
			d.last = n
			d.pos += int64(h.block)
			return d.interleave(h), nil
		}
		if err != errDamaged {
			return nil, err
		}
		if d.failed++; d.failed > maxFailed {
			return nil, fmt.Errorf("flac: %d damaged frames: too many to read past", d.failed)
		}
		d.lo++ // look for the next frame behind this header
		d.skipped++
	}
}

// findHeader goes to the next header that fits the stream.
func (d *Decoder) findHeader() (header, error) {
	for {
		if d.peek(maxHeader) == 0 {
			if d.err != nil {
				return header{}, d.err
			}
			return header{}, io.EOF
		}
		h, ok, short := parseHeader(d.buf[d.lo:d.hi])
		if ok && d.fits(&h) {
			return h, nil
		}
		d.cut = d.cut || short
		d.lo++
		d.skipped++
		for d.lo < d.hi && d.buf[d.lo] != 0xFF {
			d.lo++
			d.skipped++
		}
	}
}

// fits completes h from STREAMINFO and checks that both agree. Frames might
// differ in channels and width; files hardly ever do (from memory), and here it is a sign
// of damage.
func (d *Decoder) fits(h *header) bool {
	if h.bits == 0 {
		h.bits = d.info.Bits
	}
	if h.channels != d.info.Channels || h.bits != d.info.Bits {
		return false
	}
	if d.info.MaxBlock > 0 && h.block > d.info.MaxBlock {
		return false
	}
	return h.rate == 0 || h.rate == d.info.Rate
}

// start returns the place of the frame's first sample in the stream. Streams of
// fixed block size number their frames; only the last may be shorter.
func (d *Decoder) start(h header) int64 {
	if h.variable {
		return int64(h.number)
	}
	block := d.info.MaxBlock
	if d.info.MinBlock != block || block == 0 {
		return d.pos // cannot be told
	}
	return int64(h.number) * int64(block)
}

// gap returns how much sound is missing in front of the frame, when frames were
// lost. While nothing was passed over the numbers are not looked at: a file cut out of
// a longer one begins to count in the middle, and has no gap there.
func (d *Decoder) gap(h header) int64 {
	if d.skipped == 0 {
		return 0
	}
	gap := d.start(h) - d.pos
	if gap <= 0 || gap > maxGap*int64(d.info.Rate) {
		return 0
	}
	return gap
}

// silence returns up to n frames of it.
func (d *Decoder) silence(n int64) []float32 {
	const piece = 4096
	n = min(n, piece)
	out := d.room(int(n) * d.info.Channels)
	clear(out)
	d.pos += n
	d.lost += n
	return out
}

// frame decodes the frame at the read position and returns its length in bytes.
// A header does not tell the length, so decoding tries with about twice the length of
// the last frame, and again with twice as much whenever that runs out.
func (d *Decoder) frame(h header) (int, error) {
	for want := max(2*d.last, 16<<10); ; want *= 2 {
		have := d.peek(min(want, maxFrameBytes))
		n, err := d.tryFrame(h, have)
		if err == nil || err == errDamaged {
			return n, err
		}
		if d.eof && d.hi-d.lo <= have {
			d.cut = true
			return 0, errDamaged
		}
		if have >= maxFrameBytes {
			return 0, errDamaged
		}
	}
}

// tryFrame decodes from the have bytes at hand; io.ErrUnexpectedEOF asks for more.
func (d *Decoder) tryFrame(h header, have int) (int, error) {
	r := newBitReader(d.buf[d.lo:], have)
	r.pos = 8 * h.size
	for ch := range h.channels {
		width := h.bits
		// A difference of two channels needs one bit more than they do (4.2).
		if h.stereo == leftSide && ch == 1 || h.stereo == rightSide && ch == 0 || h.stereo == midSide && ch == 1 {
			width++
		}
		var ok bool
		if h.bits <= narrowBits {
			d.narrow[ch] = grow(d.narrow[ch], h.block)
			ok = readSubframe(r, d.narrow[ch], width)
		} else {
			d.wide[ch] = grow(d.wide[ch], h.block)
			ok = readSubframe(r, d.wide[ch], width)
		}
		if r.over() {
			return 0, io.ErrUnexpectedEOF
		}
		if !ok {
			return 0, errDamaged
		}
	}
	n := (r.pos + 7) / 8
	if n+2 > have {
		return 0, io.ErrUnexpectedEOF
	}
	b := d.buf[d.lo : d.lo+n+2]
	if crc16(b[:n]) != uint16(b[n])<<8|uint16(b[n+1]) {
		return 0, errDamaged
	}
	return n + 2, nil
}

func grow[S any](s []S, n int) []S {
	if cap(s) < n {
		return make([]S, n)
	}
	return s[:n]
}

// interleave undoes the stereo decorrelation and scales: 2^(bits-1) becomes 1. From 25
// bits on float32 rounds, by less than a step of 24 bits.
func (d *Decoder) interleave(h header) []float32 {
	out := d.room(h.block * h.channels)
	if h.bits <= narrowBits {
		decorrelate(d.narrow[0], d.narrow[1], h.stereo)
		interleave(out, d.narrow[:h.channels], 1/float32(int64(1)<<(h.bits-1)))
	} else {
		decorrelate(d.wide[0], d.wide[1], h.stereo)
		interleave(out, d.wide[:h.channels], 1/float32(int64(1)<<(h.bits-1)))
	}
	return out
}

func (d *Decoder) room(n int) []float32 {
	d.out = grow(d.out, n)
	return d.out
}

// decorrelate makes left and right of a and b (4.2). side is left - right and mid the
// half of left + right, rounded down; sum and difference are both odd or both even, so
// the lowest bit of side restores the one that mid lost.
func decorrelate[S sample](a, b []S, stereo int) {
	if stereo == independent {
		return
	}
	b = b[:len(a)]
	switch stereo {
	case leftSide:
		for i, left := range a {
			b[i] = left - b[i]
		}
	case rightSide:
		for i, side := range a {
			a[i] = side + b[i]
		}
	case midSide:
		for i, mid := range a {
			side := b[i]
			mid = mid<<1 | side&1
			a[i], b[i] = (mid+side)>>1, (mid-side)>>1
		}
	}
}

// interleave brings the channels together as floats. Two channels, as nearly all files have,
// are written in one pass.
func interleave[S sample](out []float32, from [][]S, scale float32) {
	channels := len(from)
	if channels == 2 {
		a, b := from[0], from[1]
		out, b = out[:2*len(a)], b[:len(a)]
		for i, v := range a {
			out[2*i], out[2*i+1] = float32(v)*scale, float32(b[i])*scale
		}
		return
	}
	for ch, s := range from {
		for i, v := range s {
			out[i*channels+ch] = float32(v) * scale
		}
	}
}

// peek makes up to n bytes available at buf[lo:] and returns how many there are. Unread
// bytes move to the front of the buffer, or of one twice as large as is asked for. 8 bytes
// behind hi always stay within it for the bit reader; what they hold does not matter.
func (d *Decoder) peek(n int) int {
	if d.hi-d.lo >= n || d.eof {
		return d.hi - d.lo
	}
	if n+8 > len(d.buf)-d.lo {
		target := d.buf
		if n+8 > len(d.buf) {
			target = make([]byte, 2*n+8)
		}
		d.hi = copy(target, d.buf[d.lo:d.hi])
		d.buf, d.lo = target, 0
	}
	for d.hi-d.lo < n && !d.eof {
		k, err := io.ReadAtLeast(d.r, d.buf[d.hi:len(d.buf)-8], 1)
		d.hi += k
		if err != nil {
			d.eof = true
			if err != io.EOF {
				d.err = fmt.Errorf("flac: %w", err)
			}
		}
	}
	return d.hi - d.lo
}
