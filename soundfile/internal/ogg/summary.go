package ogg

import (
	"bufio"
	"encoding/binary"
	"io"
)

// A Summary tells what the page headers of a stream tell without its packets.
type Summary struct {
	Granule int64  // of the last page that carries one
	Serial  uint32 // of that page
	Chained bool   // a logical stream begins behind pages of sound
}

// Summarise goes from header to header through all of r. Check sums are not
// looked at, so that a hop costs next to nothing: a damaged page may be believed here
// that a Reader passes over, so a length told by it is an estimate until all is read.
func Summarise(r io.ReadSeeker) (Summary, error) {
	var s Summary
	if _, err := r.Seek(0, io.SeekStart); err != nil {
		return s, err
	}
	b := bufio.NewReaderSize(r, maxPage)
	data := false
	for {
		head, err := b.Peek(pageHeader)
		if len(head) < pageHeader {
			if err == io.EOF {
				err = nil
			}
			return s, err
		}
		if string(head[:4]) != "OggS" {
			b.Discard(1)
			continue
		}
		flags, granule := head[5], int64(binary.LittleEndian.Uint64(head[6:]))
		serial, segments := binary.LittleEndian.Uint32(head[14:]), int(head[26])
		lacing, _ := b.Peek(pageHeader + segments)
		size := len(lacing)
		for _, n := range lacing[min(pageHeader, len(lacing)):] {
			size += int(n)
		}
		if n, _ := b.Discard(size); n < size {
			continue // cut: what it carries is not there
		}
		// Streams that begin side by side all begin before the first page with a position above
		// 0; one that begins behind such a page is another piece of sound in the same file.
		s.Chained = s.Chained || flags&First != 0 && data
		data = data || granule > 0
		if granule >= 0 {
			s.Granule, s.Serial = granule, serial
		}
	}
}
