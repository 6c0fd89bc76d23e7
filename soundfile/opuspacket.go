package soundfile

import "errors"

var errOpusPacket = errors.New("opus: damaged packet")

// cutSelfDelimited takes one packet in self-delimiting framing (RFC 6716,
// appendix B) off the front of p and returns it in the usual framing.
func cutSelfDelimited(p []byte) (packet, rest []byte, err error) {
	if len(p) < 2 {
		return nil, nil, errOpusPacket
	}
	toc := p[0]
	c := opusCursor{p: p[1:]}
	out := []byte{toc}
	// The usual framing leaves out the last frame's length, which the end of the packet
	// tells; here it is there, and everything else is the same in both.
	body := 0 // bytes of frames and padding that follow
	switch toc & 3 {
	case 0:
		body = c.length(nil)
	case 1:
		body = 2 * c.length(nil)
	case 2:
		first := c.length(&out)
		body = first + c.length(nil)
	case 3:
		body = c.many(&out)
	}
	if c.bad || body > len(c.p) {
		return nil, nil, errOpusPacket
	}
	return append(out, c.p[:body]...), c.p[body:], nil
}

// opusCursor reads the lengths in front of the frames.
type opusCursor struct {
	p   []byte
	bad bool
}

// byte takes one byte. Without any left it returns 0 and bad is set, for the caller to look
// at once in the end.
func (c *opusCursor) byte(keep *[]byte) int {
	if len(c.p) == 0 {
		c.bad = true
		return 0
	}
	b := c.p[0]
	c.p = c.p[1:]
	if keep != nil {
		*keep = append(*keep, b)
	}
	return int(b)
}

// length reads a frame length of one or two bytes (section 3.2.1), which is also
// part of the usual framing when keep is given.
func (c *opusCursor) length(keep *[]byte) int {
	n := c.byte(keep)
	if n >= 252 {
		n += 4 * c.byte(keep)
	}
	return n
}

// many reads the form for any number of frames (section 3.2.5): a byte of two flags and
// the count, the length of padding (255 stands for 254 and more to come), then lengths.
func (c *opusCursor) many(keep *[]byte) (body int) {
	head := c.byte(keep)
	count := head & 0x3F
	if head&0x40 != 0 { // padding
		for {
			n := c.byte(keep)
			if n < 255 {
				body += n
				break
			}
			body += 254
		}
	}
	if head&0x80 == 0 { // all of one size
		return body + count*c.length(nil)
	}
	for range count - 1 {
		body += c.length(keep)
	}
	return body + c.length(nil)
}
