package mp3

import (
	"encoding/binary"
	"io"
	"slices"
)

// A Scanner cuts a run of bytes into frames. It passes over tags, and over
// bytes that are no frames until two or three headers in a row fit each other: eleven
// ones and few forbidden values are a weak mark, which music in any other format and
// pictures in tags show often.
type Scanner struct {
	r       io.Reader
	buf     []byte
	lo, hi  int // unread bytes are buf[lo:hi]
	eof     bool
	err     error // of r, other than io.EOF
	start   int64 // offset of buf[0] in the stream
	first   Header
	locked  bool
	free    int   // bytes of a free-format frame without padding
	skipped int64 // bytes passed over that were neither frames nor tags
	cut     bool  // the last frame was not whole
}

const (
	scanBuffer = 32 << 10
	// maxFrame bounds free format; 320 kbit/s at 32 kHz makes 1441 bytes.
	maxFrame = 4096
)

// NewScanner returns a Scanner that reads from r.
func NewScanner(r io.Reader) *Scanner {
	return &Scanner{r: r, buf: make([]byte, scanBuffer)}
}

// Skipped returns the number of bytes so far that were neither frames nor tags.
func (s *Scanner) Skipped() int64 { return s.skipped }

// Cut reports whether the stream ended within a frame.
func (s *Scanner) Cut() bool { return s.cut }

// Sync finds the first frame without taking it. It gives up, with ok false,
// after limit bytes that are no frames, or at the end.
func (s *Scanner) Sync(limit int64) (h Header, offset int64, ok bool) {
	for s.skipped <= limit {
		if s.skipTag() {
			continue
		}
		if s.peek(4) < 4 {
			return h, 0, false
		}
		if h, ok := ParseHeader(s.buf[s.lo:s.hi]); ok && s.confirm(h, 3) {
			s.first, s.locked = h, true
			return h, s.start + int64(s.lo), true
		}
		s.drop()
	}
	return h, 0, false
}

// Next returns the next frame, whose bytes are valid until the next call. The
// error is io.EOF at the end, also when the last frame is not whole.
func (s *Scanner) Next() (Header, []byte, error) {
	// Once locked, a header where the last frame ended is believed on its own; after a loss
	// it takes two that fit, the second at the distance that the first one tells.
	lost := false // a header was not where it had to be
	for {
		if s.skipTag() {
			continue
		}
		if n := s.peek(4); n < 4 {
			s.cut = s.cut || n > 0
			return Header{}, nil, s.end()
		}
		h, ok := ParseHeader(s.buf[s.lo:s.hi])
		if ok && s.locked && !h.alike(s.first) {
			ok = false
		}
		if ok && (s.locked && !lost || s.confirm(h, 2)) {
			if !s.locked {
				s.first, s.locked = h, true
			}
			return s.take(h)
		}
		lost = true
		s.drop()
	}
}

// take returns the frame of the header at the read position. One that the stream's end
// cuts short is the end.
func (s *Scanner) take(h Header) (Header, []byte, error) {
	n := s.length(h)
	if s.peek(n) < n {
		s.cut = true
		s.lo = s.hi
		return Header{}, nil, s.end()
	}
	frame := s.buf[s.lo : s.lo+n]
	s.lo += n
	return h, frame, nil
}

// end is the error that ends the stream: the reader's own, if it had one.
func (s *Scanner) end() error {
	if s.err != nil {
		return s.err
	}
	return io.EOF
}

// drop passes over bytes up to the next that can begin a header or a tag.
func (s *Scanner) drop() {
	n := 1
	for s.lo+n < s.hi && s.buf[s.lo+n] != 0xFF && s.buf[s.lo+n] != 'I' {
		n++
	}
	n = min(n, s.hi-s.lo)
	s.lo += n
	s.skipped += int64(n)
}

// length returns the bytes of the frame at the read position.
func (s *Scanner) length(h Header) int {
	if h.Bitrate != 0 {
		return h.size()
	}
	if s.free == 0 {
		s.free = s.measureFree(h)
	}
	return s.free + h.padding
}

