package main

import (
	"fmt"
	"io"
	"os"
	"strings"

	"lampblack/play"
	"lampblack/play/chase"
	"lampblack/show"
	"lampblack/wire/midi"
)

// openFollow opens a clock that comes in: "mtc PORT" or "ltc FILE", where FILE
// is a pipe of 48 kHz, 16-bit, mono samples, or - for standard input.
func openFollow(spec string) (play.Clock, error) {
	kind, place, _ := strings.Cut(spec, " ")
	if place == "" || kind != "mtc" && kind != "ltc" {
		return nil, hinted{fmt.Errorf("%q names no clock to follow", spec), `"mtc /dev/snd/midiC1D0", or "ltc -" for samples on standard input`}
	}
	var in io.ReadCloser = os.Stdin
	if place != "-" {
		f, err := os.Open(place)
		if err != nil {
			return nil, fmt.Errorf("follow %s: %w", kind, err)
		}
		in = f
	}
	f := chase.NewFollower(spec, 0)
	follow := func() error { return chase.NewAudioInput(f, ltcSampleRate).Follow(in) }
	if kind == "mtc" {
		follow = func() error { return (&chase.MIDIInput{Follower: f}).Follow(in) }
	}
	go func() { _ = follow() }() // ends with its source; a lost clock is seen by the follower
	return &followed{f, in}, nil
}

// followed closes the source with the clock.
type followed struct {
	*chase.Follower
	source io.Closer
}

func (f *followed) Close() error { return f.source.Close() }

// openSenders opens what is told where the show is.
func openSenders(s *show.Show, specs []string) ([]play.Sender, error) {
	var out []play.Sender
	for _, spec := range specs {
		sender, err := openSender(s, spec)
		if err != nil {
			for _, o := range out {
				_ = o.Close()
			}
			return nil, err
		}
		out = append(out, sender)
	}
	return out, nil
}

func openSender(s *show.Show, spec string) (play.Sender, error) {
	kind, place, _ := strings.Cut(spec, " ")
	if place == "" {
		return nil, badSender(spec)
	}
	if kind == "ltc" {
		return chase.OpenLinearTimecode(place, timecodeRate.At(0), ltcSampleRate)
	}
	message, known := map[string]func(int) [][]byte{
		"mtc":          nil,
		"notes":        noteOf,
		"programs":     programOf,
		"show-control": func(i int) [][]byte { return goOf(s, i) },
	}[kind]
	if !known {
		return nil, badSender(spec)
	}
	port, err := chase.OpenPort(place)
	if err != nil {
		return nil, err
	}
	if kind == "mtc" {
		return chase.NewMIDITimeCode(port, timecodeRate.At(0)), nil
	}
	return play.NewCueMessages(port, s, message), nil
}

func badSender(spec string) error {
	return hinted{fmt.Errorf("%q says nothing that can be sent", spec), `"notes PORT", "programs PORT", "show-control PORT", "mtc PORT" or "ltc PIPE"`}
}

// noteOf is the note of a cue, as in the exported MIDI file.
func noteOf(cue int) [][]byte {
	if cue >= maxNotes {
		return nil
	}
	channel, key := byte(cue/128), byte(cue%128)
	return [][]byte{midi.NoteOn(channel, key, 100), midi.NoteOff(channel, key)}
}

// programOf is the program change of a cue, counted like the notes.
func programOf(cue int) [][]byte {
	if cue >= maxNotes {
		return nil
	}
	return [][]byte{midi.Program(byte(cue/128), byte(cue%128))}
}

// goOf is the MIDI Show Control GO of a cue, to every lighting device.
func goOf(s *show.Show, cue int) [][]byte {
	const everyDevice = 0x7F
	m := midi.ShowControl{Device: everyDevice, Format: midi.Lighting, Command: midi.Go, Cue: s.Cues[cue].Number.Name}
	if m.Check() != nil {
		return nil
	}
	return [][]byte{m.Append(nil)}
}
