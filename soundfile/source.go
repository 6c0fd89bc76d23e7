package soundfile

import (
	"bufio"
	"io"
)

// source is the file behind a stream: its size, and a buffered reader whose
// position is known.
type source struct {
	raw  io.ReadSeeker
	buf  *bufio.Reader
	size int64 // bytes in all; -1 for a pipe
	pos  int64 // of the next byte out of buf
}

const sourceBuffer = 1 << 16

func newSource(r io.ReadSeeker) (*source, error) {
	size, err := r.Seek(0, io.SeekEnd)
	if err != nil {
		return nil, err
	}
	s := &source{raw: r, size: size, buf: bufio.NewReaderSize(r, sourceBuffer)}
	return s, s.seek(0)
}

// pipeSource is a source that cannot go back.
func pipeSource(r io.Reader) *source {
	return &source{size: -1, buf: bufio.NewReaderSize(r, sourceBuffer)}
}

// seek goes to pos, which may lie behind the end, and drops what was buffered. Not for pipes.
func (s *source) seek(pos int64) error {
	if _, err := s.raw.Seek(pos, io.SeekStart); err != nil {
		return err
	}
	s.buf.Reset(s.raw)
	s.pos = pos
	return nil
}

func (s *source) Read(p []byte) (int, error) {
	n, err := s.buf.Read(p)
	s.pos += int64(n)
	return n, err
}

// peek returns up to n bytes without taking them; fewer only at the end.
func (s *source) peek(n int) []byte {
	b, _ := s.buf.Peek(n)
	return b
}

// skip passes over n bytes, by seeking where that saves reading.
func (s *source) skip(n int64) error {
	if s.raw != nil && n > int64(s.buf.Buffered()) {
		return s.seek(min(s.pos+n, s.size))
	}
	k, err := io.CopyN(io.Discard, s.buf, n)
	s.pos += k
	if err == io.EOF {
		err = nil
	}
	return err
}

// left returns the number of bytes to the end, or -1 when it is not known.
func (s *source) left() int64 {
	if s.size < 0 {
		return -1
	}
	return max(s.size-s.pos, 0)
}
