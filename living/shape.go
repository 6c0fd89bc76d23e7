package living

import (
	"slices"
	"time"

	"lampblack/soundtrack"
)

// Pulse is a rise and a fall about each event, 0 to 1: 1 exactly at the event, from
// nothing within rise before it, to nothing within fall after it,
//
//	s²·(3-2s)   s = share of rise that is over
//	(1-u)²      u = share of fall that is over, which looks even (by the square law of dimmers)
//
// Where two overlap the greater counts.
func Pulse(events Beats, t, rise, fall time.Duration) float32 {
	i := events.Before(t)
	value := float32(0)
	if at := events.Time(i); at != Never && t-at < fall {
		u := float32(t-at) / float32(fall)
		value = (1 - u) * (1 - u)
	} else if at == t {
		return 1
	}
	if at := events.Time(i + 1); at != Never && at-t < rise {
		s := 1 - float32(at-t)/float32(rise)
		value = max(value, float32(s*s*(3-float32(2*s))))
	}
	return value
}

// Of a shape that is measured. What a beat adds is looked for over half a beat before it and
// most of one after it; its top within the reach of the analysis's window.
const (
	shapeStep   = 10 * time.Millisecond
	topWithin   = 120 * time.Millisecond
	mostShaped  = 400 // beats, spread over the piece
	leastShape  = .08 // of the range: less than this does not stand out
	quickest    = 20 * time.Millisecond
	usualRise   = 60 * time.Millisecond
	usualFall   = 400 * time.Millisecond
	risePart    = .608 // of a rise that lies from 10 to 90 % of s²·(3-2s)
	fallPart    = .632 // of a fall that lies from 90 to 10 % of (1-u)²
	mostOfABeat = .9
)

// Shape is the rise and fall, for Pulse, of the sound itself in a band: its level about
// the track's sure beats, or its hits where it has none, laid over each other and averaged. The
// times from 10 to 90 % of what stands out are measured, to some 20 ms, and scaled to the
// whole of Pulse's. Where nothing stands out, or without a track, it is 60 and 400 ms.
func Shape(track *soundtrack.Track, b Band) (rise, fall time.Duration) {
	if track == nil {
		return usualRise, usualFall
	}
	at := shaping(track)
	if len(at) < 2 {
		return usualRise, usualFall
	}
	interval := min(middle(at), longestBeat)
	before, after := interval/2, time.Duration(mostOfABeat*float64(interval))
	level := NewFollow(track, b, 0, 0)
	mean := make([]float64, int((before+after)/shapeStep)+1)
	every := (len(at) + mostShaped - 1) / mostShaped
	for i := 0; i < len(at); i += every {
		for k := range mean {
			mean[k] += float64(level.At(at[i] - before + time.Duration(k)*shapeStep))
		}
	}
	for k := range mean {
		mean[k] /= float64((len(at) + every - 1) / every)
	}
	return measured(mean, int(before/shapeStep))
}

// shaping is about what shapes are laid over each other: sure beats, else hits.
func shaping(track *soundtrack.Track) (at []time.Duration) {
	for _, m := range track.Of(soundtrack.Beat) {
		if m.Strength >= sureBeat {
			at = append(at, m.Time)
		}
	}
	if len(at) < 2 {
		at = nil
		for _, m := range track.Hits() {
			if n := len(at); n == 0 || m.Time-at[n-1] >= apart {
				at = append(at, m.Time)
			}
		}
	}
	return at
}

// measured is the rise to and the fall from the top of a mean level near its middle.
func measured(mean []float64, middle int) (rise, fall time.Duration) {
	reach := int(topWithin / shapeStep)
	from, to := max(middle-reach, 0), min(middle+reach, len(mean)-1)
	top := from
	for k := from; k <= to; k++ {
		if mean[k] > mean[top] {
			top = k
		}
	}
	before, after := slices.Clone(mean[:top+1]), mean[top:]
	slices.Reverse(before)
	rise, fall = usualRise, usualFall
	if d, ok := fallen(before); ok {
		rise = max(time.Duration(float64(d)/risePart), quickest)
	}
	if d, ok := fallen(after); ok {
		fall = max(time.Duration(float64(d)/fallPart), quickest)
	}
	return rise, fall
}

// fallen is the time that values take from 90 to 10 % of the way from the first to their
// least.
func fallen(values []float64) (time.Duration, bool) {
	low := slices.Min(values)
	if values[0]-low < leastShape {
		return 0, false
	}
	pass := func(share float64) float64 {
		goal := low + share*(values[0]-low)
		for k := 1; k < len(values); k++ {
			if values[k] <= goal {
				return float64(k) - (goal-values[k])/(values[k-1]-values[k])
			}
		}
		return float64(len(values) - 1)
	}
	return time.Duration((pass(.1) - pass(.9)) * float64(shapeStep)), true
}
