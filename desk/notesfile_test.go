package desk

import (
	"encoding/binary"
	"errors"
	"fmt"
	"testing"
	"time"
)

// message is one event of a Standard MIDI File, in time.
type message struct {
	at   time.Duration
	text string // "note 60 of channel 1 on", "program 3 of channel 1", "cue cue 15"
}

// readMIDI reads a Standard MIDI File with one track, from the text of Standard
// MIDI Files 1.0 and MIDI 1.0 and with nothing of the project's own reader:
// header "MThd", length 6, format, tracks, division; track "MTrk", length,
// events of a variable-length delta and a message, with running status; meta
// events FF type length. Note on is 9n, with velocity 0 it is off; program
// change is Cn.
func readMIDI(data []byte) ([]message, error) {
	if len(data) < 22 || string(data[:4]) != "MThd" || binary.BigEndian.Uint32(data[4:]) != 6 || string(data[14:18]) != "MTrk" {
		return nil, errors.New("no file with one track")
	}
	division := binary.BigEndian.Uint16(data[12:])
	track := data[22:]
	if int(binary.BigEndian.Uint32(data[18:])) != len(track) || division == 0 || division>>15 != 0 {
		return nil, errors.New("the track's length or the division is wrong")
	}
	quantity := func() (v int) {
		for {
			b := track[0]
			track = track[1:]
			if v = v<<7 | int(b&0x7f); b < 0x80 {
				return v
			}
		}
	}
	var out []message
	ticks, status, tempo := 0, byte(0), 500000 // us a quarter, until said otherwise
	now := time.Duration(0)
	for len(track) > 0 {
		delta := quantity()
		ticks += delta
		now += time.Duration(delta) * time.Duration(tempo) * time.Microsecond / time.Duration(division)
		if track[0] >= 0x80 {
			status, track = track[0], track[1:]
		}
		switch {
		case status == 0xff:
			kind := track[0]
			track = track[1:]
			n := quantity()
			text := track[:n]
			track = track[n:]
			switch kind {
			case 0x51:
				tempo = int(text[0])<<16 | int(text[1])<<8 | int(text[2])
			case 0x07:
				out = append(out, message{now, "cue " + string(text)})
			case 0x2f:
				if len(track) > 0 {
					return nil, errors.New("more after the end of the track")
				}
				return out, nil
			}
		case status>>4 == 0x9 && track[1] > 0:
			out = append(out, message{now, fmt.Sprintf("note %d of channel %d", track[0], status&15+1)})
			track = track[2:]
		case status>>4 == 0x8 || status>>4 == 0x9:
			track = track[2:]
		case status>>4 == 0xc:
			out = append(out, message{now, fmt.Sprintf("program %d of channel %d", track[0], status&15+1)})
			track = track[1:]
		default:
			return nil, fmt.Errorf("status %x at tick %d", status, ticks)
		}
	}
	return nil, errors.New("the track has no end")
}

func notes(t testing.TB, p *Plan) []message {
	t.Helper()
	data, err := p.MIDI().Append(nil)
	if err != nil {
		t.Fatal(err)
	}
	out, err := readMIDI(data)
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// The notes of the tiny show, worked out by hand. Nothing delays its sound, so
// light is due 20 ms before each moment (the middle of 0 to 40 ms). A note takes
// .96 ms on the line and the desk 30 ms more: it leaves 51 ms ahead. Cue 3 peaks
// at 0:20 and snaps there; its return of .2 s from 0:21 on snaps halfway.
func TestNotesByHand(t *testing.T) {
	want := []message{
		{0, "cue cue 1"}, {0, "note 60 of channel 1"},
		{9949 * time.Millisecond, "cue cue 2"}, {9949 * time.Millisecond, "note 61 of channel 1"},
		{19949 * time.Millisecond, "cue cue 3"}, {19949 * time.Millisecond, "note 62 of channel 1"},
		{21049 * time.Millisecond, "note 61 of channel 1"},
		{29949 * time.Millisecond, "cue cue 4"}, {29949 * time.Millisecond, "note 63 of channel 1"},
	}
	got := notes(t, fit(t, tinyShow(t), five))
	if fmt.Sprint(got) != fmt.Sprint(want) {
		t.Errorf("the file says\n%v, want\n%v", got, want)
	}
}
