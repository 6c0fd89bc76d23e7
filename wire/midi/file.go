package midi

import (
	"encoding/binary"
	"fmt"
	"slices"
	"time"
)

const (
	// FileDivision is the number of ticks to a quarter note in NewFile's files.
	FileDivision = 500
	// DefaultTempo is the tempo without a tempo event, in us per quarter note.
	DefaultTempo = 500_000
	// MaxDelta is the longest delta-time that a file can hold, in ticks.
	MaxDelta = 0x0FFFFFFF
)

// File is a Standard MIDI File 1.0.
type File struct {
	Format   uint16 // 0 one track, 1 tracks side by side, 2 tracks on their own
	Division uint16 // ticks per quarter note, or SMPTE frames and ticks when bit 15 is set
	Tracks   []Track
}

// Track is the events of one track in the order of their ticks. The encoder
// adds the end of track; the decoder keeps it, for it may come later than the
// last event.
type Track []Event

// Event is one message at a tick from the start of the file.
type Event struct {
	Tick int64
	Data []byte // see the package's comment
}

// NewFile returns a file of 1 ms ticks with the given number of tracks. The
// tempo stands in the first.
func NewFile(tracks int) *File {
	f := &File{Division: FileDivision, Tracks: make([]Track, tracks)}
	if tracks > 1 {
		f.Format = 1
	}
	f.Add(0, 0, Tempo(DefaultTempo))
	return f
}

// Add puts a message into a track at a time from the start, rounded to the
// nearest tick at the default tempo. Events may be added in any order; those
// of one tick stay in the order in which they were added.
func (f *File) Add(track int, t time.Duration, message []byte) {
	f.Tracks[track] = append(f.Tracks[track], Event{Tick: Ticks(t, f.Division, DefaultTempo), Data: message})
}

// Ticks returns the tick nearest to a time, for a division in ticks per
// quarter note and a tempo in us per quarter note. Times before 0 are 0.
func Ticks(t time.Duration, division uint16, tempo int) int64 {
	if t <= 0 {
		return 0
	}
	// Whole quarters apart, so that no product overflows in 292 years.
	quarter := int64(tempo) * int64(time.Microsecond)
	whole, rest := int64(t)/quarter, int64(t)%quarter
	return whole*int64(division) + (rest*int64(division)+quarter/2)/quarter
}

// Meta events (Standard MIDI Files 1.0, "Meta-Events").
const (
	metaText       = 0x01
	metaTrackName  = 0x03
	metaMarker     = 0x06
	metaCuePoint   = 0x07
	metaEndOfTrack = 0x2F
	metaTempo      = 0x51
)

// Tempo returns the meta event that sets the length of a quarter note in us,
// 1 to 0xFFFFFF.
func Tempo(us int) []byte {
	if us < 1 || us > 0xFFFFFF {
		panic(fmt.Sprintf("midi: tempo %d us, want 1 to %d", us, 0xFFFFFF))
	}
	return []byte{statusMeta, metaTempo, byte(us >> 16), byte(us >> 8), byte(us)}
}

// Text, TrackName, Marker and CuePoint return the meta events of their names.
func Text(s string) []byte { return meta(metaText, s) }

// TrackName names a track.
func TrackName(s string) []byte { return meta(metaTrackName, s) }

// Marker marks a place in the piece.
func Marker(s string) []byte { return meta(metaMarker, s) }

// CuePoint describes what happens on the stage at this point.
func CuePoint(s string) []byte { return meta(metaCuePoint, s) }

func meta(kind byte, s string) []byte { return append([]byte{statusMeta, kind}, s...) }

func isEnd(data []byte) bool {
	return len(data) == 2 && data[0] == statusMeta && data[1] == metaEndOfTrack
}

// Append appends the file to b, each track sorted by tick and closed by its
// end of track. It returns an error when an event is no message, or lies
// further from the one before than a file can say.
func (f *File) Append(b []byte) ([]byte, error) {
	switch {
	case f.Format > 2 || f.Format == 0 && len(f.Tracks) != 1:
		return nil, fmt.Errorf("midi file: format %d with %d tracks: want 0 with one track, 1 or 2", f.Format, len(f.Tracks))
	case len(f.Tracks) > 0xFFFF:
		return nil, fmt.Errorf("midi file: got %d tracks, want at most %d", len(f.Tracks), 0xFFFF)
	}
	if err := checkDivision(f.Division); err != nil {
		return nil, err
	}
	b = append(b, "MThd\x00\x00\x00\x06"...)
	b = binary.BigEndian.AppendUint16(b, f.Format)
	b = binary.BigEndian.AppendUint16(b, uint16(len(f.Tracks)))
	b = binary.BigEndian.AppendUint16(b, f.Division)
	for i, t := range f.Tracks {
		b = append(b, "MTrk\x00\x00\x00\x00"...)
		start := len(b)
		var err error
		if b, err = t.append(b); err != nil {
			return nil, fmt.Errorf("midi file: track %d: %w", i, err)
		}
		binary.BigEndian.PutUint32(b[start-4:], uint32(len(b)-start))
	}
	return b, nil
}

