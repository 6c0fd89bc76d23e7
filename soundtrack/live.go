package soundtrack

import (
	"math"
	"time"
)

// Live hears sound as it comes: loudness by range, hits, and the beat. It looks at what was,
// and never at what comes, so what it says of an instant it says a little later: Delay. Feed
// it, and ask Heard. It is not for several goroutines.
//
// It has the same bands, rises and weights as what hears a file; where that takes the mean of
// what lies around, this takes that of the last seconds. Its beat is the same hand on the
// same dial, of which at each step the likeliest place is taken with what was heard so far.
type Live struct {
	channels int
	rate     int
	fourier  *transform
	bank     *filterbank
	window   []float32
	power    []float32
	mono     []float32 // not yet used up
	used     int64     // samples that were dropped before mono
	frame    int       // next one, of 10 ms
	now, was []int16
	loudest  int32
	rises    []int16
	usual    [4]running // of the rises in three ranges, and of the loudness's
	sums     [8]float32 // weighted rises of the last frames, by frame
	amps     [8]float64 // amplitude of the last frames
	clock    dialNow
	ranges   [4]rangeNow // low, mid, high, all
	heard    Heard
	lastHit  int
	quiet    int // frames without a sound
}

// Heard is what is known of the sound that came so far.
type Heard struct {
	At     time.Duration // of the sound that is known
	Loud   [4]float64    // dB re full scale, of the last 50 ms: low, mid, high, all
	Share  [4]float32    // the same between the quietest and the loudest of the last minute, 0..1
	Centre float32       // of the spectrum, on a scale of octaves from 50 Hz to 12.8 kHz, 0..1
	Silent bool          // nothing to be heard for two seconds
	Hits   int           // so far
	Hit    time.Duration // when the last one began
	Beats  int           // that were counted so far
	Beat   time.Duration // when the last one was, or is expected to be
	Period time.Duration // from one to the next
	Sure   float64       // how much more happens on the beats than between them, 0..1
}

// SureBeat is the least Sure of a beat that is one. It is more than leastSupport, which is of a
// count that has heard all: of strikes at random Sure is .6 in the middle, of music that was
// rendered .8 and more.
const SureBeat = .7

// running is a mean and a deviation over the last seconds.
type running struct{ mean, square, weight float64 }

// recent is the time over which they are taken, as a share a frame.
const recent = 1. / (4 * blockRate)

// standard returns x in deviations from the mean, and takes it in.
func (r *running) standard(x float64) float64 {
	const bare = 0.03 // see addStandard
	if r.weight > 0 {
		mean := r.mean / r.weight
		deviation := math.Sqrt(max(r.square/r.weight-mean*mean, 0)) + bare
		defer r.take(x)
		return (x - mean) / deviation
	}
	r.take(x)
	return 0
}

func (r *running) take(x float64) {
	r.mean += recent * (x - r.mean)
	r.square += recent * (x*x - r.square)
	r.weight += recent * (1 - r.weight)
}

// rangeNow follows a loudness and between what it lies.
type rangeNow struct{ level, low, high float64 }

const (
	faintNow  = -90.                   // dB, nothing
	narrowest = 12.                    // dB between the quietest and the loudest, at least
	widens    = 1. / (60 * blockRate)  // of what is left, by which the range narrows each frame
	settles   = 1. / (.05 * blockRate) // of the way, by which loudness is taken over 50 ms
	silence   = -65.                   // dB re full scale
)

func (r *rangeNow) take(power float64) {
	r.level += settles * (power - r.level)
}

// share is where the level lies in its range, which narrows slowly.
func (r *rangeNow) share() (db float64, share float32) {
	db = max(10*math.Log10(r.level+1e-12), faintNow)
	if db > silence {
		if r.high == 0 && r.low == 0 {
			r.high, r.low = db, db-narrowest
		}
		r.high -= widens * (r.high - r.low)
		r.low += widens * (r.high - r.low)
		r.high, r.low = max(r.high, db), min(r.low, db)
	}
	low := min(r.low, r.high-narrowest)
	return db, float32(min(max((db-low)/(r.high-low+1e-9), 0), 1))
}

// NewLive begins to hear sound of a rate in Hz.
func NewLive(rate, channels int) *Live {
	n := 64
	for float64(n)*math.Sqrt2 < windowSeconds*float64(rate) {
		n *= 2
	}
	length := min(n, int(math.Round(windowSeconds*float64(rate))))
	l := &Live{channels: channels, rate: rate, fourier: newTransform(n), bank: newFilterbank(n, float64(rate)), window: hann(n, length),
		power: make([]float32, n/2+1), mono: make([]float32, n/2, 4*n), now: make([]int16, bandCount), was: make([]int16, bandCount), rises: make([]int16, groupCount), clock: newDialNow(), lastHit: -blockRate}
	l.heard.Silent = true
	for i := range l.was {
		l.was[i] = octaves(faintest)
	}
	l.loudest = lowestFloor + depth
	for i := range l.ranges {
		l.ranges[i] = rangeNow{}
	}
	return l
}

