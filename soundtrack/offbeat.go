package soundtrack

import (
	"math"
	"slices"
	"time"
)

// alternation says how differently every other beat is stressed, in deviations
// averaged over stretches of 16 beats, and whether the even ones (the first
// among them) have the stress. The beats of a bar with bass on every other reach
// 1.3; beats with off-beats counted among them lie above 1.5.
func alternation(h *heard, beats []time.Duration) (strength float64, even bool) {
	const stretch = 16
	weight := accentsBy(h, beats, beatWeights)
	var total, n, signed float64
	for a := 0; a+stretch <= len(weight); a += stretch {
		d := 0.0
		for i, w := range weight[a : a+stretch] {
			d += w * float64(1-2*(i%2)) / (stretch / 2)
		}
		total, n, signed = total+math.Abs(d), n+1, signed+d
	}
	return total / max(n, 1), signed >= 0
}

// halved drops every other beat where these are off-beats. The faster the
// count, the less it takes.
func halved(h *heard, beats []time.Duration) []time.Duration {
	bpm := medianBPM(beats)
	strength, even := alternation(h, beats)
	if bpm < 110 || strength < 1.45-0.3*math.Log2(bpm/120) {
		return beats
	}
	var out []time.Duration
	for i, t := range beats {
		if (i%2 == 0) == even {
			out = append(out, t)
		}
	}
	return out
}

// beatWeights tell beats from off-beats: bass and new harmony come on the beat,
// whatever is stressed (common practice, no source).
var beatWeights = accentWeights{low: 1, loud: 0.2, harmony: 0.6}

// leastShift is the evidence above which the middles between the beats are
// taken for the beats.
const leastShift = 0.8

// phaseEvidence says how much more the middles between the beats sound like
// beats than the beats do, in deviations; it is negative for the beats.
func phaseEvidence(h *heard, beats []time.Duration) float64 {
	all := slices.Sorted(slices.Values(append(between(beats), beats...)))
	if len(all) < 8 {
		return 0
	}
	weight := accentsBy(h, all, beatWeights)
	var on, off, nOn, nOff float64
	k := 0
	for i, t := range all {
		if k < len(beats) && beats[k] == t {
			on, nOn = on+weight[i], nOn+1
			k++
		} else {
			off, nOff = off+weight[i], nOff+1
		}
	}
	return off/max(nOff, 1) - on/max(nOn, 1)
}
