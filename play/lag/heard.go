package lag

import (
	"errors"
	"math"
	"slices"
)

// What can be wrong with a recording.
var (
	ErrNotHeard = errors.New("the clicks were not found in what the microphone heard")
	ErrNotSeen  = errors.New("the flashes were not found in what the camera saw")
)

// drift bounds how much two clocks of quartz may differ, with much to spare.
const drift = 500e-6

// line is phone = at + rate times the other clock.
type line struct{ at, rate float64 }

func (l line) of(t float64) float64   { return l.at + l.rate*t }
func (l line) back(t float64) float64 { return (t - l.at) / l.rate }

// level is what the microphone heard as one row of bins.
type level struct {
	values []float64
	time   line // of a bin's beginning, by its index
}

// joined puts blocks together. Blocks are handed over late by chance and never early: the line
// under all of their times that touches them about the middle is their clock, with the least
// delay in it.
func joined(blocks []Block, bin float64) level {
	var out level
	type point struct{ n, late float64 }
	var hull []point
	for _, b := range blocks {
		out.values = append(out.values, b.Levels...)
		n := float64(len(out.values))
		p := point{n, b.At - n*bin}
		for len(hull) >= 2 {
			a, c := hull[len(hull)-2], hull[len(hull)-1]
			if (c.late-a.late)*(p.n-a.n) < (p.late-a.late)*(c.n-a.n) {
				break
			}
			hull = hull[:len(hull)-1]
		}
		hull = append(hull, p)
	}
	out.time = line{0, bin}
	if len(hull) > 0 {
		out.time.at = hull[0].late
	}
	for i := 1; i < len(hull); i++ {
		a, b := hull[i-1], hull[i]
		if b.n < float64(len(out.values))/2 {
			continue
		}
		slope := (b.late - a.late) / (b.n - a.n)
		slope = max(-drift*bin, min(drift*bin, slope))
		out.time = line{b.late - slope*b.n, bin + slope}
		break
	}
	return out
}

// How the pattern of clicks is looked for.
const (
	combWidth = 8e-3   // s that a click is made wide, for clocks that drift
	combStep  = 4e-3   // s
	combLead  = 1.2    // by how much the best place must be better than any other
	before    = 40e-3  // s looked at before a click is expected
	after     = 60e-3  // and after
	noise     = 150e-3 // s before, which say how loud the room is
	loud      = 2.5    // times the room, to be a click
	onset     = .4     // of the peak: the sound has come
)

// heard finds the clicks, and returns the phone's clock by the show's, counted so that a click
// is heard when it is played.
func heard(r Recording, repeats []Repeat) (clock line, clicks int, spread []float64, err error) {
	l := joined(r.Blocks, r.Bin)
	guess, ok := comb(l, repeats)
	if !ok {
		return line{}, 0, nil, ErrNotHeard
	}
	var at, played []float64
	for _, rep := range repeats {
		if t, ok := l.onset(guess + rep.Click); ok {
			at, played = append(at, t), append(played, rep.Click)
		}
	}
	if len(at) < max(6, len(repeats)/3) {
		return line{}, 0, nil, ErrNotHeard
	}
	clock = theil(played, at)
	for i := range at {
		spread = append(spread, at[i]-clock.of(played[i]))
	}
	return clock, len(at), spread, nil
}

// comb is where the pattern of the clicks fits best, as the phone's time of the show's zero.
func comb(l level, repeats []Repeat) (float64, bool) {
	if len(l.values) == 0 || len(repeats) == 0 {
		return 0, false
	}
	wide := widened(l.values, int(combWidth/l.time.rate))
	first, last := l.time.of(0)-repeats[len(repeats)-1].Click, l.time.of(float64(len(l.values)))-repeats[0].Click
	var scores []float64
	for t := first; t <= last; t += combStep {
		sum, inside := 0.0, 0
		for _, rep := range repeats {
			if i := int(l.time.back(t + rep.Click)); i >= 0 && i < len(wide) {
				sum += wide[i]
				inside++
			}
		}
		if inside*3 < len(repeats)*2 {
			sum, inside = 0, 1
		}
		scores = append(scores, sum/float64(inside))
	}
	best := 0
	for i, s := range scores {
		if s > scores[best] {
			best = i
		}
	}
	for i, s := range scores {
		if far := int(100e-3 / combStep); (i < best-far || i > best+far) && s*combLead > scores[best] {
			return 0, false
		}
	}
	return first + float64(best)*combStep, scores[best] > 0
}

// widened gives each bin the most of those around it, above the room's own level, and none
// more than a click is likely to be: one door that slams is no pattern.
func widened(values []float64, half int) []float64 {
	sorted := slices.Sorted(slices.Values(values))
	floor, roof := sorted[len(sorted)/2], sorted[int(.995*float64(len(sorted)-1))]
	out := make([]float64, len(values))
	for i, v := range values {
		v = min(v, roof) - floor
		for j := max(i-half, 0); j <= min(i+half, len(out)-1) && v > 0; j++ {
			out[j] = max(out[j], v)
		}
	}
	return out
}

// onset is when a click that is expected at a time begins: where the level first comes to a
// part of its peak. What is added behind it by the room's walls does not move that.
func (l level) onset(expected float64) (float64, bool) {
	index := func(t float64) int { return int(l.time.back(t)) }
	from, to, quiet := index(expected-before), index(expected+after), index(expected-noise)
	if quiet < 0 || to >= len(l.values) || from-quiet < 4 {
		return 0, false
	}
	room := slices.Sorted(slices.Values(l.values[quiet:from]))
	usual := room[len(room)/2]
	peak := slices.Max(l.values[from:to])
	if peak < loud*room[len(room)*9/10] || peak == 0 {
		return 0, false
	}
	want := usual + onset*(peak-usual)
	for i := from + 1; i < to; i++ {
		if a, b := l.values[i-1], l.values[i]; b >= want {
			part := 0.0
			if b > a {
				part = max((want-a)/(b-a), 0)
			}
			return l.time.of(float64(i-1) + part + .5), true
		}
	}
	return 0, false
}

// theil lays a line through points by the median of their slopes, which some false ones do
// not move (Theil 1950; Sen 1968).
func theil(x, y []float64) line {
	var slopes []float64
	for i := range x {
		for j := range i {
			if d := x[i] - x[j]; math.Abs(d) > 5 {
				slopes = append(slopes, (y[i]-y[j])/d)
			}
		}
	}
	out := line{0, 1}
	if len(slopes) > 0 {
		out.rate = max(1-2*drift, min(1+2*drift, median(slopes)))
	}
	rest := make([]float64, len(x))
	for i := range x {
		rest[i] = y[i] - out.rate*x[i]
	}
	out.at = median(rest)
	return out
}

func median(v []float64) float64 {
	s := slices.Sorted(slices.Values(v))
	n := len(s)
	if n == 0 {
		return 0
	}
	return (s[(n-1)/2] + s[n/2]) / 2
}
