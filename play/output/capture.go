package output

import (
	"bytes"
	"cmp"
	"compress/flate"
	"encoding/binary"
	"errors"
	"fmt"
	"hash/crc32"
	"io"
	"slices"
	"time"
)

// A capture holds frames column by column: what one slot did over some seconds
// stands together, as differences, so that DEFLATE finds stillness and fades.
//
//	file    = "DMXFRAME" version(2) { block } index
//	block   = "BLOC" length(4) crc(4) unpacked(4) frames(4) first(8) last(8) packed
//	index   = "INDX" length(4) crc(4) { offset(8) frames(4) first(8) last(8) } start(8) "EMARFXMD"
//
// Numbers are big-endian; times are in nanoseconds, 0 or more, never falling.
// length counts the octets after the crc up to the block's end, and crc is the
// CRC-32 (IEEE 802.3) of those; start is where the index begins. The index
// has an entry for each block, so one read at the end of the file finds any
// time; a file that was cut off has none, and is read block by block. packed
// is DEFLATE (RFC 1951) of
//
//	universes(2) { universe(2) slots(2) }    ascending
//	times      each as the difference from the one before (uvarint), the first from first
//	columns    universe by universe, slot by slot: one octet a frame, each the
//	           difference from the one before (modulo 256), the first from 0
//
// All frames of a block have the same universes and numbers of slots. A
// 16-bit level has two slots, hence two columns.
const (
	captureMagic   = "DMXFRAME"
	captureVersion = 1
	captureEnd     = "EMARFXMD"
	blockMagic     = "BLOC"
	indexMagic     = "INDX"
	captureHead    = 10
	sectionHead    = 12 // magic, length, crc
	blockFields    = 24 // unpacked, frames, first, last
	entrySize      = 28
	tailSize       = 16 // start, end magic

	// blockFrames is how many frames a writer puts into a block: 5.8 s at 44
	// a second, which is what a reader must unpack to reach one frame.
	blockFrames = 256
	// fullBlock ends a block of very many universes before that.
	fullBlock = 64 << 20
	// Limits for readers of hostile files.
	maxBlock     = 2 * fullBlock
	maxUniverses = 4096
)

// CaptureWriter writes a capture. err is the first error of w, after which nothing more
// is written: a capture with a hole would tell a false time.
type CaptureWriter struct {
	w       io.Writer
	offset  int64
	err     error
	times   []time.Duration
	layout  []Frame  // of the block: Slots are not used, only their number
	columns [][]byte // by universe: frame after frame, turned at the end
	filled  int      // octets of columns
	last    time.Duration
	index   []captureEntry
	raw     []byte
	packer  *flate.Writer
}

// captureEntry is a block as the index knows it.
type captureEntry struct {
	offset      int64
	frames      uint32
	first, last time.Duration
}

// NewCaptureWriter returns a writer of a capture on w. Nothing reaches w
// before the first block is full.
func NewCaptureWriter(w io.Writer) *CaptureWriter { return &CaptureWriter{w: w} }

// Write adds the universes of one instant. Times must not fall. A block ends where the
// universes or their lengths change, so that every block is a full table.
func (c *CaptureWriter) Write(t time.Duration, frames []Frame) error {
	if c.err != nil {
		return c.err
	}
	if t < c.last || t < 0 {
		return fmt.Errorf("capture: time: got %v after %v", t, c.last)
	}
	sorted := slices.Clone(frames)
	slices.SortFunc(sorted, func(a, b Frame) int { return cmp.Compare(a.Universe, b.Universe) })
	if err := checkUniverses(sorted); err != nil {
		return err
	}
	same := slices.EqualFunc(sorted, c.layout, func(a, b Frame) bool {
		return a.Universe == b.Universe && len(a.Slots) == len(b.Slots)
	})
	if !same || len(c.times) == blockFrames || c.filled > fullBlock {
		if err := c.flush(); err != nil {
			return err
		}
		c.begin(sorted)
	}
	for i, f := range sorted {
		c.columns[i] = append(c.columns[i], f.Slots...)
		c.filled += len(f.Slots)
	}
	c.times, c.last = append(c.times, t), t
	return nil
}

// checkUniverses refuses frames that a block cannot hold.
func checkUniverses(sorted []Frame) error {
	if len(sorted) > maxUniverses {
		return fmt.Errorf("capture: universes: got %d, want at most %d", len(sorted), maxUniverses)
	}
	for i, f := range sorted {
		if len(f.Slots) > maxSlots {
			return fmt.Errorf("capture: universe %d: got %d slots, want at most %d", f.Universe, len(f.Slots), maxSlots)
		}
		if i > 0 && f.Universe == sorted[i-1].Universe {
			return fmt.Errorf("capture: universe %d: got it twice in one frame", f.Universe)
		}
	}
	return nil
}

