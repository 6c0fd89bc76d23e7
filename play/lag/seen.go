package lag

import (
	"math"
	"slices"
)

// FlashFor is how long a flash lasts, in s: the longest exposure and two frames of 24 a second
// fit into it, so that one frame at least is lit from end to end though a unit is slow.
const FlashFor = .15

// Where the light is looked for, in s about the time at which the sound is heard: a phone's
// camera may be some hundreds of ms behind, a hall's sound 100.
const (
	widest = .8
	coarse = .01
)

// sample is one band of one frame about the beginning of one flash.
type sample struct {
	after float64 // s of the frame after the light was sent
	row   float64 // -.5 for the first row to .5 for the last
	lit   float64 // 0 for dark, 1 for lit
	sure  float64 // weight
}

// even smooths the times of frames: a camera takes them evenly, and many browsers say only
// when they were handed over. Where the rate changes, as in the dark, they stay as they are.
func even(frames []Frame) (times []float64, period float64) {
	var steps []float64
	for i := range frames {
		times = append(times, frames[i].At)
		if i > 0 {
			steps = append(steps, frames[i].At-frames[i-1].At)
		}
	}
	period = median(steps)
	if period <= 0 {
		return times, 0
	}
	// A clock that follows the frames slowly counts them, also those that were lost.
	count := make([]float64, len(times))
	odd, next := 0, times[0]
	for i := 1; i < len(times); i++ {
		n := max(math.Round((times[i]-next)/period), 0)
		miss := times[i] - next - n*period
		if math.Abs(miss) > .3*period {
			odd++
		}
		count[i] = count[i-1] + n
		next += n*period + .1*miss
		period += .002 * miss
	}
	if odd*5 > len(steps) || len(times) < 20 {
		return times, period
	}
	n := len(times)
	period = (median(times[n-10:]) - median(times[:10])) / (median(count[n-10:]) - median(count[:10]))
	const half = 30
	late := make([]float64, len(times))
	for i := range times {
		late[i] = times[i] - count[i]*period
	}
	smooth := make([]float64, len(times))
	for i := range times {
		a, b := max(i-half, 0), min(i+half+1, len(times))
		smooth[i] = count[i]*period + median(late[a:b])
	}
	return smooth, period
}

// seen collects what the frames say of the flashes, in the show's time: flashes that are not
// seen are none.
func seen(frames []Frame, at []float64, repeats []Repeat) ([][]sample, float64) {
	mean := make([]float64, len(frames))
	for i, f := range frames {
		for _, v := range f.Rows {
			mean[i] += v / float64(len(f.Rows))
		}
	}
	// Roughly: where the picture is brighter within a flash than about it.
	best, shift := 0.0, 0.0
	for d := -widest; d <= widest; d += coarse {
		var gains []float64
		for _, r := range repeats {
			in, ni, out, no := 0.0, 0, 0.0, 0
			for i := from(at, r.Flash+d-.15); i < len(at) && at[i] < r.Flash+d+FlashFor+.1; i++ {
				switch p := at[i] - r.Flash - d; {
				case p >= 0.02 && p < FlashFor:
					in, ni = in+mean[i], ni+1
				case p < 0 || p > FlashFor+.05:
					out, no = out+mean[i], no+1
				}
			}
			if ni > 0 && no > 0 {
				gains = append(gains, in/float64(ni)-out/float64(no))
			}
		}
		up := 0
		for _, g := range gains {
			if g > 0 {
				up++
			}
		}
		if g := median(gains); len(gains)*2 > len(repeats) && up*4 > len(gains)*3 && g > best {
			best, shift = g, d
		}
	}
	if best == 0 {
		return nil, 0
	}
	return about(frames, at, repeats, shift), shift
}

// about collects what the frames say when the light comes so long after it was sent.
func about(frames []Frame, at []float64, repeats []Repeat, shift float64) [][]sample {
	var out [][]sample
	for _, r := range repeats {
		if s := samples(frames, at, r.Flash, shift); len(s) > 0 {
			out = append(out, s)
		}
	}
	return out
}

func from(at []float64, t float64) int {
	i, _ := slices.BinarySearch(at, t)
	return i
}

// Where the frames of a flash are dark, and where they say when it began, in s about the
// coarse beginning.
const (
	darkFrom, darkTo = -.22, -.09
	edge             = .1
	leastGain        = .003 // of the camera's range, for a band to be lit
	grains           = 4    // times the noise of the band in the dark, for the same
)

// coded is the exponent by which pictures are coded (sRGB, IEC 61966-2-1, as one exponent;
// from memory). What a camera does beside that, the curve takes in.
const coded = 2.2

// together makes at most 8 bands of those that came, which is enough for how rows are read, in
// shares of light.
func together(rows []float64) []float64 {
	n := max((len(rows)+7)/8, 1)
	var out []float64
	for i := 0; i < len(rows); i += n {
		sum := 0.0
		part := rows[i:min(i+n, len(rows))]
		for _, v := range part {
			sum += v / float64(len(part))
		}
		out = append(out, math.Pow(max(sum, 0), coded))
	}
	return out
}

// noisy is how far values lie from their middle, as a deviation (MAD, Hampel 1974).
func noisy(v []float64, middle float64) float64 {
	far := make([]float64, len(v))
	for i := range v {
		far[i] = math.Abs(v[i] - middle)
	}
	return 1.48 * median(far)
}

func samples(frames []Frame, at []float64, flash, shift float64) []sample {
	zero := flash + shift
	first, last := from(at, zero+darkFrom), from(at, zero+FlashFor+.05)
	if first >= last {
		return nil
	}
	var out []sample
	bands := len(frames[first].Rows)
	for b := range bands {
		var dark, lit []float64
		for i := first; i < last; i++ {
			if len(frames[i].Rows) != bands {
				return nil
			}
			switch p := at[i] - zero; {
			case p < darkTo:
				dark = append(dark, frames[i].Rows[b])
			case p > 0.02:
				lit = append(lit, frames[i].Rows[b])
			}
		}
		if len(dark) == 0 || len(lit) == 0 {
			continue
		}
		low := median(dark)
		slices.Sort(lit)
		gain := lit[len(lit)-1] - low
		if len(lit) > 2 { // one bright speck is no lamp
			gain = (lit[len(lit)-1]+lit[len(lit)-2])/2 - low
		}
		if gain < max(leastGain, grains*noisy(dark, low)) {
			continue
		}
		for i := first; i < last; i++ {
			if p := at[i] - zero; p > -edge && p < edge {
				out = append(out, sample{
					after: at[i] - flash, row: (float64(b)+.5)/float64(bands) - .5,
					lit: max(-.5, min(1.5, (frames[i].Rows[b]-low)/gain)), sure: min(gain/.02, 1),
				})
			}
		}
	}
	return out
}
