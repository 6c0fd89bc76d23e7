package soundtrack

import (
	"cmp"
	"fmt"
	"slices"
	"time"
)

// striker turns chosen peaks into moments with all that is known of them.
type striker struct {
	h         *heard
	peaks     []peak
	sums      []float64 // prefix sums of power
	low       []float64 // prefix sums of the low bands' level
	programme float64
	marks     []time.Duration // openings of bars and sections
}

// hits makes a ranked moment of each peak.
func hits(h *heard, peaks []peak, programme float64, marks []time.Duration) []Moment {
	s := &striker{h: h, peaks: peaks, sums: prefix(h.Power), low: prefixBytes(h.Level[0]), programme: programme, marks: marks}
	var out []Moment
	for i := range peaks {
		m := s.describe(i)
		w := s.weigh(i, m)
		m.Strength = w.total()
		m.Why = w.words(m)
		out = append(out, m)
	}
	// Moments stay in order of time; only their ranks go by strength, earlier ones first among
	// equals.
	order := make([]int, len(out))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(out[b].Strength, out[a].Strength) })
	for r, i := range order {
		out[i].Rank = r + 1
	}
	return out
}

// prefixBytes is prefix for levels.
func prefixBytes(x []uint8) []float64 {
	s := make([]float64, len(x)+1)
	for i, v := range x {
		s[i+1] = s[i] + float64(v)
	}
	return s
}

// bass is the mean level of the low bands in blocks a to b, dB.
func (s *striker) bass(a, b int) float64 {
	last := len(s.low) - 1
	a, b = min(max(a/2, 0), last), min(max(b/2, 0), last)
	if b <= a {
		return -90
	}
	return (s.low[b] - s.low[a]) / float64(b-a) * 90 / 255
}

// mean is the loudness of blocks a to b.
func (s *striker) mean(a, b int) float64 {
	a, b = min(max(a, 0), len(s.h.Power)), min(max(b, 0), len(s.h.Power))
	if b <= a {
		return nothing
	}
	return loudnessOf((s.sums[b] - s.sums[a]) / float64(b-a))
}

// describe fills in what can be measured of hit i: the loudness of 50 ms before it, and after
// it the greatest of three windows of 50 ms, since a soft attack takes time to arrive.
func (s *striker) describe(i int) Moment {
	p := s.peaks[i]
	look := p.Portrait
	length := s.h.duration()
	at := min(max(time.Duration(p.Time*float64(time.Second)), 0), length)
	k := int(p.Time * blockRate)
	m := Moment{Kind: Hit, Time: at,
		Before: s.mean(k-5, k),
		After:  max(s.mean(k, k+5), s.mean(k+2, k+7), s.mean(k+4, k+9)),
		Attack: time.Duration(float64(look.Attack) * float64(time.Second)),
		Band:   [2]float64{float64(look.Band[0]), float64(look.Band[1])},
	}
	m.Decay = s.decay(i, k)
	m.End = min(at+m.Decay, length)
	slack := doubt(p.Score, m.Attack)
	m.Low, m.High = max(at-slack, 0), min(at+slack, length)
	m.Sort = sortOf(look, m.Decay)
	return m
}

// doubt is half the interval in which nine of ten attacks of this sureness and
// length began; measured on truth's rendered scores.
func doubt(score float64, attack time.Duration) time.Duration {
	d := 4*time.Millisecond + attack/6 + time.Duration((1-score)*float64(12*time.Millisecond))
	return min(d, 40*time.Millisecond)
}

// decay is the time from block k until the sound has fallen by 20 dB from its
// loudest, or until the next hit or 6 s.
func (s *striker) decay(i, k int) time.Duration {
	end := min(k+6*blockRate, len(s.h.Power))
	if i+1 < len(s.peaks) {
		end = min(end, int(s.peaks[i+1].Time*blockRate))
	}
	top, at := float64(nothing), k
	for j := k; j < end; j++ {
		v := s.mean(j, j+3)
		// The loudest is sought within 150 ms; what grows louder later is another sound.
		if v > top && j < k+15 {
			top, at = v, j
		}
		if v < top-20 {
			return time.Duration(j-at) * hop
		}
	}
	return time.Duration(max(end-at, 0)) * hop
}

// sortOf names a hit by its colour: short bass, tones, or noise that is short
// or long.
func sortOf(p portrait, decay time.Duration) string {
	switch {
	case p.Low > 0.5 && decay < 600*time.Millisecond:
		return "struck low"
	case p.Peaky > tonalPeaks:
		return "tonal"
	case decay < 250*time.Millisecond:
		return "struck bright"
	}
	return "noise burst"
}

// tonalPeaks is the mean step between neighbouring bands, dB, that parts tones
// from noise.
const tonalPeaks = 5.5

// words says why the hit is where it is.
func (w salience) words(m Moment) string {
	rise := fmt.Sprintf("rises %.0f LU to %.0f LUFS", max(0, m.After-m.Before), m.After)
	if m.Before < -70 {
		rise = fmt.Sprintf("out of silence to %.0f LUFS", m.After)
	}
	text := fmt.Sprintf("%s, %.0f Hz to %.0f Hz, %s in %d ms", m.Sort, m.Band[0], m.Band[1], rise, max(1, m.Attack.Milliseconds()))
	for _, f := range []struct {
		value float64
		words string
	}{{w.shock, "far above what went before"}, {w.alone, "stands alone"}, {w.fresh, "new sound"}, {w.place, "opens a bar or section"}} {
		if f.value > 0.6 {
			text += ", " + f.words
		}
	}
	return text
}
