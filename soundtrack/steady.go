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
	// steadySpan is the number of beats either side over which a beat's
	// support is averaged.
	steadySpan = 12
	// leastSupport is the mean pulse, over that between beats, below which
	// there is no steady beat. Strikes at random reach 0.5, played
	// music lies above 0.7.
	leastSupport = 0.57
)

// steadyOnly drops beats amid which the pulse is not on the beats.
func steadyOnly(p []float32, beats []time.Duration) []time.Duration {
	_, sure := support(p, beats)
	var out []time.Duration
	for i, t := range beats {
		if sure[i] >= leastSupport {
			out = append(out, t)
		}
	}
	return out
}

// support returns how much more pulse there is on the beats than at the
// quarters between them, over all and around each beat.
func support(p []float32, beats []time.Duration) (all float64, sure []float64) {
	on := make([]float32, len(beats))
	for i, t := range beats {
		d := 500 * time.Millisecond
		if i > 0 {
			d = t - beats[i-1]
		}
		if i+1 < len(beats) {
			d = min(d, beats[i+1]-t)
		}
		off := 0.5 * (pulseAt(p, t-d/4) + pulseAt(p, t+d/4))
		on[i] = float32(pulseAt(p, t) - off)
	}
	sums := prefix(on)
	sure = make([]float64, len(beats))
	for i := range sure {
		a, b := max(i-steadySpan, 0), min(i+steadySpan+1, len(beats))
		sure[i] = min(max((sums[b]-sums[a])/float64(b-a), 0), 1)
	}
	return min(max(sums[len(beats)]/float64(max(len(beats), 1)), 0), 1), sure
}
