package truth

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"slices"
	"time"
)

// Note is the start of one note.
type Note struct {
	Time     time.Duration
	Length   time.Duration
	Channel  int // 0..15; 9 is percussion in General MIDI
	Program  int // of the channel at that time, 0..127
	Key      int
	Velocity int
}

// tick is an event of a Standard MIDI File that matters here.
type tick struct {
	at     int
	tempo  int // microseconds a quarter, when > 0
	status byte
	data   [2]byte
	beat   bool // not in the file: a quarter note begins
}

// ReadMIDI returns the note starts of a Standard MIDI File (MIDI 1.0, RP-001)
// of format 0 or 1 with metrical time, by time. Lengths are not read. It shares nothing
// with package wire/midi, so that no fault of the one hides one of the other.
func ReadMIDI(file []byte) ([]Note, error) {
	all, division, err := readTicks(file)
	if err != nil {
		return nil, err
	}
	return notesOf(all, division), nil
}

// ReadPlayed is ReadMIDI with the lengths of the notes: each ends where the file ends its key,
// or where that is struck again.
func ReadPlayed(file []byte) ([]Note, error) {
	all, division, err := readTicks(file)
	if err != nil {
		return nil, err
	}
	var times []int // of the notes, in ticks
	var ends []int
	open := map[[2]int]int{}
	for _, t := range all {
		key := [2]int{int(t.status & 15), int(t.data[0])}
		kind := t.status >> 4
		if kind != 8 && kind != 9 {
			continue
		}
		if i, ok := open[key]; ok {
			ends[i] = t.at
			delete(open, key)
		}
		if kind == 9 && t.data[1] > 0 {
			open[key] = len(times)
			times, ends = append(times, t.at), append(ends, t.at+division)
		}
	}
	notes := notesOf(all, division)
	when := clock(all, division)
	for i := range notes {
		notes[i].Length = when(ends[i]) - when(times[i])
	}
	return notes, nil
}

// clock tells the time of a tick by the tempo map.
func clock(all []tick, division int) func(at int) time.Duration {
	type change struct {
		at     int
		micros float64
		tempo  int
	}
	changes := []change{{0, 0, 500000}}
	for _, t := range all {
		if t.tempo > 0 {
			last := changes[len(changes)-1]
			changes = append(changes, change{t.at, last.micros + float64(t.at-last.at)*float64(last.tempo)/float64(division), t.tempo})
		}
	}
	return func(at int) time.Duration {
		i, _ := slices.BinarySearchFunc(changes, at, func(c change, at int) int { return c.at - at })
		for i == len(changes) || i > 0 && changes[i].at > at {
			i--
		}
		c := changes[i]
		return time.Duration((c.micros + float64(at-c.at)*float64(c.tempo)/float64(division)) * 1000)
	}
}

// readTicks reads all tracks into one list by time; division is ticks a quarter note.
// Chunks that are cut are read as far as they go.
func readTicks(file []byte) (all []tick, division int, err error) {
	if len(file) < 14 || string(file[:4]) != "MThd" {
		return nil, 0, errors.New("midi: no MThd chunk")
	}
	division = int(binary.BigEndian.Uint16(file[12:]))
	if division == 0 || division&0x8000 != 0 {
		return nil, 0, fmt.Errorf("midi: division %#x is not metrical time", division)
	}
	// The header may be longer than the six bytes that are read of it.
	rest := file[min(8+int(binary.BigEndian.Uint32(file[4:])), len(file)):]
	for len(rest) >= 8 {
		n := min(int(binary.BigEndian.Uint32(rest[4:])), len(rest)-8)
		if string(rest[:4]) == "MTrk" {
			track, err := readTrack(rest[8 : 8+n])
			if err != nil {
				return nil, 0, err
			}
			all = append(all, track...)
		}
		rest = rest[8+n:]
	}
	slices.SortStableFunc(all, func(a, b tick) int { return a.at - b.at })
	return all, division, nil
}

// ReadBeats returns the quarter notes of a MIDI file by its tempo map, from its
// first note to its last. They are put among the events as notes of their own, and the
// file's notes taken out, so that the same walk along the tempo map times them.
func ReadBeats(file []byte) ([]time.Duration, error) {
	notes, err := ReadMIDI(file)
	if err != nil || len(notes) == 0 {
		return nil, err
	}
	all, division, err := readTicks(file)
	if err != nil {
		return nil, err
	}
	last := all[len(all)-1].at
	// Velocity 1, or the walk would take them for ends of notes.
	for q := 0; q <= last; q += division {
		all = append(all, tick{at: q, status: 0x90, data: [2]byte{0, 1}, beat: true})
	}
	slices.SortStableFunc(all, func(a, b tick) int { return a.at - b.at })
	all = slices.DeleteFunc(all, func(t tick) bool { return t.status>>4 == 9 && !t.beat })
	var beats []time.Duration
	for _, n := range notesOf(all, division) {
		if n.Time >= notes[0].Time-10*time.Millisecond && n.Time <= notes[len(notes)-1].Time {
			beats = append(beats, n.Time)
		}
	}
	return beats, nil
}

