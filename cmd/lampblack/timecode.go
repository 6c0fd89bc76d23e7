package main

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"strconv"
	"time"

	"lampblack/play/output"
	"lampblack/show"
	"lampblack/si"
	"lampblack/soundfile"
	"lampblack/source"
	"lampblack/wire/midi"
	"lampblack/wire/timecode"
)

// timecodeRate is that of the exported time code: 25 frames a second divide
// both a second and a sample rate evenly.
const timecodeRate = timecode.Rate25

// quarterFrames writes MIDI time code as a Standard MIDI File: a full frame at the
// start, then eight quarter frames for every two frames. Eight quarter frames carry one
// timecode, over two frames; times are worked out from the count, so they do not drift.
func quarterFrames(s *show.Show) ([]byte, error) {
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

// linear writes SMPTE ST 12-1 linear time code as a WAV, to lie beside the soundtrack.
// One frame more than the show has, so that the last instant of it has a whole frame
// behind it.
func linear(s *show.Show) ([]byte, error) {
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

// recorded writes the show's frames as a capture. Frames are at multiples of 1/44 s
// from the beginning, as a run would send them; the fade of a lights-up is not in it.
func recorded(s *show.Show) ([]byte, error) {
	var b bytes.Buffer
	w := output.NewCaptureWriter(&b)
	f := s.NewFrame()
	var frames []output.Frame
	for i := range f.Universes {
		u := &f.Universes[i]
		frames = append(frames, output.Frame{Universe: uint16(u.Number), Slots: u.Slots[:]})
	}
	for i := 0; ; i++ {
		at := time.Duration(i) * time.Second / 44
		if at > s.Length {
			break
		}
		s.At(f, at)
		if err := w.Write(at, frames); err != nil {
			return nil, err
		}
	}
	err := w.Close()
	return b.Bytes(), err
}

// cueTable writes the cue list as it falls in time. Times are in seconds besides the
// form for people, since a spreadsheet reckons with those.
func cueTable(s *show.Show) ([]byte, error) {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	_ = w.Write([]string{"cue", "start", "start s", "up s", "down s", "hold s", "returns s", "lands", "on", "moment", "look", "purpose", "why", "visible steps", "longest wait s"})
	seconds := func(d time.Duration) string { return strconv.FormatFloat(d.Seconds(), 'f', 3, 64) }
	for i := range s.Cues {
		c := &s.Cues[i]
		on, hold, returns := "time", "", ""
		if c.On != nil {
			on = c.On.String()
		}
		if c.Bump() {
			hold, returns = seconds(c.Hold), seconds(*c.Returns)
		}
		visible, wait := "", ""
		if steps, ok := s.Steps(i); ok {
			visible, wait = strconv.Itoa(steps.Visible), seconds(steps.Longest)
		}
		lands := string(c.Lands)
		if lands == "" {
			lands = "starts"
		}
		_ = w.Write(source.Cells([]string{c.Number.Name, si.FormatTime(c.Start), seconds(c.Start), seconds(c.Up), seconds(c.Falls()), hold, returns,
			lands, on, si.FormatTime(c.Moment), c.Cue.Look.Name, s.Score.Looks[c.Look].Value.Purpose, c.Why, visible, wait}))
	}
	w.Flush()
	if err := w.Error(); err != nil {
		return nil, fmt.Errorf("write table: %w", err)
	}
	return b.Bytes(), nil
}
