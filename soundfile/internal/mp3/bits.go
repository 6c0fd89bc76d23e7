package mp3

import "encoding/binary"

// bitPad is how many bytes must follow the data that a bits reads.
const bitPad = 16

// bits reads a bit string, highest bit first. buf must reach bitPad bytes past
// what is read; pos may run past that, reading zeros.
type bits struct {
	buf []byte
	pos int // bits
}

// window returns the next bits, left-justified; at least 57 of them are true.
func (b *bits) window() uint64 {
	i := b.pos >> 3
	if uint(i) > uint(len(b.buf)-8) {
		return 0
	}
	return binary.BigEndian.Uint64(b.buf[i:]) << (b.pos & 7)
}

// take returns the next n bits, at most 32.
func (b *bits) take(n int) uint32 {
	v := uint32(b.window() >> (64 - n)) // a shift by 64 gives 0
	b.pos += n
	return v
}

func (b *bits) flag() bool { return b.take(1) != 0 }
