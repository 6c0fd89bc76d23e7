package retake

import "math"

// A sheet holds, for anchors along a run, the agreement of signs at each lag from
// a first line. A straight run shows in it as a line of high agreement, which no
// periodic tone can lead astray: tones repeat at one anchor, not along the line.
type sheet struct {
	at    []float64
	first []float64   // old place of each anchor by the first line
	rise  [][]float32 // by anchor and lag: agreement beyond chance, squared
}

const (
	sheetAnchors = 64
	sheetReach   = 320 // lags to both sides: 64 ms
	// lineReach is how far off the first line may be at the ends of the run and
	// as a whole, samples: 20 ms.
	lineReach = 0.020 * rate
	// mostTilt is how far off the first slope may be at most, for short runs.
	mostTilt = 0.012
)

// anchorTimes are spread over the run where the new track is not quiet.
func (a *aligner) anchorTimes(r *run) (at []float64) {
	n := int(math.Min(math.Max((r.to-r.from+rate)/anchorStep, 4), sheetAnchors))
	for k := range n {
		x := r.from - rate/2 + (r.to-r.from+rate)*(float64(k)+0.5)/float64(n)
		if a.t.levelAt(x) > 0 {
			at = append(at, x)
		}
	}
	return at
}

// newSheet fills a sheet about the run's line. What chance gives, up to 0.53 of the signs,
// counts nothing; squared, few anchors that agree well outweigh many that agree a little.
func (a *aligner) newSheet(r *run, scale float64) *sheet {
	s := &sheet{at: a.anchorTimes(r)}
	var counts []int
	for _, at := range s.at {
		old := r.place(at)
		s.first = append(s.first, old)
		counts = a.agreement(counts, at, old, scale, anchorBits, sheetReach)
		row := make([]float32, len(counts))
		for i, c := range counts {
			x := float32(c)/anchorBits - 0.53
			row[i] = max(x, 0) * max(x, 0)
		}
		s.rise = append(s.rise, row)
	}
	return s
}

// score sums along the line that lies shift off the first one at the time mid, and
// tilt more for each sample from there.
func (s *sheet) score(mid, shift, tilt float64) (sum float32) {
	for i, row := range s.rise {
		lag := int(math.Round(shift+tilt*(s.at[i]-mid))) + sheetReach
		if lag >= 0 && lag < len(row) {
			sum += row[lag]
		}
	}
	return sum
}

// search finds the best line, and the score of the best one at a given tilt. Tilts are
// tried in steps that move the ends by half a sample, shifts in whole samples; anchorsNear
// finds the rest.
func (s *sheet) search(mid, half, exact float64) (shift, tilt float64, best, bestExact float32, exactShift float64) {
	most := math.Min(lineReach/half, mostTilt)
	steps := int(math.Ceil(most * half / 0.5)) // half a sample at the ends
	for k := -steps; k <= steps; k++ {
		x := most * float64(k) / float64(max(steps, 1))
		for lag := -lineReach; lag <= lineReach; lag++ {
			if v := s.score(mid, float64(lag), x); v > best {
				best, shift, tilt = v, float64(lag), x
			}
		}
	}
	if math.Abs(exact) <= most {
		for lag := -lineReach; lag <= lineReach; lag++ {
			if v := s.score(mid, float64(lag), exact); v > bestExact {
				bestExact, exactShift = v, float64(lag)
			}
		}
	}
	return shift, tilt, best, bestExact, exactShift
}

// straighten finds the straight line of a run whose pitch goes with its speed.
func (a *aligner) straighten(r *run) {
	mid := (r.from + r.to) / 2
	half := math.Max((r.to-r.from+rate)/2, rate/2)
	for range 2 {
		s := a.newSheet(r, r.slope)
		if len(s.at) == 0 {
			return
		}
		shift, tilt, best, unity, unityShift := s.search(mid, half, 1-r.slope)
		if unity >= 0.95*best { // nobody changes the speed by so little
			shift, tilt = unityShift, 1-r.slope
		}
		old := r.place(mid) + shift
		r.at, r.old, r.slope = mid, old, r.slope+tilt
		if math.Abs(tilt) < 0.0003 {
			return
		}
	}
}

// anchorsNear takes the anchors that lie on the run's line within a few samples.
func (a *aligner) anchorsNear(r *run) (anchors []anchor) {
	const reach = 6
	at := r.from - rate/2
	for ; at < r.to+rate/2; at += anchorStep {
		if a.t.levelAt(at) == 0 {
			continue
		}
		lag, height := peak(a.agreement(nil, at, r.place(at), r.slope, anchorBits, reach), reach)
		if agree := height / anchorBits; agree > together+0.02 && math.Abs(lag) < reach {
			anchors = append(anchors, anchor{at, r.place(at) + lag, agree})
		}
	}
	return anchors
}
