package soundtrack

import (
	"math"
	"time"
)

const (
	shortestBar, longestBar = 2, 7 // beats
	// leastOpening is the gain a beat of the best path over no bars at all that
	// makes bars believable.
	leastOpening = 0.02
	// regroup is the price of a change of meter, in the units of a likelihood's
	// logarithm.
	regroup = 6.5
)

// usual is what each meter gains a beat for being common. Like all weights here it was found by
// random search on the taught part of the beat network's material.
var usual = [longestBar + 1]float64{2: -0.15, 3: 0.3, 4: 0.4, 5: 0.18, 6: 0.13, 7: 0.18}

// Weights of what tells the first beat of a bar: the network's odds, and by how much bass, loudness
// and new harmony stand out among the piece's beats, in deviations.
const (
	networkWeight = 1.5
	bassAccent    = 0.12
	loudAccent    = 0.25
	harmonyAccent = 0.55
	openOffset    = 0.25
)

// bars gives each beat its place in the bar, from 1. It searches the likeliest path through the
// places of bars of 2 to 7 beats, by how likely each beat is the first of a bar. Where that
// explains no more than no bars at all, zeros are returned.
func (a activation) bars(beats []time.Duration) []int {
	first := make([]int, len(beats))
	opens := a.openings(beats)
	for from := 0; from < len(beats); {
		to := from + 1
		for to < len(beats) && beats[to]-beats[to-1] < longestInterval {
			to++
		}
		if to-from >= 2*longestBar {
			copy(first[from:], barsOf(opens[from:to]))
		}
		from = to
	}
	return first
}

// openings is, for each beat, the logarithm of the odds that it opens a bar, if it is a beat.
func (a activation) openings(beats []time.Duration) []float64 {
	out := make([]float64, len(beats))
	for i, t := range beats {
		first, beat := pulseAt(a.first, t), pulseAt(a.beat, t)
		p := min(max(first/max(beat, first, 0.05), 0.02), 0.98)
		out[i] = networkWeight*math.Log(p/(1-p)) + openOffset
	}
	a.addAccents(out, beats)
	return out
}

// addAccents adds what the network, which looks 10 s far, cannot know: by how much a beat stands
// out among all beats of the piece. Outliers are cut off: one crash must not outweigh a track.
func (a activation) addAccents(odds []float64, beats []time.Duration) {
	for _, f := range []struct {
		weight float64
		of     func(k int) float32
	}{
		{bassAccent, func(k int) float32 { return most(a.in[0], k) + most(a.in[1], k) }},
		{loudAccent, func(k int) float32 { return most(a.in[rhythmBands], k) }},
		{harmonyAccent, func(k int) float32 { return at(a.in[rhythmBands+2], k) + at(a.in[rhythmBands+3], k) }},
	} {
		x := make([]float32, len(beats))
		for i, t := range beats {
			x[i] = f.of(int((t + hop) / (2 * hop)))
		}
		standardise(x)
		for i, v := range x {
			odds[i] += f.weight * float64(min(max(v, -2), 2.5))
		}
	}
}

// most is the largest value within two steps.
func most(row []float32, k int) (m float32) {
	for j := k - 2; j <= k+2; j++ {
		m = max(m, at(row, j))
	}
	return m
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

// barsOf searches one unbroken run of beats by the odds that each opens a bar.
func barsOf(odds []float64) []int {
	score := make([]float64, len(places))
	from := make([][len(places)]uint8, len(odds))
	for b, a := range odds {
		score = barStep(score, &from[b], a, b == 0)
	}
	best := 0
	for i, v := range score {
		if v > score[best] {
			best = i
		}
	}
	first := make([]int, len(odds))
	if score[best] < leastOpening*float64(len(odds)) {
		return first
	}
	for b := len(odds) - 1; b >= 0; b-- {
		first[b] = places[best].place + 1
		best = int(from[b][best])
	}
	return first
}

// barStep scores every place for the next beat, of odds a that it opens a bar, and notes which
// place came before: the one before it in the same bar, or for a first beat the last of
// such a bar, or at the price of regroup the best end of any bar. Scores are the logarithm
// of how much likelier the path is than one on which no beat opens a bar: ln p/(1-p) for a
// first beat, for others 0.
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
			next[i] += a
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
