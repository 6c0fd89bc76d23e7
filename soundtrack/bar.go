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
	for from := 0; from < len(beats); {
		to := from + 1
		for to < len(beats) && beats[to]-beats[to-1] < longestInterval {
			to++
		}
		if to-from >= 2*longestBar {
			copy(first[from:], barsOf(acc[from:to]))
		}
		from = to
	}
	return first
}

// barsOf searches one unbroken run of beats by their accents.
func barsOf(accents []float64) []int {
	score := make([]float64, len(places))
	from := make([][len(places)]uint8, len(accents))
	for b, a := range accents {
		score = barStep(score, &from[b], a, b == 0)
	}
	best := 0
	for i, v := range score {
		if v > score[best] {
			best = i
		}
	}
	first := make([]int, len(accents))
	if score[best] < leastOpening*float64(len(accents)) {
		return first
	}
	for b := len(accents) - 1; b >= 0; b-- {
		first[b] = places[best].place + 1
		best = int(from[b][best])
	}
	return first
}

// barStep scores every place for the next beat, of accent a, and notes which
// place came before: the one before it in the same bar, or for a first beat the last of
// such a bar, or at the price of regroup the best end of any bar. Scores are the logarithm
// of how much likelier the accents are than without bars: for a first beat of accent a
// that is ln N(a; openness, 1)/N(a; 0, 1) = openness·(a - openness/2), for others 0.
func barStep(score []float64, from *[len(places)]uint8, a float64, start bool) []float64 {
	ends, end := math.Inf(-1), 0 // the best path that ends a bar
	for i, p := range places {
		if p.place == p.meter-1 && score[i] > ends {
			ends, end = score[i], i
		}
	}
	next := make([]float64, len(places))
	for i, p := range places {
		before := i - 1
		if p.place == 0 {
			before = i + p.meter - 1
		}
		if !start {
			next[i], from[i] = score[before], uint8(before)
			if p.place == 0 && ends-regroup > next[i] {
				next[i], from[i] = ends-regroup, uint8(end)
			}
		}
		next[i] += usual[p.meter]
		if p.place == 0 {
			next[i] += openness * (a - openness/2)
		}
	}
	return next
}

// places are all places in bars of 2 to 7 beats, bar by bar.
var places = func() (all [27]struct{ meter, place int }) {
	i := 0
	for m := shortestBar; m <= longestBar; m++ {
		for p := range m {
			all[i].meter, all[i].place = m, p
			i++
		}
	}
	return all
}()

// accents measures how much each beat sounds like the first of a bar: new
// harmony, bass, loudness; standardised.
func accents(h *heard, beats []time.Duration) []float64 {
	return accentsBy(h, beats, accentWeights{low: 0.6, loud: 1.0, harmony: 0.8})
}

type accentWeights struct{ low, loud, harmony float32 }

// accentsBy is accents by weights of the caller's choice. Bass and loudness are the
// largest rise from 40 ms before the beat to 30 ms after it; harmony is compared over one
// and a half beats either side. Outliers are cut off: one crash must not outweigh a track.
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

// standardise brings x to mean 0 and deviation 1.
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
