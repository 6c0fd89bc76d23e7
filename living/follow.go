package living

import (
	"math"
	"slices"
	"time"

	"lampblack/soundtrack"
)

// Band is what of the sound is followed.
type Band string

// The bands, with the edges of [soundtrack.Overview], and the spectral centre.
const (
	Low    Band = "low"  // below 200 Hz
	Mid    Band = "mid"  // to 2 kHz
	High   Band = "high" // above
	All    Band = "all"
	Centre Band = "centre" // where the sound lies: 0 for its darkest, 1 for its brightest
)

// Choices lists the words that a file may have.
func (Band) Choices() []string {
	return []string{string(Low), string(Mid), string(High), string(All), string(Centre)}
}

// Loud is a level that follows sound, 0 to 1: a [Follow], or what is heard live.
type Loud interface{ At(t time.Duration) float32 }

// Follow is the level of a band, or the place of the spectral centre, over a soundtrack. It
// does not change once it is made.
type Follow struct {
	hop    time.Duration
	values []float32 // values[i] belongs to i·hop
}

// The range of a piece. A band's level is 0 at the 10th percentile of its level in decibels
// and 1 at the 98th, of the instants when there is sound: no more than 50 dB under the 98th of all
// that is not silent. Percentiles leave out what happens once. The centre runs from the 5th to the 95th, in octaves, while there
// is sound. A range is no narrower than 10 dB or an octave, so that what is steady stays steady;
// it then reaches so far down from its top, or to both sides of its middle. (Choices, by
// looking at music; no source.)
const (
	lowShare, highShare         = .10, .98
	audible                     = 50.0 // dB
	narrowest                   = 10.0 // dB
	darkestShare, brightest     = .05, .95
	narrowestCentre             = 1.0   // octave
	silence                     = -80.0 // dB re a full-scale sine
	tail                        = 3     // times of fall that are kept behind the end
	longestTail                 = 30 * time.Second
	tenToNinety, tenToNinetyTwo = 2.1972246, 3.2188758
)

// NewFollow follows a band, with the times that level takes from 10 to 90 % of a
// step up, and of a step down.
//
// As the sound is known beforehand nothing lags. A band's level stands at its peak exactly when
// the sound does: it rises over the time before, and falls over the time after, each as
// 1-exp(-t/τ) with τ = time/ln 9, so that a drum is as bright as it is loud however slow the
// light falls. The centre moves with as much of each step before it as after, halfway at
// the step itself: exp(-|t|/τ), τ = time/(2·ln 5).
//
// Without a track the level stands at 1; in a track without sound in the band it is 0, and the
// centre halfway.
func NewFollow(track *soundtrack.Track, b Band, rise, fall time.Duration) *Follow {
	if track == nil {
		return &Follow{}
	}
	curve := track.Bands[0]
	if b == Centre {
		curve = track.Centre
	}
	f := &Follow{hop: curve.Hop}
	if f.hop <= 0 || len(curve.Values) == 0 {
		return &Follow{}
	}
	rise, fall = max(rise, 0), max(fall, 0)
	behind := int(min(tail*fall, longestTail) / f.hop)
	if b == Centre {
		f.values = centreOf(track.Centre.Values)
		up, down := f.pole(rise, tenToNinetyTwo), f.pole(fall, tenToNinetyTwo)
		before := slices.Clone(f.values)
		slices.Reverse(before)
		// Backwards in time a step up is a step down.
		run(f.values, up, down)
		run(before, down, up)
		slices.Reverse(before)
		for i, v := range before {
			f.values[i] = (f.values[i] + v) / 2
		}
		return f
	}
	f.values = append(levelsOf(&track.Bands, b), make([]float32, behind+1)...)
	run(f.values, 0, f.pole(fall, tenToNinety))
	slices.Reverse(f.values)
	run(f.values, 0, f.pole(rise, tenToNinety))
	slices.Reverse(f.values)
	return f
}