// Delay is how much later than a sound it is known: half of the window, a frame, and one more
// for the beat.
func (l *Live) Delay() time.Duration {
	return time.Duration(float64(len(l.window)/2)/float64(l.rate)*float64(time.Second)) + time.Second/blockRate
}

// Feed takes interleaved samples, whole frames.
func (l *Live) Feed(samples []float32) {
	for i := 0; i+l.channels <= len(samples); i += l.channels {
		sum := float32(0)
		for _, v := range samples[i : i+l.channels] {
			if v != v || v > 16 || v < -16 {
				v = 0
			}
			sum += v
		}
		l.mono = append(l.mono, sum/float32(l.channels))
	}
	n := len(l.window)
	for {
		from := int((int64(l.frame)*int64(l.rate)+blockRate/2)/blockRate - l.used)
		if from+n > len(l.mono) {
			break
		}
		l.step(l.mono[from : from+n])
		l.frame++
		if from > 2*n {
			l.mono = l.mono[:copy(l.mono, l.mono[from:])]
			l.used += int64(from)
		}
	}
}

// Heard is what is known now.
func (l *Live) Heard() Heard { return l.heard }

// step takes the window about a frame.
func (l *Live) step(x []float32) {
	h := &l.heard
	h.At = time.Duration(l.frame) * time.Second / blockRate
	l.fourier.power(l.power, x, l.window)
	l.bank.levels(l.now, l.power)
	l.loud(x)
	top := int32(-32768)
	for _, v := range l.now {
		top = max(top, int32(v))
	}
	l.loudest = max(l.loudest-releaseAfter, top)
	rise(l.rises, l.now, l.was, max(l.loudest-depth, lowestFloor))
	l.now, l.was = l.was, l.now
	var flux [3]int32
	for g, v := range l.rises {
		flux[rangeOf(g)] += int32(v)
	}
	copy(l.sums[1:], l.sums[:])
	l.sums[0] = 0
	size := [3]int{lowGroups, midGroups - lowGroups, groupCount - midGroups}
	for r, weight := range [3]float64{lowWeight, midWeight, highWeight} {
		l.sums[0] += float32(weight * l.usual[r].standard(float64(flux[r])/float64(octave*groupSize*size[r])))
	}
	swelling := math.Sqrt(max(0, l.amps[0]-l.amps[3]))
	l.sums[0] += float32(loudWeight * l.usual[3].standard(swelling))
	l.hit()
	if l.frame%2 == 1 {
		s := &l.sums // i is the frame before this one
		v := 0.2*s[4] + 0.4*s[3] + 0.6*s[2] + 0.6*s[1] + 0.2*s[0]
		p := float32(1 / (1 + math.Exp(beatOffset-beatSlope*float64(v))))
		if h.Silent {
			p = 0
			l.clock.forget()
		}
		l.clock.step(p)
		l.beat()
	}
}

// loud takes the loudness of the newest 10 ms, and that of the ranges.
func (l *Live) loud(x []float32) {
	hopSize := l.rate / blockRate
	sum := 0.0
	for _, v := range x[len(x)-hopSize:] { // the newest: two frames after the window's middle

		sum += float64(v) * float64(v)
	}
	power := sum / float64(hopSize)
	copy(l.amps[1:], l.amps[:])
	l.amps[0] = math.Sqrt(power)
	var ranges [3]float64
	centre, whole := 0.0, 1e-12
	for b, v := range l.now {
		p := math.Exp2(float64(v) / octave)
		ranges[rangeOf(b/groupSize)] += p
		f := math.Log2(bandCentres[b]/50) / 8
		a := math.Sqrt(p)
		centre, whole = centre+a*f, whole+a
	}
	h := &l.heard
	for r, p := range [4]float64{ranges[0], ranges[1], ranges[2], power} {
		l.ranges[r].take(p)
		h.Loud[r], h.Share[r] = l.ranges[r].share()
	}
	h.Centre += float32(settles * (min(max(centre/whole, 0), 1) - float64(h.Centre)))
	if h.Loud[3] > silence {
		l.quiet = 0
	} else {
		l.quiet++
	}
	h.Silent = l.quiet > 2*blockRate
}

const (
	hitOver  = 3.0 // of the weighted rises, in deviations
	hitApart = 8   // frames
)

// hit looks for a rise that stands out.
func (l *Live) hit() {
	s := &l.sums
	if s[0] > hitOver && s[0] >= s[1] && l.frame-l.lastHit > hitApart && !l.heard.Silent {
		l.lastHit = l.frame
		l.heard.Hits++
		l.heard.Hit = l.heard.At
	}
}
