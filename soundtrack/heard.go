package soundtrack

import (
	"math"
	"slices"
	"time"
)

// heard is what one pass over the samples leaves behind: enough to find all
// moments, about 5 kB a second. Its fields are exported for the cache's
// encoder only.
type heard struct {
	Rate, Channels int
	Frames         int64
	Notes          []string             // what was wrong with the file
	Power          []float32            // K-weighted mean square of each 10 ms, all channels
	Level          [3][]uint8           // per 20 ms, as Overview
	Rises          [rhythmBands][]uint8 // per 20 ms, as riseByte
	Loud           [3][]uint8           // per 20 ms: power of low, mid, high bands, as loudOf
	Centre         []uint8              // per 20 ms, as centreOf
	Sketch         sketch
	Peaks          []peak // what may be a hit, by frame
}

// duration returns the length in time.
func (h *heard) duration() time.Duration {
	return frameTime(h.Frames, h.Rate)
}

// frameTime is frame/rate s without overflow: whole seconds are taken out first.
func frameTime(frame int64, rate int) time.Duration {
	whole, rest := frame/int64(rate), frame%int64(rate)
	return time.Duration(whole)*time.Second + time.Duration(rest)*time.Second/time.Duration(rate)
}

// peak is a local rise of the spectrum that may be a hit.
type peak struct {
	Frame    int32   // of the spectrogram
	Time     float64 // s
	Score    float64 // how much it is one, 0..1
	Portrait portrait
}

// sane tells whether what was kept can be what somebody heard: it may have come with a show
// from anywhere. Lengths belong together within the second that a sound's end may differ
// by, and numbers are numbers.
func (h *heard) sane() bool {
	const (
		mostRate     = 1 << 20
		mostChannels = 1 << 10
		slack        = blockRate
	)
	if h.Rate < 1 || h.Rate > mostRate || h.Channels < 1 || h.Channels > mostChannels || h.Frames < 0 || h.Frames > math.MaxInt64/blockRate {
		return false
	}
	blocks := int(h.Frames * blockRate / int64(h.Rate))
	near := func(n, want int) bool { return n >= want-slack && n <= want+slack }
	if !near(len(h.Power), blocks) || !near(len(h.Sketch.Peaky), blocks/2) || len(h.Sketch.Colour)%groupCount != 0 || !near(h.Sketch.steps(), blocks/sketchFrames) || len(h.Sketch.Chroma) != h.Sketch.steps()*chromaSize {
		return false
	}
	if len(h.Centre) != len(h.Level[0]) {
		return false
	}
	for r := range h.Level {
		if len(h.Level[r]) != len(h.Level[0]) || !near(len(h.Level[r]), blocks/2) || len(h.Loud[r]) != len(h.Level[0]) {
			return false
		}
	}
	for b := range h.Rises {
		if len(h.Rises[b]) != len(h.Rises[0]) || len(h.Rises[b]) > len(h.Power) || !near(len(h.Rises[b]), blocks/2) {
			return false
		}
	}
	return inRange(h.Power, 0, absurd) && h.sanePeaks()
}

// sanePeaks tells whether peaks follow one another inside the sound.
func (h *heard) sanePeaks() bool {
	end := h.duration().Seconds() + 1
	last := int32(-leadIn)
	for _, p := range h.Peaks {
		look := p.Portrait
		if !(p.Time >= -1 && p.Time <= end && p.Score >= 0 && p.Score <= 1) || p.Frame < last || int(p.Frame) > len(h.Power)+leadIn {
			return false
		}
		if !inRange([]float32{look.Band[0], look.Band[1], look.Centre, look.Low, look.Peaky, look.Attack, -look.Loudest}, -1e6, 1e6) {
			return false
		}
		last = p.Frame
	}
	return true
}

// inRange tells whether all are numbers in a range.
func inRange(x []float32, low, high float32) bool {
	return !slices.ContainsFunc(x, func(v float32) bool { return !(v >= low && v <= high) })
}