// At returns the level at an instant, 0 to 1; before the beginning and behind the end as there.
func (f *Follow) At(t time.Duration) float32 {
	n := len(f.values)
	if n == 0 {
		return 1
	}
	i := int(t / f.hop)
	if t <= 0 {
		return f.values[0]
	}
	if i >= n-1 {
		return f.values[n-1]
	}
	part := float32(t-time.Duration(i)*f.hop) / float32(f.hop)
	return f.values[i] + float32(part*(f.values[i+1]-f.values[i]))
}

// pole is how much of a distance is left after a hop, when 10 to 90 % take time.
func (f *Follow) pole(time time.Duration, per float64) float32 {
	if time <= 0 {
		return 0
	}
	return float32(math.Exp(-per * float64(f.hop) / float64(time)))
}

// run goes after the values, with what is left of the distance after each on
// the way up and on the way down.
func run(values []float32, up, down float32) {
	for i := 1; i < len(values); i++ {
		v, left := values[i], down
		if v > values[i-1] {
			left = up
		}
		values[i] = v + float32(left*(values[i-1]-v))
	}
}

// levelsOf is a band's level over the range of the piece.
func levelsOf(bands *[3]soundtrack.Curve, b Band) []float32 {
	decibels := make([]float32, len(bands[0].Values))
	for i := range decibels {
		low, mid, high := at(bands[0], i), at(bands[1], i), at(bands[2], i)
		switch b {
		case Low:
			decibels[i] = low
		case Mid:
			decibels[i] = mid
		case High:
			decibels[i] = high
		default:
			decibels[i] = together(low, mid, high)
		}
	}
	top := slices.Max(decibels)
	if top <= silence {
		return make([]float32, len(decibels))
	}
	_, loud := between(decibels, silence, lowShare, highShare)
	low, high := between(decibels, max(loud-audible, silence), lowShare, highShare)
	low = min(low, high-narrowest)
	return within(decibels, low, high)
}

// at is a level in decibels; bands of unlike length are no worse than silence.
func at(c soundtrack.Curve, i int) float32 {
	if i >= len(c.Values) {
		return silence
	}
	return c.Values[i]
}

// together adds up power: 10·lg Σ10^(L/10).
func together(levels ...float32) float32 {
	top, sum := slices.Max(levels), 0.0
	for _, l := range levels {
		sum += math.Pow(10, float64(l-top)/10)
	}
	return top + float32(10*math.Log10(sum))
}

// between is two quantiles of those values that are no less than least.
func between(values []float32, least float32, lowShare, highShare float64) (low, high float32) {
	var kept []float32
	for _, v := range values {
		if v >= least {
			kept = append(kept, v)
		}
	}
	slices.Sort(kept)
	last := float64(len(kept) - 1)
	return kept[int(lowShare*last)], kept[int(math.Ceil(highShare*last))]
}

// within is each value's place between low and high, 0 to 1.
func within(values []float32, low, high float32) []float32 {
	for i, v := range values {
		values[i] = min(max((v-low)/(high-low), 0), 1)
	}
	return values
}

// centreOf is where the spectral centre lies in the range of the piece; while there is no sound
// it stays where it was.
func centreOf(hertz []float32) []float32 {
	octaves := make([]float32, 0, len(hertz))
	last, heard := float32(0), []float32(nil)
	for _, hz := range hertz {
		if hz > 0 {
			last = float32(math.Log2(float64(hz)))
			if heard == nil {
				for i := range octaves {
					octaves[i] = last // before the first sound
				}
			}
			heard = append(heard, last)
		}
		octaves = append(octaves, last)
	}
	if heard == nil {
		return slices.Repeat([]float32{.5}, len(hertz))
	}
	low, high := between(heard, 0, darkestShare, brightest)
	if short := narrowestCentre - (high - low); short > 0 {
		low, high = low-short/2, high+short/2
	}
	return within(octaves, low, high)
}
