package play

import (
	"strconv"

	"lampblack/show"
	"lampblack/wire/midi"
	"lampblack/wire/osc"
)

// Message is what is sent with a cue, by its index in the show's Cues: messages
// that leave together, or none.
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

// OSC sends a message of Open Sound Control with each cue: its number, as a string,
// which holds every number as it is written ("10.10" is not "10.1"), or as a 32-bit
// floating-point number. The address must be one.
func OSC(s *show.Show, address string, number bool) Message {
	return func(cue int) [][]byte {
		m := osc.Message{Address: address, Args: []any{s.Cues[cue].Number.Name}}
		if number {
			v, err := strconv.ParseFloat(s.Cues[cue].Number.Name, 32)
			if err != nil {
				return nil
			}
			m.Args[0] = float32(v)
		}
		if m.Check() != nil {
			return nil
		}
		return [][]byte{m.Append(nil)}
	}
}