// measureFree finds how far the next header of the same kind is, since free format does
// not tell (2.4.2.3: the size is constant but for padding). A frame that nothing follows
// is taken to reach to the end.
func (s *Scanner) measureFree(h Header) int {
	n := s.peek(2 * maxFrame)
	for i := h.sideStart() + h.sideSize(); i+4 <= min(n, maxFrame); i++ {
		if o, ok := ParseHeader(s.buf[s.lo+i:]); ok && o.alike(h) {
			return i - h.padding
		}
	}
	return min(n, maxFrame) - h.padding
}

// tagMarks begin the tags that skipTag knows: ID3v1, APE and ID3v2. Any of them may follow
// the last frame, the last of them where files were joined.
var tagMarks = []string{"TAG", "APE", "ID3"}

// confirm checks that want headers in a row, the one at hand included, fit each
// other; fewer are enough where the stream or a tag ends them.
func (s *Scanner) confirm(h Header, want int) bool {
	if s.locked && !h.alike(s.first) {
		return false
	}
	if h.Bitrate == 0 {
		s.free = s.measureFree(h)
	}
	at := 0
	for range want - 1 {
		n := h.size()
		if h.Bitrate == 0 {
			n = s.free + h.padding
		}
		// Bit rates that low leave no room for the side information: no real frame.
		if n < h.sideStart()+h.sideSize() {
			return false
		}
		at += n
		have := s.peek(at + 4)
		if have < at {
			return false // not even whole
		}
		rest := s.buf[s.lo+at : s.lo+have]
		if len(rest) < 4 || slices.Contains(tagMarks, string(rest[:3])) {
			return true
		}
		next, ok := ParseHeader(rest)
		if !ok || !next.alike(h) {
			return false
		}
		h = next
	}
	return true
}

// skipTag passes over a tag at the read position: ID3v2 (id3.org, ID3v2.4.0
// section 3.1) in front, ID3v1 (128 bytes) and APE behind. ID3v2 writes its length in
// four bytes of seven bits. Those behind count only after frames, ID3v1 only as the very
// last 128 bytes: their marks are short enough to turn up in sound.
func (s *Scanner) skipTag() bool {
	n := s.peek(32)
	b := s.buf[s.lo : s.lo+min(n, 32)]
	switch {
	case len(b) >= 10 && string(b[:3]) == "ID3" && b[3] < 0xFF && b[6]|b[7]|b[8]|b[9] < 0x80:
		size := 10 + int64(b[6])<<21 + int64(b[7])<<14 + int64(b[8])<<7 + int64(b[9])
		if b[5]&0x10 != 0 { // a footer repeats the header
			size += 10
		}
		return s.discard(size)
	case len(b) >= 3 && string(b[:3]) == "TAG" && s.locked && s.peek(129) == 128:
		return s.discard(128)
	case len(b) >= 32 && string(b[:8]) == "APETAGEX" && s.locked:
		return s.discard(32 + int64(binary.LittleEndian.Uint32(b[12:]))%(1<<28))
	}
	return false
}

// discard takes n bytes, fewer at the end, and returns true: something was taken.
func (s *Scanner) discard(n int64) bool {
	for n > 0 {
		have := s.peek(int(min(n, scanBuffer/2)))
		if have == 0 {
			break
		}
		k := min(int64(have), n)
		s.lo += int(k)
		n -= k
	}
	return true
}

// peek makes up to n bytes available at buf[lo:] and returns how many there are. n is at
// most scanBuffer; what is still unread moves to the front when the rest is too short.
func (s *Scanner) peek(n int) int {
	for s.hi-s.lo < n && !s.eof {
		if s.lo > 0 && s.lo+n > len(s.buf) {
			s.start += int64(s.lo)
			s.hi = copy(s.buf, s.buf[s.lo:s.hi])
			s.lo = 0
		}
		k, err := io.ReadAtLeast(s.r, s.buf[s.hi:], 1)
		s.hi += k
		if err != nil {
			s.eof = true
			if err != io.EOF {
				s.err = err
			}
		}
	}
	return s.hi - s.lo
}
