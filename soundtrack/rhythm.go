package soundtrack

import (
	"context"
	"math"

	"lampblack/soundfile"
)

// The beat's network sees, every 20 ms, how far the spectrum rises in nine bands and the loudness
// with it, and how differently what comes sounds from what went before: in harmony, in bass, in
// colour, in loudness, over spans from a third of a second to a bar.
const (
	rhythmBands  = 9
	rhythmInputs = rhythmBands + 1 + changeInputs
	changeInputs = 8
)

// rhythmEdges are the groups at which bands begin: below 130, 215 and 390 Hz, 0.74, 1.0, 1.5, 3,
// 6 and 16 kHz.
var rhythmEdges = [rhythmBands + 1]int{0, 1, 2, 4, 8, 11, 14, 20, 26, groupCount}

// addRhythm adds the rises of frame i to the step of 20 ms that it belongs to: a step takes the
// frame before its time and the one at it, since a rise leads its attack by 8 ms.
func (e *ear) addRhythm(h *heard, rises []int16, i int) {
	for b := range e.rhythm {
		for _, v := range rises[rhythmEdges[b]:rhythmEdges[b+1]] {
			e.rhythm[b] += int32(v)
		}
	}
	if i%2 != 0 {
		return
	}
	for b, v := range e.rhythm {
		bands := groupSize * (rhythmEdges[b+1] - rhythmEdges[b])
		h.Rises[b] = append(h.Rises[b], riseByte(float64(v)/float64(octave*bands)))
		e.rhythm[b] = 0
	}
}

// riseByte keeps a mean rise, in octaves of power, as 40·log2(1 + 4·rise).
func riseByte(octaves float64) uint8 {
	return uint8(min(40*math.Log2(1+4*octaves), 255))
}

// rhythm lays out the inputs of the beat's network, each a row of steps of 20 ms, all between
// about -1 and 2.
func rhythm(h *heard) [][]float32 {
	n := len(h.Rises[0])
	in := make([][]float32, 0, rhythmInputs)
	for _, rises := range h.Rises {
		row := make([]float32, n)
		for i, v := range rises {
			row[i] = float32(v) * (1.0 / 80)
		}
		in = append(in, row)
	}
	in = append(in, loudRises(h.Power, n))
	return append(in, changes(h, n)...)
}

// loudRises is by how much the power of 20 ms is over that of the 40 ms before, in octaves over
// four.
func loudRises(power []float32, n int) []float32 {
	out := make([]float32, n)
	for k := range out {
		i := 2 * k
		before := (at(power, i-4) + at(power, i-3) + at(power, i-2) + at(power, i-1)) / 4
		now := (at(power, i) + at(power, i+1)) / 2
		out[k] = float32(min(max(float64(octaves(now+faintest)-octaves(before+faintest))/(4*octave), -1), 2))
	}
	return out
}

// Rhythm returns what the beat's network sees of s, row by row, for training.
func Rhythm(ctx context.Context, s soundfile.Stream) ([][]float32, error) {
	h, err := hear(ctx, s, Options{}, func(Candidate) {})
	if err != nil {
		return nil, err
	}
	return rhythm(h), nil
}
