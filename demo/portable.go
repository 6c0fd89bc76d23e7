package demo

import "math"

// tau is the length of a turn in radians.
const tau = 2 * math.Pi

// sine returns the sine of x turns. It is a Taylor polynomial over an eighth
// of a turn, right to 1e-15, made of operations that IEEE 754 rounds alike on
// every machine; math.Sin is not that.
func sine(x float64) float64 {
	x -= math.Floor(x)
	sign := 1.0
	if x >= 0.5 {
		x, sign = x-0.5, -1
	}
	if x > 0.25 {
		x = 0.5 - x
	}
	if x > 0.125 {
		return sign * series(tau*(0.25-x), 0)
	}
	return sign * series(tau*x, 1)
}

// series sums the terms of the cosine (first = 0) or the sine (first = 1).
func series(a float64, first int) float64 {
	square := a * a
	term := 1.0
	if first == 1 {
		term = a
	}
	sum := term
	for k := first + 2; k < first+20; k += 2 {
		term = float64(-term*square) / float64(k*(k-1))
		sum += term
	}
	return sum
}

func cosine(x float64) float64 { return sine(float64(x) + 0.25) }

// pow2 returns 2 to the power x, by the exponential series on the fraction.
func pow2(x float64) float64 {
	whole := math.Floor(x)
	a := float64((x - whole) * math.Ln2)
	term, sum := 1.0, 1.0
	for k := 1; k < 24; k++ {
		term = float64(term*a) / float64(k)
		sum += term
	}
	return math.Ldexp(sum, int(whole))
}

// decibels returns the amplitude of a level in dB: 10^(db/20).
func decibels(db float64) float64 { return pow2(float64(db * (math.Ln10 / math.Ln2 / 20))) }

// fall returns the factor a sample by which a sound dies by 60 dB in the time.
func fall(seconds float64) float64 {
	return pow2(-3 * math.Ln10 / math.Ln2 / float64(seconds*Rate))
}

// wave is one period of a sound, read at any phase by straight lines between
// its points.
type wave [waveSize + 1]float64

const waveSize = 4096

func (w *wave) at(turn float64) float64 {
	x := float64(turn * waveSize)
	i := int(x)
	d := x - float64(i)
	return w[i] + float64(d*(w[i+1]-w[i]))
}

var (
	pure   = harmonics(1)
	bowed  = harmonics(1, .62, .46, .31, .24, .17, .13, .09, .07, .05, .04, .03)
	hollow = harmonics(1, .12, .38, .05, .14, .02, .06)
)

// harmonics returns the wave with the given amplitudes of its harmonics.
func harmonics(amps ...float64) *wave {
	w := new(wave)
	for i := range waveSize {
		for h, a := range amps {
			w[i] += float64(a * sine(float64((i*(h+1))%waveSize)/waveSize))
		}
	}
	w[waveSize] = w[0]
	return w
}

// dice is a generator of random numbers (splitmix64, Steele, Lea and Flood
// 2014): the same for ever, which the standard library promises only for some.
type dice uint64

func (d *dice) next() uint64 {
	*d += 0x9E3779B97F4A7C15
	z := uint64(*d)
	z = (z ^ z>>30) * 0xBF58476D1CE4E5B9
	z = (z ^ z>>27) * 0x94D049BB133111EB
	return z ^ z>>31
}

// noise returns a number from -1 up to 1.
func (d *dice) noise() float64 { return float64(float64(int64(d.next())>>11) / (1 << 52)) }

// between returns a number from low up to high.
func (d *dice) between(low, high float64) float64 {
	return low + float64((high-low)*float64(d.next()>>11)/(1<<53))
}
