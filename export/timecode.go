package export

import (
	"bytes"
	"time"

	"lampblack/show"
	"lampblack/soundfile"
	"lampblack/wire/midi"
	"lampblack/wire/timecode"
)

// timecodeRate is that of the exported time code: 25 frames a second divide
// both a second and a sample rate evenly.
const timecodeRate = timecode.Rate25

// QuarterFrames writes MIDI time code as a Standard MIDI File: a full frame at the
// start, then eight quarter frames for every two frames. Eight quarter frames carry one
// timecode, over two frames; times are worked out from the count, so they do not drift.
func QuarterFrames(s *show.Show) ([]byte, error) {
	f := midi.NewFile(1)
	f.Add(0, 0, midi.TrackName(s.Bill.Title+", MIDI time code"))
	f.Add(0, 0, midi.FullFrame{Rate: byte(timecodeRate)}.Append(nil))
	end := timecodeRate.Frames(s.Length) * 4
	num, den := timecodeRate.Fraction()
	for n := range end {
		piece, nibble := timecodeRate.Quarter(n)
		at := time.Duration(float64(n) * float64(den) / float64(num) / 4 * 1e9)
		// A Standard MIDI File takes system messages as escapes only.
		message := append([]byte{0xF7}, midi.QuarterFrame{Piece: piece, Nibble: nibble}.Append(nil)...)
		f.Add(0, at, message)
	}
	return f.Append(nil)
}

// ltcSampleRate divides by the bits of 25 frames a second.
const ltcSampleRate = 48000

// Linear writes SMPTE ST 12-1 linear time code as a WAV, to lie beside the soundtrack.
// One frame more than the show has, so that the last instant of it has a whole frame
// behind it.
func Linear(s *show.Show) ([]byte, error) {
	frames := timecodeRate.Frames(s.Length) + 1
	e, err := timecode.NewEncoder(timecode.EncoderOptions{Start: timecodeRate.At(0), SampleRate: ltcSampleRate, Frames: frames})
	if err != nil {
		return nil, err
	}
	samples := make([]float32, e.Samples())
	samples = samples[:e.Read(samples)]
	var b bytes.Buffer
	err = soundfile.WriteWAV(&b, ltcSampleRate, 1, 16, samples)
	return b.Bytes(), err
}
