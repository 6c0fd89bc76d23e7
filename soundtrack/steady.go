package soundtrack

import (
	"math"
	"time"
)

// pulseAt is the pulse within a step of t.
func pulseAt(p []float32, t time.Duration) float64 {
	k := int((t + hop) / (2 * hop))
	return float64(max(at(p, k-1), at(p, k), at(p, k+1)))
}

// onHits moves each beat to the surest hit within reach, and a beat without
// one to the middle of its neighbours' pull.
func onHits(steps []int, hits []peak) []time.Duration {
	const reach = 0.045 // s
	var out []time.Duration
	moved := make([]bool, len(steps))
	k := 0
	for i, s := range steps {
		t := float64(s) / countRate
		for k < len(hits) && hits[k].Time < t-reach {
			k++
		}
		best := -1.0
		at := t
		for j := k; j < len(hits) && hits[j].Time <= t+reach; j++ {
			if v := hits[j].Score - math.Abs(hits[j].Time-t)/reach*0.5; v > best {
				best, at, moved[i] = v, hits[j].Time, true
			}
		}
		out = append(out, time.Duration(at*float64(time.Second)))
	}
	for i := 1; i+1 < len(out); i++ {
		if mid := (out[i-1] + out[i+1]) / 2; !moved[i] && (mid-out[i]).Abs() < 40*time.Millisecond {
			out[i] = mid
		}
	}
	return out
}

const (
	// steadySpan is the number of beats either side over which it is judged whether they are steady,
	// sureSpan that over which a beat's support is averaged.
	steadySpan = 12
	sureSpan   = 6
)

const (
	// leastGain is the mean logarithm of the odds of the beats about one, below which nothing
	// steady is there to count.
	leastGain = -3.0
	// leastRegular is the regularity of the hits about a beat below which they fall at random: of
	// n hits at random it is about 1.5/√n.
	leastRegular = 0.3
)

// steadyOnly drops beats in stretches that gain nothing by being counted, or amid hits that do
// not fall on a pattern of the beats.
func (a activation) steadyOnly(beats []time.Duration, hits []peak) []time.Duration {
	gain := make([]float32, len(beats))
	for i, t := range beats {
		p := min(max(pulseAt(a.beat, t), 0.01), 0.99)
		gain[i] = float32(math.Log(p / (1 - p)))
	}
	regular := regularity(beats, hits)
	var out []time.Duration
	for i, v := range about(gain) {
		if v > leastGain && regular[i] > leastRegular {
			out = append(out, beats[i])
		}
	}
	return out
}

// regularity says, for each beat, how much the hits about it keep to the same places between two
// beats: the length of the mean of exp(2πi·k·place), at the best of one to four places a beat
// (Rayleigh's statistic of directions; Mardia 1972). Where hits are few it is 1.
func regularity(beats []time.Duration, hits []peak) []float64 {
	const most = 4
	var sums [2 * most][]float32
	for k := range sums {
		sums[k] = make([]float32, len(beats))
	}
	count := make([]float32, len(beats))
	i := 0
	for _, h := range hits {
		t := time.Duration(h.Time * float64(time.Second))
		for i+1 < len(beats) && beats[i+1] <= t {
			i++
		}
		if i+1 >= len(beats) || t < beats[i] {
			continue
		}
		place := float64(t-beats[i]) / float64(beats[i+1]-beats[i])
		count[i]++
		for k := range most {
			s, c := math.Sincos(2 * math.Pi * float64(k+1) * place)
			sums[2*k][i] += float32(c)
			sums[2*k+1][i] += float32(s)
		}
	}
	out := make([]float64, len(beats))
	n := about(count)
	for k := range most {
		c, s := about(sums[2*k]), about(sums[2*k+1])
		for i := range out {
			if n[i] > 0 {
				out[i] = max(out[i], math.Hypot(c[i], s[i])/n[i])
			}
		}
	}
	for i := range out {
		if n[i] < 0.5 {
			out[i] = 1
		}
	}
	return out
}

// about is the mean of each value and its neighbours.
func about(x []float32) []float64 {
	sums := prefix(x)
	out := make([]float64, len(x))
	for i := range out {
		a, b := max(i-steadySpan, 0), min(i+steadySpan+1, len(x))
		out[i] = (sums[b] - sums[a]) / float64(b-a)
	}
	return out
}

// support returns how much more pulse there is on the beats than at the
// quarters between them, over all and around each beat.
func (a activation) support(beats []time.Duration) (all float64, sure []float64) {
	on := make([]float32, len(beats))
	for i, t := range beats {
		d := 500 * time.Millisecond
		if i > 0 {
			d = t - beats[i-1]
		}
		if i+1 < len(beats) {
			d = min(d, beats[i+1]-t)
		}
		off := 0.5 * (pulseAt(a.beat, t-d/4) + pulseAt(a.beat, t+d/4))
		on[i] = float32(pulseAt(a.beat, t) - off)
		all += float64(on[i]) / float64(len(beats))
	}
	sums := prefix(on)
	sure = make([]float64, len(on))
	for i := range sure {
		// What ends or begins with a beat is as sure as what lies on its better side.
		a, b := max(i-sureSpan, 0), min(i+sureSpan+1, len(on))
		before, after := (sums[i+1]-sums[a])/float64(i+1-a), (sums[b]-sums[i])/float64(b-i)
		sure[i] = min(max(before, after, 0), 1)
	}
	return min(max(all, 0), 1), sure
}
