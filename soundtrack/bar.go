package soundtrack

import (
	"math"
	"time"
)

const (
	shortestBar, longestBar = 2, 7 // beats
	// openness is the mean accent of a bar's first beat, in deviations of all
	// beats' accents.
	openness = 1.0
	// leastOpening is the gain a beat of the best path over no bars at all that
	// makes bars believable.
	leastOpening = 0.02
	// regroup is the price of a change of meter, in the units of a likelihood's
	// logarithm.
	regroup = 9.0
)

// usual is what each meter gains a beat for being common: most music that a
// show is likely to use is in four, some in three (common practice, no source).
var usual = [longestBar + 1]float64{2: -0.02, 3: 0.01, 4: 0.03, 5: -0.01, 6: 0.01, 7: -0.01}

// bars gives each beat its place in the bar, from 1. It searches the likeliest
// path through the places of bars of 2 to 7 beats: the first beat of a bar is
// taken to have an accent that is normally distributed about openness, any
// other about 0. Where that explains no more than no bars at all, zeros are
// returned.
func bars(h *heard, beats []time.Duration) []int {
	first := make([]int, len(beats))
	if len(beats) < 2*longestBar {
		return first
	}
	acc := accents(h, beats)
	type state struct{ meter, place int }
	var states []state
	for m := shortestBar; m <= longestBar; m++ {
		for p := range m {
			states = append(states, state{m, p})
		}
	}
	index := func(m, p int) int { return m*(m-1)/2 - 1 + p } // states before meter m: 2+3+…+(m-1)
	score := make([]float64, len(states))
	from := make([][]uint8, len(beats))
	for b, a := range acc {
		ends, end := math.Inf(-1), 0
		for m := shortestBar; m <= longestBar; m++ {
			if v := score[index(m, m-1)]; v > ends {
				ends, end = v, index(m, m-1)
			}
		}
		next := make([]float64, len(states))
		from[b] = make([]uint8, len(states))
		for i, s := range states {
			switch {
			case b == 0:
				next[i] = 0
			case s.place > 0:
				next[i], from[b][i] = score[i-1], uint8(i-1)
			default:
				next[i], from[b][i] = score[i+s.meter-1], uint8(i+s.meter-1)
				if ends-regroup > next[i] {
					next[i], from[b][i] = ends-regroup, uint8(end)
				}
			}
			next[i] += usual[s.meter]
			if s.place == 0 {
				next[i] += openness * (a - openness/2)
			}
		}
		score = next
	}
	best := 0
	for i, v := range score {
		if v > score[best] {
			best = i
		}
	}
	if score[best] < leastOpening*float64(len(beats)) {
		return first
	}
	for b := len(beats) - 1; b >= 0; b-- {
		first[b] = states[best].place + 1
		best = int(from[b][best])
	}
	return first
}

// accents measures how much each beat sounds like the first of a bar: new
// harmony, bass, loudness; standardised.
func accents(h *heard, beats []time.Duration) []float64 {
	return accentsBy(h, beats, accentWeights{low: 0.6, loud: 1.0, harmony: 0.8})
}

type accentWeights struct{ low, loud, harmony float32 }

func accentsBy(h *heard, beats []time.Duration, w accentWeights) []float64 {
	low, loud, harmony := make([]float32, len(beats)), make([]float32, len(beats)), make([]float32, len(beats))
	rising := swellings(h.Power)
	for i, t := range beats {
		k := int(t / hop)
		for j := k - 4; j <= k+3; j++ {
			low[i] = max(low[i], at(h.Flux[0], j))
			loud[i] = max(loud[i], at(rising, j))
		}
		d := time.Second / 2
		if i > 0 {
			d = min(t-beats[i-1], longestInterval)
		}
		harmony[i] = h.Sketch.harmonyChange(t-d*3/2, t, t+d*3/2)
	}
	sum := make([]float32, len(beats))
	for _, f := range []struct {
		of     []float32
		weight float32
	}{{low, w.low}, {loud, w.loud}, {harmony, w.harmony}} {
		standardise(f.of)
		for i, v := range f.of {
			sum[i] += f.weight * min(max(v, -2), 3)
		}
	}
	standardise(sum)
	out := make([]float64, len(sum))
	for i, v := range sum {
		out[i] = min(max(float64(v), -2), 2.5)
	}
	return out
}

func standardise(x []float32) {
	var sum, squares float64
	for _, v := range x {
		sum += float64(v)
		squares += float64(v) * float64(v)
	}
	n := float64(max(len(x), 1))
	mean := sum / n
	deviation := math.Sqrt(max(squares/n-mean*mean, 0)) + 1e-6
	for i, v := range x {
		x[i] = float32((float64(v) - mean) / deviation)
	}
}

// harmonyChange is the distance (1 - cosine) of the pitch classes before t and
// after it.
func (s *sketch) harmonyChange(before, t, after time.Duration) float32 {
	a, b := s.chromaOf(before, t), s.chromaOf(t, after)
	var ab, aa, bb float64
	for c := range a {
		ab += a[c] * b[c]
		aa += a[c] * a[c]
		bb += b[c] * b[c]
	}
	if aa == 0 || bb == 0 {
		return 0
	}
	return float32(1 - ab/math.Sqrt(aa*bb))
}

// chromaOf sums the pitch classes from a to b; steps at the edges count by
// their share.
func (s *sketch) chromaOf(a, b time.Duration) (sum [chromaSize]float64) {
	const step = sketchFrames * hop
	last := len(s.Chroma)/chromaSize - 1
	for k := max(int(a/step), 0); k <= min(int(b/step), last); k++ {
		from, to := max(a, time.Duration(k)*step), min(b, time.Duration(k+1)*step)
		if to <= from {
			continue
		}
		share := float64(to-from) / float64(step)
		for c := range sum {
			sum[c] += share * float64(s.Chroma[k*chromaSize+c])
		}
	}
	return sum
}
