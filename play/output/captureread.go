package output

import (
	"bytes"
	"compress/flate"
	"encoding/binary"
	"errors"
	"fmt"
	"hash/crc32"
	"io"
	"sort"
	"time"
)

// ErrCut is wrapped by the error of OpenCapture about a file that ends without
// an index; the frames of its whole blocks can be read all the same.
var ErrCut = errors.New("the capture was cut off")

// Capture reads a capture. One goroutine reads it at a time.
type Capture struct {
	r     io.ReaderAt
	size  int64
	index []captureEntry
	block []CapturedFrame // of the block that was read last
	at    int             // its number
}

// CapturedFrame is the universes of one instant.
type CapturedFrame struct {
	Time   time.Duration
	Frames []Frame
}

// OpenCapture reads the index of a capture of the given size. When the error
// wraps ErrCut, the capture it returns holds what was written whole.
func OpenCapture(r io.ReaderAt, size int64) (*Capture, error) {
	head := make([]byte, captureHead)
	if _, err := r.ReadAt(head, 0); err != nil || string(head[:8]) != captureMagic {
		return nil, fmt.Errorf("capture: got % x at its beginning, want %q", head[:8], captureMagic)
	}
	if v := binary.BigEndian.Uint16(head[8:]); v != captureVersion {
		return nil, fmt.Errorf("capture: version: got %d, want %d", v, captureVersion)
	}
	c := &Capture{r: r, size: size, at: -1}
	if err := c.readIndex(); err == nil {
		return c, nil
	}
	err := c.scan()
	return c, err
}

// readIndex trusts the index only as far as it could be true. Offsets must rise by a
// head at least, times must not fall; a block is checked against its entry only when it
// is read.
func (c *Capture) readIndex() error {
	tail := make([]byte, tailSize)
	if _, err := c.r.ReadAt(tail, c.size-tailSize); err != nil || string(tail[8:]) != captureEnd {
		return ErrCut
	}
	start := int64(binary.BigEndian.Uint64(tail))
	body, after, err := c.section(indexMagic, start)
	if err != nil || after != c.size || len(body) < tailSize || (len(body)-tailSize)%entrySize != 0 {
		return ErrCut
	}
	next := int64(captureHead)
	var last time.Duration
	for b := body[:len(body)-tailSize]; len(b) > 0; b = b[entrySize:] {
		e := captureEntry{offset: int64(binary.BigEndian.Uint64(b)), frames: binary.BigEndian.Uint32(b[8:]),
			first: time.Duration(binary.BigEndian.Uint64(b[12:])), last: time.Duration(binary.BigEndian.Uint64(b[20:]))}
		if e.offset < next || e.offset > start || !e.follows(last) {
			return ErrCut
		}
		next, last = e.offset+sectionHead, e.last
		c.index = append(c.index, e)
	}
	return nil
}

// scan finds the blocks of a file without an index.
func (c *Capture) scan() error {
	c.index = nil
	var last time.Duration
	for at := int64(captureHead); ; {
		body, after, err := c.section(blockMagic, at)
		if err == nil && len(body) < blockFields {
			err = fmt.Errorf("block: got %d octets, want at least %d", len(body), blockFields)
		}
		if err != nil {
			return fmt.Errorf("capture: %w after %d blocks: %w", ErrCut, len(c.index), err)
		}
		e := captureEntry{offset: at, frames: binary.BigEndian.Uint32(body[4:]),
			first: time.Duration(binary.BigEndian.Uint64(body[8:])), last: time.Duration(binary.BigEndian.Uint64(body[16:]))}
		if !e.follows(last) {
			return fmt.Errorf("capture: %w after %d blocks: offset %d: got times from %v to %v after %v", ErrCut, len(c.index), at, e.first, e.last, last)
		}
		c.index, last = append(c.index, e), e.last
		at = after
	}
}

// follows tells whether a block holds something, and its times do not fall, from
// 0 or from the last of the block before: what At looks for by halving must be in
// order, whoever wrote the file.
func (e *captureEntry) follows(last time.Duration) bool {
	return e.frames > 0 && e.first >= last && e.last >= e.first
}

// section reads a section's body and checks its sum. Length is held against the file
// and against maxBlock before memory is taken.
func (c *Capture) section(magic string, at int64) (body []byte, after int64, err error) {
	head := make([]byte, sectionHead)
	if at < captureHead || at > c.size-sectionHead {
		return nil, 0, fmt.Errorf("offset %d: got the end of the file, want %q", at, magic)
	}
	if _, err := c.r.ReadAt(head, at); err != nil {
		return nil, 0, fmt.Errorf("offset %d: %w", at, err)
	}
	n := int64(binary.BigEndian.Uint32(head[4:]))
	if string(head[:4]) != magic || n > c.size-at-sectionHead || n > maxBlock {
		return nil, 0, fmt.Errorf("offset %d: got %q of %d octets, want %q within the file", at, head[:4], n, magic)
	}
	body = make([]byte, n)
	if _, err := c.r.ReadAt(body, at+sectionHead); err != nil {
		return nil, 0, fmt.Errorf("offset %d: %w", at, err)
	}
	if got, want := crc32.ChecksumIEEE(body), binary.BigEndian.Uint32(head[8:]); got != want {
		return nil, 0, fmt.Errorf("offset %d: sum: got %08x, want %08x", at, got, want)
	}
	return body, at + sectionHead + n, nil
}

// Len returns how many frames the capture holds.
func (c *Capture) Len() int {
	n := 0
	for _, e := range c.index {
		n += int(e.frames)
	}
	return n
}