// begin takes the universes of the frames for a new block.
func (c *CaptureWriter) begin(sorted []Frame) {
	c.layout = c.layout[:0]
	for _, f := range sorted {
		c.layout = append(c.layout, Frame{Universe: f.Universe, Slots: make([]byte, len(f.Slots))})
	}
	for len(c.columns) < len(sorted) {
		c.columns = append(c.columns, nil)
	}
}

// flush writes the block that is being filled.
func (c *CaptureWriter) flush() error {
	if len(c.times) == 0 {
		return nil
	}
	c.raw = binary.BigEndian.AppendUint16(c.raw[:0], uint16(len(c.layout)))
	for _, f := range c.layout {
		c.raw = binary.BigEndian.AppendUint16(c.raw, f.Universe)
		c.raw = binary.BigEndian.AppendUint16(c.raw, uint16(len(f.Slots)))
	}
	before := c.times[0]
	for _, t := range c.times {
		c.raw = binary.AppendUvarint(c.raw, uint64(t-before))
		before = t
	}
	for i, f := range c.layout {
		c.raw = appendColumns(c.raw, c.columns[i], len(f.Slots))
		c.columns[i] = c.columns[i][:0]
	}
	entry := captureEntry{offset: c.offset, frames: uint32(len(c.times)), first: c.times[0], last: c.last}
	if c.offset == 0 {
		entry.offset = captureHead
	}
	body := binary.BigEndian.AppendUint32(nil, uint32(len(c.raw)))
	body = binary.BigEndian.AppendUint32(body, entry.frames)
	body = binary.BigEndian.AppendUint64(body, uint64(entry.first))
	body = binary.BigEndian.AppendUint64(body, uint64(entry.last))
	c.times, c.filled = c.times[:0], 0
	c.index = append(c.index, entry)
	return c.section(blockMagic, c.pack(body))
}

// appendColumns turns frames of n slots into n columns of differences. Differences
// modulo 256 lose nothing, and turn a fade, which no two frames of have in common, into
// runs of one value.
func appendColumns(b, frames []byte, n int) []byte {
	for slot := range n {
		var before byte
		for i := slot; i < len(frames); i += n {
			b = append(b, frames[i]-before)
			before = frames[i]
		}
	}
	return b
}

// pack appends raw, compressed, to b. A bytes.Buffer returns no errors.
func (c *CaptureWriter) pack(b []byte) []byte {
	out := bytes.NewBuffer(b)
	if c.packer == nil {
		c.packer, _ = flate.NewWriter(out, flate.DefaultCompression)
	} else {
		c.packer.Reset(out)
	}
	c.packer.Write(c.raw)
	c.packer.Close()
	return out.Bytes()
}

// section writes a magic word, the length and sum of a body, and the body; the file's
// head before the first. The first section carries the head, so a capture in which
// nothing was written is an empty file until it is closed.
func (c *CaptureWriter) section(magic string, body []byte) error {
	var b []byte
	if c.offset == 0 {
		b = binary.BigEndian.AppendUint16(append(b, captureMagic...), captureVersion)
	}
	b = append(b, magic...)
	b = binary.BigEndian.AppendUint32(b, uint32(len(body)))
	b = binary.BigEndian.AppendUint32(b, crc32.ChecksumIEEE(body))
	b = append(b, body...)
	n, err := c.w.Write(b)
	c.offset += int64(n)
	if err != nil {
		c.err = fmt.Errorf("write capture: %w", err)
	}
	return c.err
}

// Close writes what is left and the index. It does not close the io.Writer.
func (c *CaptureWriter) Close() error {
	if c.err != nil {
		return c.err
	}
	if err := c.flush(); err != nil {
		return err
	}
	start := max(c.offset, captureHead)
	var body []byte
	for _, e := range c.index {
		body = binary.BigEndian.AppendUint64(body, uint64(e.offset))
		body = binary.BigEndian.AppendUint32(body, e.frames)
		body = binary.BigEndian.AppendUint64(body, uint64(e.first))
		body = binary.BigEndian.AppendUint64(body, uint64(e.last))
	}
	body = binary.BigEndian.AppendUint64(body, uint64(start))
	body = append(body, captureEnd...)
	if err := c.section(indexMagic, body); err != nil {
		return err
	}
	c.err = errors.New("capture: already closed")
	return nil
}
