package lag

import (
	"math"
	"math/rand/v2"
	"slices"
	"time"
)

// curve is how a band of a frame answers to a flash.
type curve struct {
	light    float64 // s after it was sent that it is in the middle of the picture, at the middle of an exposure
	readout  float64 // s from the first row to the last
	exposure float64 // s
	bend     float64 // exponent of brightness
}

// of is how much of an exposure is lit: it ends when its row is read.
func (c curve) of(s *sample) float64 {
	z := (s.after+s.row*c.readout-c.light)/c.exposure + .5
	switch {
	case z <= 0:
		return 0
	case z >= 1:
		return 1
	}
	return math.Pow(z, c.bend)
}

// Bounds of a curve: rows are read within 40 ms, an exposure is no longer than a frame of 24 a
// second; a picture that is blown out bends it down, one that is coded less than usual up.
const (
	leastExposure, mostExposure = 2e-3, 42e-3
	mostReadout                 = 40e-3
	leastBend, mostBend         = .3, 2.5
)

func (c curve) fits() bool {
	return c.exposure >= leastExposure && c.exposure <= mostExposure && math.Abs(c.readout) <= mostReadout && c.bend >= leastBend && c.bend <= mostBend
}

// outlying is from where a miss counts by its size and no longer by its square (Huber 1964).
const outlying = .15

func (c curve) misses(flashes [][]sample) float64 {
	sum := 0.0
	for _, f := range flashes {
		for i := range f {
			m := math.Abs(c.of(&f[i]) - f[i].lit)
			if m > outlying {
				m = 2*outlying*m - outlying*outlying
			} else {
				m *= m
			}
			sum += f[i].sure * m
		}
	}
	return sum
}

// fitted is the curve that misses least, from a coarse place of the light on.
func fitted(flashes [][]sample, shift float64) curve {
	thin := flashes
	if len(thin) > 20 { // a third is enough to begin with
		thin = nil
		for i := 0; i < len(flashes); i += 3 {
			thin = append(thin, flashes[i])
		}
	}
	best, least := curve{}, math.Inf(1)
	for light := shift - .05; light <= shift+.05; light += 4e-3 {
		for readout := -.03; readout <= .0301; readout += 7.5e-3 {
			for _, exposure := range []float64{4e-3, 12e-3, 30e-3} {
				c := curve{light, readout, exposure, 1}
				if m := c.misses(thin); m < least {
					best, least = c, m
				}
			}
		}
	}
	return best.better(flashes, 4e-3)
}

// better goes downhill from a curve, one unknown after another, by steps that it halves
// (pattern search, Hooke and Jeeves 1961).
func (c curve) better(flashes [][]sample, step float64) curve {
	least := c.misses(flashes)
	for ; step > 1e-4; step /= 2 {
		for range 12 {
			moved := false
			for _, try := range []curve{
				{light: step}, {light: -step}, {readout: 2 * step}, {readout: -2 * step}, {exposure: 2 * step}, {exposure: -2 * step},
				{bend: 50 * step}, {bend: -50 * step}, {light: step, exposure: 2 * step}, {light: -step, exposure: -2 * step},
			} {
				n := curve{c.light + try.light, c.readout + try.readout, c.exposure + try.exposure, c.bend + try.bend}
				if !n.fits() {
					continue
				}
				if m := n.misses(flashes); m < least {
					c, least, moved = n, m, true
				}
			}
			if !moved {
				break
			}
		}
	}
	return c
}

// onset is when a flash begins for its frames, after it was sent: where it would, if it were
// there at once and fully, to bring them as much light until the time that is given as it did.
// Frames fall anywhere on a flash, so that in the mean over many it does not matter how
// far they are apart; how rows are read shifts each band by its own.
func (c curve) onset(s []sample, middle float64) (when, sure float64) {
	from, to := middle-.09, middle+.09
	for i := 0; i < len(s); {
		at, was, dark := from, 0.0, 0.0 // as long as the light was not there
		weight, row := s[i].sure, s[i].row
		for ; i < len(s) && s[i].row == row; i++ {
			if t := s[i].after + row*c.readout; t > from && t < to {
				dark += (t - at) * (1 - (was+s[i].lit)/2)
				at, was = t, s[i].lit
			}
		}
		dark += (to - at) * (1 - (was+1)/2)
		when, sure = when+weight*(from+dark), sure+weight
	}
	return when / sure, sure
}

