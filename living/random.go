package living

import (
	"math"
)

// step is 2^64 divided by the golden ratio: multiples of it lie far apart.
const step = 0x9e3779b97f4a7c15

// lane parts the lobes of one light: what lies lane apart among the multiples of step meets
// nowhere near. (The first 64 bits of the fraction of √2.)
const lane = 0x6a09e667f3bcc908

// mixed scatters the bits of z (the finaliser of SplitMix64; Steele, Lea and Flood, Fast
// splittable pseudorandom number generators, 2014). Numbers that follow one another have
// nothing in common afterwards.
func mixed(z uint64) uint64 {
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return z ^ z>>31
}

// share is a number from 0 up to but not including 1, from the upper bits.
func share(z uint64) float64 { return float64(z>>11) * (1.0 / (1 << 53)) }

// lobe is noise that holds about one octave of frequencies, or with dent 0 all
// below one. Time is cut into cells, rate of them a second; in each lies one pulse, at an
// instant that is as likely anywhere in it, of a height that is as likely anywhere from
// -1 to 1:
//
//	k(u) = (1-u²)³·(1-dent·u²)   u = cells from the pulse, |u| < 1
//
// Pulses at such instants have a power spectrum that is the pulse's own,
//
//	S(f) = 2/3 · |K(f/rate)|² / rate    (one-sided; 1/3 is the mean square of a height)
//
// and no trace of the cells: mean and covariance are the same at every instant, so nothing
// recurs and no frequency stands out. With dent 9 the pulse is 0 on average, and its spectrum
// has its top at 0.758·rate; with dent 0 it is flat to about a third of the rate.
// Value, slope and bend are continuous.
type lobe struct {
	rate float64 // cells a second
	size float64
	dent float64
}

// at is the noise at s seconds. Three pulses can reach an instant: of its cell and of the two
// beside it. The sums forbid fused multiplication, so that all machines agree.
func (l *lobe) at(seed uint64, s float64) float64 {
	x := float64(s * l.rate)
	cell := math.Floor(x)
	place := x - cell
	z := seed + (uint64(int64(cell))-1)*step
	place++
	sum := 0.0
	for range 3 {
		h := mixed(z)
		u := place - float64(int64(h>>40))*(1.0/(1<<24))
		uu := float64(u * u)
		q := max(1-uu, 0)
		height := float64(int64(h<<40)>>40) * (1.0 / (1 << 23))
		sum += float64(float64(height*q) * float64(q*q) * (1 - float64(l.dent*uu)))
		place--
		z += step
	}
	return float64(l.size * sum)
}

// soft takes any number into -1..1 without a corner: 0.71 for 1, 0.95 for 3.
func soft(x float64) float64 { return x / math.Sqrt(1+float64(x*x)) }
