package midi

import (
	"encoding/binary"
	"fmt"
)

// ParseFile reads a Standard MIDI File. It takes running status, chunks of
// unknown type, longer headers and delta-times with leading zeros, as the
// standard asks; what it returns encodes to the canonical file without them,
// and that file decodes and encodes to its own bytes. A file that is cut short
// is an error, whatever could be read of it.
func ParseFile(b []byte) (*File, error) {
	f, tracks, rest, err := parseHeader(b)
	if err != nil {
		return nil, err
	}
	// at is the chunk's offset in the file, for messages.
	for at := len(b) - len(rest); len(rest) > 0; at = len(b) - len(rest) {
		name, body, after, err := chunk(rest)
		if err != nil {
			return nil, fmt.Errorf("midi file: offset %d: %w", at, err)
		}
		rest = after
		if name != "MTrk" {
			continue
		}
		t, err := parseTrack(body, at+8)
		if err != nil {
			return nil, fmt.Errorf("midi file: track %d: %w", len(f.Tracks), err)
		}
		f.Tracks = append(f.Tracks, t)
	}
	// Fewer tracks are what a file cut between two chunks has.
	if len(f.Tracks) != tracks {
		return nil, fmt.Errorf("midi file: tracks: got %d, want the %d of the header", len(f.Tracks), tracks)
	}
	return f, nil
}

// parseHeader reads the header chunk, which may be longer than the six bytes that are known.
func parseHeader(b []byte) (f *File, tracks int, rest []byte, err error) {
	name, head, rest, err := chunk(b)
	switch {
	case err != nil:
		return nil, 0, nil, fmt.Errorf("midi file: header: %w", err)
	case name != "MThd":
		return nil, 0, nil, fmt.Errorf("midi file: header: got chunk %q, want \"MThd\"", name)
	case len(head) < 6:
		return nil, 0, nil, fmt.Errorf("midi file: header: got %d bytes, want 6 or more", len(head))
	}
	f = &File{Format: binary.BigEndian.Uint16(head), Division: binary.BigEndian.Uint16(head[4:])}
	tracks = int(binary.BigEndian.Uint16(head[2:]))
	if f.Format > 2 || f.Format == 0 && tracks != 1 {
		return nil, 0, nil, fmt.Errorf("midi file: format %d with %d tracks: want 0 with one track, 1 or 2", f.Format, tracks)
	}
	return f, tracks, rest, checkDivision(f.Division)
}

// chunk cuts the first chunk off: four letters, four bytes of length, so much body.
func chunk(b []byte) (name string, body, rest []byte, err error) {
	if len(b) < 8 {
		return "", nil, nil, fmt.Errorf("chunk: got %d bytes, want a type and a length", len(b))
	}
	n := binary.BigEndian.Uint32(b[4:])
	if uint64(n) > uint64(len(b)-8) {
		return "", nil, nil, fmt.Errorf("chunk %q: length: got %d, want at most the %d bytes that follow", b[:4], n, len(b)-8)
	}
	return string(b[:4]), b[8 : 8+n], b[8+n:], nil
}

// trackReader reads one track chunk; at is where its body begins in the file. running is
// the status that a data byte may lean on, 0 for none.
type trackReader struct {
	body    []byte
	pos, at int
	running byte
}

// parseTrack reads events up to the end of track, which must be the last.
func parseTrack(body []byte, at int) (Track, error) {
	r := &trackReader{body: body, at: at}
	var t Track
	var tick int64
	for {
		start := r.pos
		delta, err := r.vlq()
		if err != nil {
			return nil, fmt.Errorf("offset %d: delta-time: %w", at+start, err)
		}
		tick += int64(delta)
		data, err := r.event()
		if err != nil {
			return nil, fmt.Errorf("offset %d: %w", at+start, err)
		}
		t = append(t, Event{Tick: tick, Data: data})
		if !isEnd(data) {
			continue
		}
		if r.pos != len(body) {
			return nil, fmt.Errorf("offset %d: got %d bytes after the end of the track, want none", at+r.pos, len(body)-r.pos)
		}
		return t, nil
	}
}

// take returns the next n bytes, a part of the file.
func (r *trackReader) take(n int) ([]byte, error) {
	if n > len(r.body)-r.pos {
		return nil, fmt.Errorf("got %d bytes before the end of the chunk, want %d", len(r.body)-r.pos, n)
	}
	r.pos += n
	return r.body[r.pos-n : r.pos], nil
}

// vlq reads a variable-length quantity: seven bits a byte, the highest first, bit 7 set in
// all but the last. The standard allows four bytes, 28 bits.
func (r *trackReader) vlq() (uint32, error) {
	var v uint32
	for range 4 {
		c, err := r.take(1)
		if err != nil {
			return 0, err
		}
		v = v<<7 | uint32(c[0]&0x7F)
		if c[0] < 0x80 {
			return v, nil
		}
	}
	return 0, fmt.Errorf("variable-length quantity: got more than 4 bytes")
}

// event returns the next event in the form of Event.Data. In the file they are
//
//	8n-En ..                  channel message, its status perhaps left out
//	F0 length ..              system exclusive, usually with its F7 at the end
//	F7 length ..              more of it, or any bytes to be sent as they are
//	FF kind length ..         meta event: not sent, but about the file
//
// length being a variable-length quantity, which Event.Data leaves out.
func (r *trackReader) event() ([]byte, error) {
	first, err := r.take(1)
	if err != nil {
		return nil, fmt.Errorf("event: %w", err)
	}
	var data []byte
	switch status := first[0]; {
	case status == statusMeta:
		r.running = 0
		kind, err := r.take(1)
		if err != nil {
			return nil, fmt.Errorf("meta event: %w", err)
		}
		data = []byte{status, kind[0]}
	case status == statusSysEx || status == statusEndX:
		r.running = 0
		data = []byte{status}
	default:
		return r.channel(status)
	}
	n, err := r.vlq()
	if err != nil {
		return nil, fmt.Errorf("event %#02x: length: %w", first[0], err)
	}
	body, err := r.take(int(n))
	if err != nil {
		return nil, fmt.Errorf("event %#02x: %w", first[0], err)
	}
	data = append(data, body...)
	return data, checkEvent(data)
}

// channel reads a channel message. A data byte in the place of its status stands for the
// status of the message before (running status), which system exclusive and meta events end.
func (r *trackReader) channel(status byte) ([]byte, error) {
	data := []byte{status}
	if status < 0x80 {
		if r.running == 0 {
			return nil, fmt.Errorf("event: data byte %#02x without a status", status)
		}
		data = []byte{r.running, status}
	}
	n := dataBytes(data[0])
	if n < 0 || data[0] > 0xEF {
		return nil, fmt.Errorf("event: status %#02x, want a channel message, f0, f7 or ff", status)
	}
	r.running = data[0]
	// Behind the status none of the n data bytes is there yet, or one where the status was
	// left out.
	more, err := r.take(n - len(data) + 1)
	if err != nil {
		return nil, fmt.Errorf("event %#02x: %w", data[0], err)
	}
	data = append(data, more...)
	return data, checkEvent(data)
}
