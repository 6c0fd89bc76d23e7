package vorbis

import "encoding/binary"

// bitPad is how many bytes follow the data in a reader's buffer.
// With them any 8 bytes from a place within the data can be read at once.
const bitPad = 8

// bitReader reads bits lowest first (section 2). Past the end it reads zeros and
// over becomes true.
type bitReader struct {
	buf []byte // data and bitPad zeros
	pos int    // bits
	end int
}

// load makes r read data, which it copies.
func (r *bitReader) load(data []byte) {
	r.buf = append(r.buf[:0], data...)
	r.buf = append(r.buf, make([]byte, bitPad)...)
	r.pos, r.end = 0, 8*len(data)
}

func (r *bitReader) over() bool { return r.pos > r.end }

// window returns the next bits, of which 57 are true, the first one lowest: a load
// of 64 bits from a byte on loses up to 7 that lie before the place within it.
func (r *bitReader) window() uint64 {
	i := r.pos >> 3
	if uint(i) > uint(len(r.buf)-8) {
		return 0
	}
	return binary.LittleEndian.Uint64(r.buf[i:]) >> (r.pos & 7)
}

// take returns the next n bits, at most 32.
func (r *bitReader) take(n int) int {
	v := int(r.window() & (1<<n - 1))
	r.pos += n
	return v
}

func (r *bitReader) flag() bool { return r.take(1) != 0 }