// Duration returns the time of the last frame.
func (c *Capture) Duration() time.Duration {
	if len(c.index) == 0 {
		return 0
	}
	return c.index[len(c.index)-1].last
}

// At returns the frame that is in force at t: the last whose time is not after
// t, or the first. It is valid until the next call.
func (c *Capture) At(t time.Duration) (CapturedFrame, error) {
	i := sort.Search(len(c.index), func(i int) bool { return c.index[i].first > t })
	frames, err := c.read(max(0, i-1))
	if err != nil {
		return CapturedFrame{}, err
	}
	j := sort.Search(len(frames), func(j int) bool { return frames[j].Time > t })
	return frames[max(0, j-1)], nil
}

// Each calls f with every frame in turn, until it returns an error. The frame
// is valid only during the call.
func (c *Capture) Each(f func(CapturedFrame) error) error {
	for i := range c.index {
		frames, err := c.read(i)
		if err != nil {
			return err
		}
		for _, frame := range frames {
			if err := f(frame); err != nil {
				return err
			}
		}
	}
	return nil
}

// read unpacks a block.
func (c *Capture) read(i int) ([]CapturedFrame, error) {
	if i >= len(c.index) {
		return nil, errors.New("capture: holds no frames")
	}
	if c.at == i {
		return c.block, nil
	}
	e := c.index[i]
	body, _, err := c.section(blockMagic, e.offset)
	if err == nil {
		c.block, err = unpackBlock(body, e)
	}
	if err != nil {
		c.at = -1
		return nil, fmt.Errorf("capture: block %d: %w", i, err)
	}
	c.at = i
	return c.block, nil
}

// unpackBlock checks a block against the index and turns it into frames. One octet more
// than is said is asked for, to tell a block that unpacks to more; it cannot grow
// beyond its own limit.
func unpackBlock(body []byte, e captureEntry) ([]CapturedFrame, error) {
	if len(body) < blockFields {
		return nil, fmt.Errorf("got %d octets, want at least %d", len(body), blockFields)
	}
	size, frames := binary.BigEndian.Uint32(body), binary.BigEndian.Uint32(body[4:])
	if frames != e.frames || size > maxBlock || frames == 0 || frames > size {
		return nil, fmt.Errorf("got %d frames in %d octets, want the index's %d frames in at most %d", frames, size, e.frames, maxBlock)
	}
	raw, err := io.ReadAll(io.LimitReader(flate.NewReader(bytes.NewReader(body[blockFields:])), int64(size)+1))
	if err != nil || len(raw) != int(size) {
		return nil, fmt.Errorf("unpacked: got %d octets (%v), want %d", len(raw), err, size)
	}
	u := unpacker{raw: raw, frames: make([]CapturedFrame, frames)}
	return u.frames, u.run(e)
}

// unpacker turns columns back into frames.
type unpacker struct {
	raw    []byte
	frames []CapturedFrame
}

// run reads the parts in the order in which they were written.
func (u *unpacker) run(e captureEntry) error {
	layout, err := u.layout()
	if err != nil {
		return err
	}
	t := e.first
	for i := range u.frames {
		d, n := binary.Uvarint(u.raw)
		if n <= 0 || d > uint64(e.last-t) || i == 0 && d != 0 {
			return fmt.Errorf("frame %d: time: got no difference that ends by %v", i, e.last)
		}
		t += time.Duration(d)
		u.raw, u.frames[i].Time = u.raw[n:], t
	}
	if t != e.last {
		return fmt.Errorf("last time: got %v, want %v", t, e.last)
	}
	for _, l := range layout {
		if err := u.universe(l.Universe, len(l.Slots)); err != nil {
			return err
		}
	}
	if len(u.raw) != 0 {
		return fmt.Errorf("got %d octets after the last column, want none", len(u.raw))
	}
	return nil
}

func (u *unpacker) layout() ([]Frame, error) {
	if len(u.raw) < 2 {
		return nil, fmt.Errorf("got no list of universes")
	}
	n := int(binary.BigEndian.Uint16(u.raw))
	if n > maxUniverses || len(u.raw) < 2+4*n {
		return nil, fmt.Errorf("universes: got %d in %d octets, want at most %d", n, len(u.raw), maxUniverses)
	}
	layout := make([]Frame, n)
	for i := range layout {
		b := u.raw[2+4*i:]
		slots := binary.BigEndian.Uint16(b[2:])
		if slots > maxSlots {
			return nil, fmt.Errorf("universe: got %d slots, want at most %d", slots, maxSlots)
		}
		layout[i] = Frame{Universe: binary.BigEndian.Uint16(b), Slots: make([]byte, slots)}
	}
	u.raw = u.raw[2+4*n:]
	return layout, checkUniverses(layout)
}

// universe adds the columns of one universe to all frames. all holds the universe frame
// after frame, and each frame gets a slice of it that cannot grow into the next.
func (u *unpacker) universe(universe uint16, slots int) error {
	n := len(u.frames)
	if len(u.raw) < n*slots {
		return fmt.Errorf("universe %d: got %d octets of columns, want %d", universe, len(u.raw), n*slots)
	}
	all := make([]byte, n*slots)
	for slot := range slots {
		var level byte
		for i, d := range u.raw[slot*n : slot*n+n] {
			level += d
			all[i*slots+slot] = level
		}
	}
	for i := range u.frames {
		u.frames[i].Frames = append(u.frames[i].Frames, Frame{Universe: universe, Slots: all[i*slots : (i+1)*slots : (i+1)*slots]})
	}
	u.raw = u.raw[n*slots:]
	return nil
}
