package truth

import (
	"math"
	"math/rand/v2"
)

// Rate is the sampling rate of all that is synthesised here, Hz.
const Rate = 44100

// A voice writes one sound into dst, its attack at dst[0]; level is its peak.
type voice func(r *rand.Rand, dst []float32, level float64)

var struck = map[string]voice{
	"pluck": pluck, "bell": bell, "drum": drum, "click": click, "burst": burst, "tone": tone, "wood": wood,
}

// struckNames fixes the order in which voices are drawn.
var struckNames = []string{"pluck", "bell", "drum", "click", "burst", "tone", "wood"}

// pluck is a string by delay line and average (Karplus and Strong 1983).
func pluck(r *rand.Rand, dst []float32, level float64) {
	n := int(Rate / (80 * math.Exp2(4*r.Float64())))
	line := make([]float64, n)
	for i := range line {
		line[i] = 2*r.Float64() - 1
	}
	keep := 0.985 + 0.0145*r.Float64()
	for i := range dst {
		// The line holds one period; each sample that leaves it comes back as the mean of itself
		// and the next, which takes the high partials off first.
		k := i % n
		dst[i] += float32(level * line[k])
		line[k] = keep * 0.5 * (line[k] + line[(k+1)%n])
	}
}

// bell sums inharmonic partials that die away, the high ones first. The ratios are near
// those of church bells (hum, prime, tierce …; from memory).
func bell(r *rand.Rand, dst []float32, level float64) {
	base := 200 * math.Exp2(3*r.Float64())
	life := 0.2 + 2*r.Float64()
	for i, ratio := range []float64{1, 2.0, 2.4, 3.0, 4.5, 5.33, 6.67} {
		partial(dst, base*ratio*(1+0.01*r.NormFloat64()), level*0.4/float64(i+1), life/(1+0.6*float64(i)))
	}
}

// partial adds a sine that falls by e in each life, s. What would lie near half the
// sampling rate is left out: it would fold down.
func partial(dst []float32, hz, level, life float64) {
	if hz > 0.45*Rate {
		return
	}
	w, g, decay := 2*math.Pi*hz/Rate, level, math.Exp(-1/(life*Rate))
	for i := range dst {
		dst[i] += float32(g * math.Sin(w*float64(i)))
		g *= decay
	}
}

// drum is a falling sine under a little noise.
func drum(r *rand.Rand, dst []float32, level float64) {
	low, high, life := 40+60*r.Float64(), 100+200*r.Float64(), 0.08+0.25*r.Float64()
	phase, noise := 0.0, 0.1+0.5*r.Float64()
	for i := range dst {
		t := float64(i) / Rate
		phase += 2 * math.Pi * (low + (high-low)*math.Exp(-t/0.03)) / Rate
		v := math.Sin(phase)*math.Exp(-t/life) + noise*(2*r.Float64()-1)*math.Exp(-t/0.03)
		dst[i] += float32(0.8 * level * v)
	}
}

// click is a few milliseconds of noise.
func click(r *rand.Rand, dst []float32, level float64) {
	life := 0.002 + 0.03*r.Float64()
	for i := range dst {
		dst[i] += float32(level * (2*r.Float64() - 1) * math.Exp(-float64(i)/Rate/life))
	}
}

// burst is noise through a low-pass, with a short rise and a long fall.
func burst(r *rand.Rand, dst []float32, level float64) {
	rise, life := 0.001+0.02*r.Float64(), 0.1+0.8*r.Float64()
	// One pole, from a rumble to nearly white; the gain keeps the power of all the same.
	a, low := 0.02+0.9*r.Float64(), 0.0
	gain := level * math.Sqrt((2-a)/a)
	for i := range dst {
		t := float64(i) / Rate
		low += a * (2*r.Float64() - 1 - low)
		dst[i] += float32(gain * low * min(1, t/rise) * math.Exp(-t/life))
	}
}

// tone is a held note with a soft attack, harmonics, and sometimes vibrato.
func tone(r *rand.Rand, dst []float32, level float64) {
	hz, rise := 110*math.Exp2(3*r.Float64()), 0.005+0.04*r.Float64()
	depth, rate := 0.02*r.Float64()*float64(r.IntN(2)), 4+3*r.Float64()
	bright, phase, hold := 0.3+0.5*r.Float64(), 0.0, float64(len(dst))/Rate-0.06
	for i := range dst {
		t := float64(i) / Rate
		phase += 2 * math.Pi * hz * (1 + depth*math.Sin(2*math.Pi*rate*t)) / Rate
		v, g := 0.0, 1.0
		for k := 1; k <= 6 && hz*float64(k) < 0.4*Rate; k++ {
			v += g * math.Sin(phase*float64(k))
			g *= bright
		}
		shape := min(1, t/rise) * min(1, max(0, (hold-t)/0.06+1))
		dst[i] += float32(0.4 * level * v * shape)
	}
}

// wood is a short, high, tuned knock.
func wood(r *rand.Rand, dst []float32, level float64) {
	base := 500 + 1500*r.Float64()
	partial(dst, base, 0.6*level, 0.02+0.05*r.Float64())
	partial(dst, base*2.7, 0.3*level, 0.015)
	click(r, dst[:min(len(dst), Rate/50)], 0.3*level)
}
