package export

import (
	"fmt"

	"lampblack/show"
	"lampblack/si"
	"lampblack/wire/midi"
)

// MIDI writes one note for each cue. Cues count by their place in time, not by
// their numbers, which may be decimal and more than 127.
func MIDI(s *show.Show) ([]byte, error) {
	f := midi.NewFile(1)
	f.Add(0, 0, midi.TrackName(s.Bill.Title))
	for i := range s.Cues {
		c := &s.Cues[i]
		channel, key, ok := midi.Nth(i)
		if !ok {
			return nil, fmt.Errorf("%d cues are more than the %d notes of one MIDI port", len(s.Cues), midi.Notes)
		}
		at := max(c.Start, 0)
		f.Add(0, at, midi.CuePoint(c.Number.Name+" "+c.Cue.Look.Name))
		f.Add(0, at, midi.NoteOn(channel, key, 100))
		f.Add(0, at+noteLength, midi.NoteOff(channel, key))
	}
	f.Add(0, s.Length, midi.Marker("end "+si.FormatTime(s.Length)))
	return f.Append(nil)
}

// noteLength is long enough for any receiver and shorter than any two cues of
// one note are apart.
const noteLength = 50e6 // ns
