package demo

import "time"

// Rate is the sampling rate of the soundtrack in frames a second.
const Rate = 44100

// Plan is what the soundtrack holds, known exactly. Times are offsets from the
// first sample, and fall on samples.
type Plan struct {
	Duration time.Duration
	Attacks  []Attack  // by time; sounds that begin on one sample are one attack
	Beats    []Beat    // only where there is a steady pulse
	Sections []Section // end to end, from 0 to Duration
	Swells   []Span    // rises of loudness that last seconds
	Hushes   []Span    // nothing to be heard
	Voice    []Span    // speech-like murmur

	sounds []sound // what Synthesise plays, by time
	cuts   []cut
	frames int64
}

// Attack is the beginning of a sound.
type Attack struct {
	Time     time.Duration
	Name     string        // "thunder", "pearl", "pluck" …
	Loudness float64       // dB: peak of the loudest sound alone, re full scale, before the master bends it
	Accent   bool          // meant to be lit
	Rise     time.Duration // until the sound is at its loudest
	Decay    time.Duration // until it has fallen by 20 dB
}

// Beat is one count of the pulse. Bars are numbered through the whole track,
// beats within their bar, both from 1.
type Beat struct {
	Time      time.Duration
	Bar, Beat int
}

// Section is a part of the track. Sections that repeat one another share a
// label.
type Section struct {
	From, To time.Duration
	Name     string
	Label    string
}

// Span is a piece of the track.
type Span struct {
	From, To time.Duration
	Name     string
}
