// Package ogg cuts an Ogg stream (RFC 3533) into the packets of its logical
// streams: [NewReader] finds the pages, [NewPackets] puts packets together from
// them, and [Summarise] hops over a file to learn how long it is.
//
// A page is a header of 27 bytes, a list of segment lengths, and the segments. All
// numbers are lowest byte first:
//
//	 0  "OggS"                           18  number of the page in its stream, 4 bytes
//	 4  version, 0                       22  check sum of the page, 4 bytes
//	 5  flags                            26  number of segments
//	 6  a position, "granule", 8 bytes   27  their lengths, one byte each
//	14  serial number of the stream      …   the segments
//
// A packet is a run of segments that ends with the first one shorter than 255 bytes; it
// may go on over pages. What a granule counts is the affair of what is carried: samples,
// for sound. The package knows nothing of what is in a packet.
package ogg

import (
	"bufio"
	"encoding/binary"
	"io"
)

// Flags of a page.
const (
	Continued = 1 // the first packet began on an earlier page
	First     = 2 // of its logical stream
	Last      = 4
)

// A Page is one page.
type Page struct {
	Flags   byte
	Granule int64 // position at the end of the last packet that ends here; -1 when none does
	Serial  uint32
	Count   uint32
	Lacing  []byte // segment lengths
	Body    []byte
}

const pageHeader = 27

// maxPage is the longest page: 255 segments of 255 bytes.
const maxPage = pageHeader + 255 + 255*255

// A Reader reads pages. Bytes that are no page, or whose check sum is wrong, are
// passed over.
type Reader struct {
	r       *bufio.Reader
	skipped int64
}

// NewReader returns a Reader of r.
func NewReader(r io.Reader) *Reader { return &Reader{r: bufio.NewReaderSize(r, maxPage)} }

// Skipped returns the number of bytes that were passed over.
func (r *Reader) Skipped() int64 { return r.skipped }

// Next returns the next page, whose bytes are valid until the next call, or
// io.EOF at the end. A page that ends early counts as passed over, byte by byte: a
// whole one may lie within what its header claims.
func (r *Reader) Next() (Page, error) {
	for {
		b, err := r.r.Peek(pageHeader)
		if len(b) < pageHeader {
			r.skipped += int64(len(b))
			r.r.Discard(len(b))
			return Page{}, err
		}
		if string(b[:4]) == "OggS" {
			if p, ok := r.whole(int(b[26])); ok {
				return p, nil
			}
		}
		n := 1
		for n < len(b) && b[n] != 'O' {
			n++
		}
		r.r.Discard(n)
		r.skipped += int64(n)
	}
}

// whole takes the page at the read position if all of it is there and unharmed.
func (r *Reader) whole(segments int) (Page, bool) {
	b, _ := r.r.Peek(pageHeader + segments)
	if len(b) < pageHeader+segments {
		return Page{}, false
	}
	// The lengths are believed before the sum is checked; at most maxPage bytes, which the
	// reader's buffer holds.
	size := len(b)
	for _, n := range b[pageHeader:] {
		size += int(n)
	}
	if b, _ = r.r.Peek(size); len(b) < size {
		return Page{}, false
	}
	p, ok := ParsePage(b)
	r.r.Discard(size)
	if !ok {
		r.skipped += int64(size)
	}
	return p, ok
}

// ParsePage reads the page that is b.
func ParsePage(b []byte) (p Page, ok bool) {
	if len(b) < pageHeader || string(b[:4]) != "OggS" || b[4] != 0 || len(b) < pageHeader+int(b[26]) {
		return p, false
	}
	le := binary.LittleEndian
	if checksum(b) != le.Uint32(b[22:]) {
		return p, false
	}
	p.Flags = b[5]
	p.Granule = int64(le.Uint64(b[6:]))
	p.Serial = le.Uint32(b[14:])
	p.Count = le.Uint32(b[18:])
	body := pageHeader + int(b[26])
	p.Lacing, p.Body = b[pageHeader:body], b[body:]
	return p, true
}

// crcTable is for the polynomial 0x04C11DB7, highest bit first (RFC 3533, section 6).
var crcTable = func() (t [256]uint32) {
	for i := range t {
		c := uint32(i) << 24
		for range 8 {
			if c&(1<<31) != 0 {
				c = c<<1 ^ 0x04C11DB7
			} else {
				c <<= 1
			}
		}
		t[i] = c
	}
	return t
}()

// checksum is that of a page, its own field taken as zeros.
func checksum(b []byte) (c uint32) {
	for i, v := range b {
		if i >= 22 && i < 26 {
			v = 0
		}
		c = c<<8 ^ crcTable[byte(c>>24)^v]
	}
	return c
}
