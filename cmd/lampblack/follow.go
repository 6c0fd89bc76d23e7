package main

import (
	"fmt"
	"strings"

	"lampblack/play"
	"lampblack/play/chase"
	"lampblack/show"
	"lampblack/wire/midi"
)

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

// openSender knows the kinds that send at cues; timecode goes out all the time, and is
// package chase's.
func openSender(s *show.Show, spec string) (play.Sender, error) {
	kind, place, _ := strings.Cut(spec, " ")
	if place == "" {
		return nil, badSender(spec)
	}
	if kind == "ltc" || kind == "mtc" {
		return chase.OpenSender(spec)
	}
	message, known := map[string]func(int) [][]byte{
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
	return play.NewCueMessages(port, s, message), nil
}

// badSender names what may be sent, as the form of a line.
func badSender(spec string) error {
	return hinted{fmt.Errorf("%q says nothing that can be sent", spec), `"notes PORT", "programs PORT", "show-control PORT", "mtc PORT" or "ltc PIPE"`}
}

// noteOf is the note of a cue, as in the exported MIDI file. On and off leave together:
// what a note starts is started by its beginning, and no note may be left hanging.
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

// goOf is the MIDI Show Control GO of a cue, to every lighting device. A number that
// MIDI Show Control cannot carry sends nothing, rather than another number.
func goOf(s *show.Show, cue int) [][]byte {
	const everyDevice = 0x7F
	m := midi.ShowControl{Device: everyDevice, Format: midi.Lighting, Command: midi.Go, Cue: s.Cues[cue].Number.Name}
	if m.Check() != nil {
		return nil
	}
	return [][]byte{m.Append(nil)}
}
