package play

import (
	"lampblack/show"
	"lampblack/wire/midi"
)

// Message is what is sent with a cue, by its index in the show's Cues: MIDI
// messages that leave together, or none.
type Message func(cue int) [][]byte

// Notes sends the note of each cue, as the exported MIDI file has it. On and off
// leave together: what a note starts is started by its beginning, and no note
// may be left hanging.
func Notes(cue int) [][]byte {
	channel, key, ok := midi.Nth(cue)
	if !ok {
		return nil
	}
	return [][]byte{midi.NoteOn(channel, key, 100), midi.NoteOff(channel, key)}
}

// Programs sends a program change for each cue, counted like the notes.
func Programs(cue int) [][]byte {
	channel, program, ok := midi.Nth(cue)
	if !ok {
		return nil
	}
	return [][]byte{midi.Program(channel, program)}
}

// ShowControl sends the MIDI Show Control GO of each cue, to every lighting
// device. A number that MIDI Show Control cannot carry sends nothing, rather than
// another number.
func ShowControl(s *show.Show) Message {
	const everyDevice = 0x7F
	return func(cue int) [][]byte {
		m := midi.ShowControl{Device: everyDevice, Format: midi.Lighting, Command: midi.Go, Cue: s.Cues[cue].Number.Name}
		if m.Check() != nil {
			return nil
		}
		return [][]byte{m.Append(nil)}
	}
}
