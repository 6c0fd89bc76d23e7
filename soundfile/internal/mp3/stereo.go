package mp3

import "math"

// stereo undoes joint stereo coding in place (2.4.3.4.9; 13818-3, 2.4.3.2).
// right holds the scale factors of the right channel, which under intensity
// coding are positions.
func (g *granule) stereo(h *Header, info *[2]channelInfo, right *scaleFactors) {
	switch {
	case h.is:
		g.intensity(h, &info[1], right)
	case h.ms:
		used := max(g.used[0], g.used[1])
		midSide(g.line[0][:used], g.line[1][:used])
		g.used[0], g.used[1] = used, used
	}
}

// midSide turns sum and difference, which carry the factor 1/√2 already, into
// left and right.
func midSide(a, b []float32) {
	b = b[:len(a)]
	for i, m := range a {
		s := b[i]
		a[i], b[i] = m+s, m-s
	}
}

// intensity handles bands above the last one that the right channel codes: the
// left channel's lines go to both sides. Bands below are as they are, or
// mid/side.
func (g *granule) intensity(h *Header, c *channelInfo, right *scaleFactors) {
	l := c.layout(*h)
	coded := g.lastCoded(l)
	// The last band has no factor of its own and takes that of the one before.
	windows := 1
	if l.long < l.n {
		windows = 3
	}
	for w := range windows {
		last := l.n - windows + w
		right.value[last], right.illegal[last] = right.value[last-windows], right.illegal[last-windows]
	}
	at := 0
	for band, w := range l.width[:l.n] {
		a, b := g.line[0][at:at+w], g.line[1][at:at+w]
		at += w
		kind := 0
		if band >= l.long {
			kind = (band - l.long) % 3
		}
		left, rightGain, ok := panning(h, c, int(right.value[band]), right.illegal[band])
		switch {
		case band > coded[kind] && ok:
			for i, v := range a {
				a[i], b[i] = v*left, v*rightGain
			}
		case h.ms:
			midSide(a, b)
		}
	}
	// A panned channel reaches as far as the other one.
	used := max(g.used[0], g.used[1])
	if l.long < l.n {
		used = lines
	}
	g.used[0], g.used[1] = used, used
}

// lastCoded returns for each of three windows the last band of the right channel
// that is not all zero; a long band counts for all three.
func (g *granule) lastCoded(l *layout) (last [3]int) {
	last = [3]int{-1, -1, -1}
	at := 0
	for band, w := range l.width[:l.n] {
		for _, v := range g.line[1][at : at+w] {
			if v == 0 {
				continue
			}
			if band < l.long {
				last = [3]int{band, band, band}
			} else {
				last[(band-l.long)%3] = band
			}
			break
		}
		at += w
	}
	return last
}

// panning returns the factors of left and right at a position. ok is false for a band
// that is not coded by intensity though it lies above all that the right channel codes. In
// mid/side frames the lines carry 1/√2, which does not belong to intensity bands.
//
// In MPEG-1 seven positions go from right to left; in MPEG-2 one side is whole and the
// other is 2^(-¼) or 2^(-½) to the power of half the position, rounded up; odd positions
// are quieter at the left.
func panning(h *Header, c *channelInfo, position int, illegal bool) (left, right float32, ok bool) {
	undo := 1.0
	if h.ms {
		undo = math.Sqrt2
	}
	if h.Version == MPEG1 {
		if position >= 7 {
			return 0, 0, false
		}
		r := float64(undo) * panLeft[position]
		return float32(r), float32(undo) - float32(r), true
	}
	if illegal {
		return 0, 0, false
	}
	step := 0.25 // intensity_scale
	if c.compress&1 != 0 {
		step = 0.5
	}
	k := float32(undo * math.Exp2(-step*float64((position+1)/2)))
	if position%2 == 1 {
		return k, float32(undo), true
	}
	return float32(undo), k, true
}

// panLeft is r/(1+r) for r = tan(position·π/12) (2.4.3.4.9.3).
var panLeft = func() (t [7]float64) {
	for i := range t {
		s, c := math.Sincos(float64(i) * math.Pi / 12)
		t[i] = s / (s + c)
	}
	return t
}()