// Estimate says what a recording tells of the repeats that were played.
func Estimate(r Recording, repeats []Repeat) (Result, error) {
	clock, clicks, spread, err := heard(r, repeats)
	if err != nil {
		return Result{}, err
	}
	frames := make([]Frame, len(r.Frames))
	for i, f := range r.Frames {
		frames[i] = Frame{f.At, together(f.Rows)}
	}
	at, period := even(frames)
	for i := range at {
		at[i] = clock.back(at[i])
	}
	flashes, shift := seen(frames, at, repeats)
	if len(flashes) < max(6, len(repeats)/3) || period <= 0 {
		return Result{}, ErrNotSeen
	}
	c := fitted(flashes, shift)
	middle := c.light
	var onsets []float64
	for range 2 { // once more about the middle of what came out
		onsets = onsets[:0]
		for _, f := range about(frames, at, repeats, middle) {
			when, _ := c.onset(f, middle)
			onsets = append(onsets, when)
		}
		middle = median(onsets)
	}
	row, rows := placed(flashes)
	light, half := mean(onsets)
	sound, halfSound := mean(spread)
	best, wide := seconds(sound-light), seconds(math.Hypot(half, halfSound))
	return Result{
		Behind: Interval{best, best - wide, best + wide}, Rate: 1 / period,
		Readout: seconds(c.readout), Exposure: seconds(c.exposure), Flashes: len(onsets), Clicks: clicks,
		row: row, spread: rows,
	}, nil
}

// placed is the middle and the variance of where in the picture the light was.
func placed(flashes [][]sample) (middle, variance float64) {
	sum, squares, n := 0.0, 0.0, 0.0
	for _, f := range flashes {
		for _, s := range f {
			sum, squares, n = sum+s.sure*s.row, squares+s.sure*s.row*s.row, n+s.sure
		}
	}
	middle = sum / n
	return middle, max(squares/n-middle*middle, 0)
}

// mean is that of values without those that lie far out, and half its 95 % interval: by the
// deviation of a mean, wider for few as Student's t is (within 1 % from 6 on; NIST/SEMATECH
// e-Handbook 1.3.6.7.2).
func mean(v []float64) (best, half float64) {
	middle := median(v)
	far := 4 * max(noisy(v, middle), 1e-4)
	sum, squares, n := 0.0, 0.0, 0.0
	for _, x := range v {
		if d := x - middle; math.Abs(d) <= far {
			sum, squares, n = sum+d, squares+d*d, n+1
		}
	}
	m := sum / n
	variance := max(squares/n-m*m, 0) * n / max(n-1, 1)
	student := 1.96 + 2.4/max(n-1, 1) + 3.1/max((n-1)*(n-1), 1)
	return middle + m, student * math.Sqrt(variance/n)
}

func seconds(s float64) time.Duration { return time.Duration(math.Round(s * 1e9)) }

func hypot(a, b time.Duration) time.Duration {
	return time.Duration(math.Hypot(float64(a), float64(b)))
}

func abs(d time.Duration) time.Duration { return max(d, -d) }

// Script draws when flashes and clicks of so many repeats come, in s: 0.75 to 1.05 s apart, so
// that there are never more than 1.4 flashes a second, with the flash up to 20 ms before or
// after its click. The same seed gives the same.
func Script(repeats int, seed uint64) []Repeat {
	rng := rand.New(rand.NewPCG(seed, 13))
	out := make([]Repeat, 0, repeats)
	at := 1.0
	for range repeats {
		out = append(out, Repeat{Flash: at + .04*(rng.Float64()-.5), Click: at})
		at += .75 + .3*rng.Float64()
	}
	return slices.Clip(out)
}