// notesOf walks along the tempo map: ticks since the last event, times microseconds a
// quarter, over ticks a quarter. Until a file says otherwise that is 500 000, 120 beats a
// minute. A note with velocity 0 is one that ends.
func notesOf(all []tick, division int) []Note {
	var notes []Note
	var program [16]int
	at, micros, tempo := 0, 0.0, 500000.0
	for _, t := range all {
		micros += float64(t.at-at) * tempo / float64(division)
		at = t.at
		channel := int(t.status & 15)
		switch {
		case t.tempo > 0:
			tempo = float64(t.tempo)
		case t.status>>4 == 0xC:
			program[channel] = int(t.data[0])
		case t.status>>4 == 9 && t.data[1] > 0:
			notes = append(notes, Note{Time: time.Duration(micros * 1000), Channel: channel,
				Program: program[channel], Key: int(t.data[0]), Velocity: int(t.data[1])})
		}
	}
	return notes
}

var errShort = errors.New("midi: track ends within an event")

// readTrack reads the events of one track: a time since the last, a status byte that may
// be left out when it is that of the event before (running status), and data.
func readTrack(b []byte) ([]tick, error) {
	var out []tick
	at, status := 0, byte(0)
	for len(b) > 0 {
		delta, n := varint(b)
		if n == 0 || n >= len(b) {
			return nil, errShort
		}
		at, b = at+delta, b[n:]
		if b[0] >= 0x80 {
			status, b = b[0], b[1:]
		}
		t, used, err := readEvent(b, status)
		if err != nil {
			return nil, err
		}
		t.at = at
		// What is left out still takes its time: at goes on.
		if t.tempo > 0 || t.status != 0 {
			out = append(out, t)
		}
		b = b[used:]
	}
	return out, nil
}

// readEvent reads what follows the status byte: of meta events (0xFF) only the tempo
// (0x51), system exclusive ones (0xF0 and up) are passed over, and of channel messages
// those with one data byte are program change (0xC) and channel pressure (0xD).
func readEvent(b []byte, status byte) (t tick, used int, err error) {
	switch {
	case status == 0xFF: // meta event: type, length, data
		if len(b) < 2 {
			return t, 0, errShort
		}
		length, n := varint(b[1:])
		used = 1 + n + length
		if n == 0 || used > len(b) {
			return t, 0, errShort
		}
		if d := b[1+n:]; b[0] == 0x51 && length == 3 {
			t.tempo = int(d[0])<<16 | int(d[1])<<8 | int(d[2])
		}
		return t, used, nil
	case status >= 0xF0:
		length, n := varint(b)
		if n == 0 || n+length > len(b) {
			return t, 0, errShort
		}
		return t, n + length, nil
	case status < 0x80:
		return t, 0, errors.New("midi: data without a status")
	}
	used = 2
	if status>>4 == 0xC || status>>4 == 0xD {
		used = 1
	}
	if len(b) < used {
		return t, 0, errShort
	}
	t.status = status
	copy(t.data[:], b[:used])
	return t, used, nil
}

// varint reads a number of up to four bytes of seven bits, the highest first; n is 0 when
// it does not end.
func varint(b []byte) (v, n int) {
	for n < len(b) && n < 4 {
		v = v<<7 | int(b[n]&0x7f)
		n++
		if b[n-1] < 0x80 {
			return v, n
		}
	}
	return 0, 0
}

// MIDI writes notes as a Standard MIDI File of format 0: 500 ticks of 1 ms to
// the quarter at 120 beats a minute, which needs no tempo in the file. Each note is told its
// programme anew; channel 10 (here 9) is percussion and has none.
func MIDI(notes []Note) []byte {
	type event struct {
		at   int
		data []byte
	}
	var events []event
	for _, n := range notes {
		at, c := int(n.Time.Milliseconds()), byte(n.Channel)
		if n.Channel != 9 {
			events = append(events, event{at, []byte{0xC0 | c, byte(n.Program)}})
		}
		events = append(events, event{at, []byte{0x90 | c, byte(n.Key), byte(n.Velocity)}},
			event{at + max(int(n.Length.Milliseconds()), 10), []byte{0x80 | c, byte(n.Key), 0}})
	}
	// Stable: a note's programme stays before its start.
	slices.SortStableFunc(events, func(a, b event) int { return a.at - b.at })
	var track bytes.Buffer
	last := 0
	for _, e := range events {
		track.Write(appendVarint(nil, e.at-last))
		track.Write(e.data)
		last = e.at
	}
	track.Write([]byte{0x83, 0x74, 0xFF, 0x2F, 0}) // end of track after 500 ticks
	out := []byte("MThd\x00\x00\x00\x06\x00\x00\x00\x01\x01\xf4MTrk")
	out = binary.BigEndian.AppendUint32(out, uint32(track.Len()))
	return append(out, track.Bytes()...)
}

// appendVarint is the inverse of varint, for numbers below 2^28.
func appendVarint(b []byte, v int) []byte {
	for shift := 21; shift > 0; shift -= 7 {
		if v >= 1<<shift {
			b = append(b, byte(v>>shift)|0x80)
		}
	}
	return append(b, byte(v&0x7f))
}
