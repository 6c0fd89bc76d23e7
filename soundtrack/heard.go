package soundtrack

import "time"

// heard is what one pass over the samples leaves behind: enough to find all
// moments, about 5 kB a second. Its fields are exported for the cache's
// encoder only.
type heard struct {
	Rate, Channels int
	Frames         int64
	Notes          []string     // what was wrong with the file
	Power          []float32    // K-weighted mean square of each 10 ms, all channels
	Flux           [3][]float32 // per 10 ms: rise of level in low, mid, high bands, octaves of power a band
	Level          [3][]uint8   // per 20 ms, as Overview
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
