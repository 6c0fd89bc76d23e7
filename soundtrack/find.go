package soundtrack

import (
	"fmt"
	"time"
)

// find turns what was heard into moments.
func find(h *heard, o Options) *Track {
	t := &Track{
		Duration: h.duration(), Rate: h.Rate, Channels: h.Channels,
		Loudness:  Curve{hop, sliding(h.Power, 40)},
		ShortTerm: Curve{10 * hop, every(sliding(h.Power, 300), 10)},
		Programme: programmeLoudness(h.Power),
		Range:     loudnessRange(h.Power),
		Overview:  Overview{2 * hop, h.Level[0], h.Level[1], h.Level[2]},
	}
	t.Moments = append(t.Moments, hushes(h.Power, t.Programme)...)
	t.Moments = append(t.Moments, hits(h)...)
	sortMoments(t.Moments)
	return t
}

func every(x []float32, n int) []float32 {
	var out []float32
	for i := 0; i < len(x); i += n {
		out = append(out, x[i])
	}
	return out
}

func hits(h *heard) []Moment {
	all := make([]float32, len(h.Flux[0]))
	for i := range all {
		all[i] = (float32(lowBands)*h.Flux[0][i] + float32(midBands-lowBands)*h.Flux[1][i] +
			float32(bandCount-midBands)*h.Flux[2][i]) / bandCount
	}
	var out []Moment
	for _, i := range (picker{reach: 3, before: 10, after: 7, over: 0.25, gap: 3}).peaks(all) {
		at := time.Duration((crest(all, i) + fluxBias) * float64(hop))
		at = min(max(at, 0), h.duration())
		out = append(out, Moment{
			Kind: Hit, Time: at, End: at, Strength: min(1, float64(all[i])/6),
			Why: fmt.Sprintf("the spectrum rises by %.1f dB within 10 ms", 3.01*all[i]),
		})
	}
	return out
}

// fluxBias is how far the flux of an attack leads the attack, in frames.
const fluxBias = 0.8
