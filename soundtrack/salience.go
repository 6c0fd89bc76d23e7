package soundtrack

import (
	"math"
	"slices"
	"time"
)

// salience is why a hit is worth lighting; each part runs from 0 to 1.
type salience struct {
	rise  float64 // of loudness within 50 ms
	loud  float64 // beside the programme
	shock float64 // of 400 ms after, beside 3 s before
	alone float64 // nothing as loud shortly before or after
	bass  float64 // that comes and stays for a second
	fresh float64 // unlike the hits before
	place float64 // on the opening of a bar or section
	sure  float64 // that it is a hit
}

// total weighs the parts. The weights were found by random search on the
// thunder of truth.Collage, seeds 1 to 10, held near a first guess and to the
// order of the demo's accents.
func (w salience) total() float64 {
	sum := 0.368*w.loud + 0.213*w.shock + 0.207*w.fresh + 0.087*w.bass + 0.062*w.alone + 0.037*w.place + 0.025*w.rise
	return min(1, sum*(0.35+0.65*w.sure))
}

// unit holds a value between 0 and 1.
func unit(v float64) float64 { return min(max(v, 0), 1) }

// weigh judges hit i, described as m. Each divisor is what counts as a full rise in that
// respect (LU or dB); with the limits of time about them they are a first guess that the
// search for the weights was held near.
func (s *striker) weigh(i int, m Moment) salience {
	p := s.peaks[i]
	k := int(p.Time * blockRate)
	ahead, behind := s.mean(k, k+40), max(s.mean(k-300, k-2), s.programme-30)
	return salience{
		rise:  unit((m.After - m.Before) / 20),
		loud:  unit((m.After - s.programme + 8) / 20),
		shock: unit((ahead - behind) / 14),
		alone: s.alone(i, m.After),
		bass:  unit((s.bass(k+10, k+120) - s.bass(k-300, k-4)) / 15),
		fresh: s.fresh(i),
		place: s.place(m.Time),
		sure:  unit((p.Score - enoughScore) / (1 - enoughScore)),
	}
}

// alone is the distance to the nearest hit that is as loud within 6 LU: 0 at
// 0.1 s, 1 at 3 s, by its logarithm.
func (s *striker) alone(i int, loudness float64) float64 {
	const reach = 3.0
	at, nearest := s.peaks[i].Time, reach
	rival := func(j int) bool {
		k := int(s.peaks[j].Time * blockRate)
		return s.mean(k, k+5) > loudness-6
	}
	for j := i - 1; j >= 0 && at-s.peaks[j].Time < nearest; j-- {
		if rival(j) {
			nearest = at - s.peaks[j].Time
		}
	}
	for j := i + 1; j < len(s.peaks) && s.peaks[j].Time-at < nearest; j++ {
		if rival(j) {
			nearest = s.peaks[j].Time - at
		}
	}
	return unit(math.Log(nearest/0.1) / math.Log(reach/0.1))
}

// remembered is the number of hits before that a hit is compared with.
const remembered = 24

// fresh is how little a hit is like the likest of those before.
func (s *striker) fresh(i int) float64 {
	if i == 0 {
		return 1
	}
	least := math.Inf(1)
	for j := max(0, i-remembered); j < i; j++ {
		d := 0.0
		for k, v := range s.peaks[i].Portrait.Likes {
			d += math.Abs(float64(v) - float64(s.peaks[j].Portrait.Likes[k]))
		}
		least = min(least, d)
	}
	return unit(least / 150)
}

// place is 1 where a bar or section opens within 60 ms.
func (s *striker) place(t time.Duration) float64 {
	i, _ := slices.BinarySearch(s.marks, t-60*time.Millisecond)
	if i < len(s.marks) && s.marks[i] <= t+60*time.Millisecond {
		return 1
	}
	return 0
}
