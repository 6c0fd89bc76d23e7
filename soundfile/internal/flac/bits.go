package flac

import (
	"encoding/binary"
	"math/bits"
)

// bitReader reads bits, highest first, from the first bytes of buf. Past the end
// it reads zeros and its position goes on, so that over tells.
type bitReader struct {
	buf []byte // readable to 8 bytes past end
	end int    // bits
	pos int    // bits
}

// newBitReader reads the first n bytes of b, which has 8 more.
func newBitReader(b []byte, n int) *bitReader { return &bitReader{buf: b, end: 8 * n} }

// over tells whether more was read than is there.
func (r *bitReader) over() bool { return r.pos > r.end }

// window returns the next bits, left-justified, of which 57 are true.
func (r *bitReader) window() uint64 {
	i := r.pos >> 3
	if uint(i) > uint(len(r.buf)-8) {
		return 0
	}
	return binary.BigEndian.Uint64(r.buf[i:]) << (r.pos & 7)
}

// unsigned returns the next n bits, n at most 57.
func (r *bitReader) unsigned(n int) uint64 {
	v := r.window() >> (64 - n)
	r.pos += n
	return v
}

// signed returns the next n bits, n at most 57, in two's complement.
func (r *bitReader) signed(n int) int64 {
	v := int64(r.window()) >> (64 - n)
	if n == 0 {
		v = 0
	}
	r.pos += n
	return v
}

// unary counts the zeros before the next one, and takes them all.
func (r *bitReader) unary() (n int) {
	for {
		w := r.window() & (1<<64 - 1<<7) // only true bits
		if w != 0 {
			z := bits.LeadingZeros64(w)
			r.pos += z + 1
			return n + z
		}
		r.pos += 57
		n += 57
		if r.over() {
			return n
		}
	}
}