// checkDivision refuses a division of 0 ticks, and frame rates that SMPTE
// does not have.
func checkDivision(d uint16) error {
	if d&0x8000 == 0 {
		if d == 0 {
			return fmt.Errorf("midi file: division: got 0 ticks per quarter note, want 1 to 32767")
		}
		return nil
	}
	if fps := -int8(d >> 8); fps != 24 && fps != 25 && fps != 29 && fps != 30 || d&0xFF == 0 {
		return fmt.Errorf("midi file: division: got %#04x, want -24, -25, -29 or -30 frames and 1 to 255 ticks", d)
	}
	return nil
}

// append appends the track's body: its events sorted, each behind the time since the one
// before, and the end of track.
func (t Track) append(b []byte) ([]byte, error) {
	sorted := slices.Clone(t)
	slices.SortStableFunc(sorted, func(a, b Event) int {
		switch {
		case a.Tick < b.Tick:
			return -1
		case a.Tick > b.Tick:
			return 1
		}
		return 0
	})
	last := int64(0)
	ended := false
	for _, e := range sorted {
		if ended {
			return nil, fmt.Errorf("tick %d: an event after the end of the track", e.Tick)
		}
		if e.Tick < 0 || e.Tick-last > MaxDelta {
			return nil, fmt.Errorf("tick %d: %d ticks after the event before, want 0 to %d", e.Tick, e.Tick-last, MaxDelta)
		}
		b = appendVLQ(b, uint32(e.Tick-last))
		var err error
		if b, err = appendEvent(b, e.Data); err != nil {
			return nil, fmt.Errorf("tick %d: %w", e.Tick, err)
		}
		last, ended = e.Tick, isEnd(e.Data)
	}
	if !ended {
		b = append(b, 0, statusMeta, metaEndOfTrack, 0)
	}
	return b, nil
}

// appendEvent appends an event, with its length where the file has one.
func appendEvent(b, data []byte) ([]byte, error) {
	if err := checkEvent(data); err != nil {
		return nil, err
	}
	switch data[0] {
	case statusMeta:
		b = append(b, data[:2]...)
		b = appendVLQ(b, uint32(len(data)-2))
		return append(b, data[2:]...), nil
	case statusSysEx, statusEndX:
		b = append(b, data[0])
		b = appendVLQ(b, uint32(len(data)-1))
		return append(b, data[1:]...), nil
	}
	return append(b, data...), nil
}

// checkEvent checks that the data are one event that a file can hold.
func checkEvent(data []byte) error {
	if len(data) == 0 || len(data) > MaxDelta {
		return fmt.Errorf("event: got %d bytes, want 1 to %d", len(data), MaxDelta)
	}
	switch status := data[0]; {
	case status == statusMeta:
		if len(data) < 2 || data[1] > 0x7F {
			return fmt.Errorf("meta event: got % x, want a type below 80", clip(data))
		}
		return checkMeta(data[1], data[2:])
	case status == statusSysEx || status == statusEndX:
		return nil
	case status < 0x80 || status > 0xEF:
		return fmt.Errorf("event: status %#02x, want a channel message, f0, f7 or ff (other bytes go as f7 and bytes)", status)
	case len(data)-1 != dataBytes(status):
		return fmt.Errorf("event: status %#02x with %d data bytes, want %d", status, len(data)-1, dataBytes(status))
	}
	for _, d := range data[1:] {
		if d > 0x7F {
			return fmt.Errorf("event: % x: data byte %#02x, want below 80", data, d)
		}
	}
	return nil
}

// checkMeta checks the two meta events that others lean on; the rest may hold anything.
func checkMeta(kind byte, data []byte) error {
	switch {
	case kind == metaEndOfTrack && len(data) != 0:
		return fmt.Errorf("end of track: got %d bytes, want none", len(data))
	case kind == metaTempo && (len(data) != 3 || data[0]|data[1]|data[2] == 0):
		return fmt.Errorf("tempo: got % x, want 3 bytes of more than 0 us", clip(data))
	}
	return nil
}

// appendVLQ appends a variable-length quantity, at most MaxDelta.
func appendVLQ(b []byte, v uint32) []byte {
	for shift := 21; shift > 0; shift -= 7 {
		if v>>shift != 0 {
			b = append(b, byte(v>>shift)|0x80)
		}
	}
	return append(b, byte(v&0x7F))
}
