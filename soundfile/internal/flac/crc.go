package flac

// crc8Table is for the polynomial x^8+x^2+x+1 of frame headers (9.1.8).
var crc8Table = func() (t [256]byte) {
	for i := range t {
		c := byte(i)
		for range 8 {
			if c&0x80 != 0 {
				c = c<<1 ^ 0x07
			} else {
				c <<= 1
			}
		}
		t[i] = c
	}
	return t
}()

// crc8 is the check byte of a frame's header, from 0, highest bit first.
func crc8(b []byte) (c byte) {
	for _, v := range b {
		c = crc8Table[c^v]
	}
	return c
}

// crc16Tables are for the polynomial x^16+x^15+x^2+1 of frames (9.3). Table k
// advances by k bytes of zeros more, so that eight bytes go at once.
var crc16Tables = func() (t [8][256]uint16) {
	for i := range 256 {
		c := uint16(i) << 8
		for range 8 {
			if c&0x8000 != 0 {
				c = c<<1 ^ 0x8005
			} else {
				c <<= 1
			}
		}
		t[0][i] = c
	}
	for k := 1; k < 8; k++ {
		for i := range 256 {
			c := t[k-1][i]
			t[k][i] = c<<8 ^ t[0][c>>8]
		}
	}
	return t
}()

// crc16 is the check sum of a frame, from 0, highest bit first. The two bytes of c so far
// are taken together with the next two; each byte of the eight is then carried to the end
// by the table for as many bytes as follow it, which is allowed since the sum is linear.
func crc16(b []byte) (c uint16) {
	t := &crc16Tables
	for ; len(b) >= 8; b = b[8:] {
		c = t[7][b[0]^byte(c>>8)] ^ t[6][b[1]^byte(c)] ^ t[5][b[2]] ^ t[4][b[3]] ^
			t[3][b[4]] ^ t[2][b[5]] ^ t[1][b[6]] ^ t[0][b[7]]
	}
	for _, v := range b {
		c = c<<8 ^ t[0][byte(c>>8)^v]
	}
	return c
}
