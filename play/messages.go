package play

import (
	"strconv"

	"lampblack/wire/midi"
	"lampblack/wire/osc"
)

// Message is what is sent with a cue: messages that leave together, or none. n counts the
// cues of the show, or of the whole evening, as they are written, from 0; number is what the
// cue is called.
type Message func(n int, number string) [][]byte

// Notes sends the note of each cue, as the exported MIDI file has it. On and off
// leave together: what a note starts is started by its beginning, and no note
// may be left hanging.
func Notes(n int, _ string) [][]byte {
	channel, key, ok := midi.Nth(n)
	if !ok {
		return nil
	}
	return [][]byte{midi.NoteOn(channel, key, 100), midi.NoteOff(channel, key)}
}

// Programs sends a program change for each cue, counted like the notes.
func Programs(n int, _ string) [][]byte {
	channel, program, ok := midi.Nth(n)
	if !ok {
		return nil
	}
	return [][]byte{midi.Program(channel, program)}
}

// ShowControl sends the MIDI Show Control GO of each cue, to every lighting
// device. A number that MIDI Show Control cannot carry sends nothing, rather than
// another number.
func ShowControl(_ int, number string) [][]byte {
	const everyDevice = 0x7F
	m := midi.ShowControl{Device: everyDevice, Format: midi.Lighting, Command: midi.Go, Cue: number}
	if m.Check() != nil {
		return nil
	}
	return [][]byte{m.Append(nil)}
}

// OSC sends a message of Open Sound Control with each cue: its number, as a string,
// which holds every number as it is written ("10.10" is not "10.1"), or as a 32-bit
// floating-point number. The address must be one.
func OSC(address string, asNumber bool) Message {
	return func(_ int, number string) [][]byte {
		m := osc.Message{Address: address, Args: []any{number}}
		if asNumber {
			v, err := strconv.ParseFloat(number, 32)
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
