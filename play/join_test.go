package play

import (
	"math"
	"math/cmplx"
	"math/rand/v2"
	"testing"
	"time"

	"lampblack/play/clock"
)

// of is a track of what a function of time says, one for each channel, recorded: with the
// noise of a step of its 16 bits, so that nothing comes again exactly.
func of(rate int, seconds float64, channels ...func(s float64) float64) *pcm {
	p := &pcm{rate: rate, channels: len(channels)}
	r := rand.New(rand.NewPCG(uint64(1000*seconds), 3))
	for i := range int(seconds * float64(rate)) {
		for _, f := range channels {
			p.samples = append(p.samples, int16(math.Round(32000*f(float64(i)/float64(rate))+r.Float64()-r.Float64())))
		}
	}
	return p
}

func sine(hz, level float64) func(float64) float64 {
	return func(s float64) float64 { return level * math.Sin(2*math.Pi*hz*s) }
}

// noise is white at 44.1 kHz, and the same again after a period.
func noise(seed uint64, period float64) func(float64) float64 {
	r := rand.New(rand.NewPCG(seed, 2))
	v := make([]float64, int(math.Round(period*44100)))
	for i := range v {
		v[i] = .9 * (2*r.Float64() - 1)
	}
	return func(s float64) float64 { return v[int(math.Round(s*44100))%len(v)] }
}

// bar is a bar of music that comes again: four plucked chords, whose partials all fit.
func bar(period float64) func(float64) float64 {
	return func(s float64) float64 {
		in := math.Mod(s, period)
		v := 0.
		for beat := range 4 {
			since := math.Mod(in-float64(beat)*period/4+period, period)
			for k, hz := range []float64{110, 164, 220, 330, 660} {
				turns := math.Round(hz*period) / period
				v += .1 / float64(k+1) * math.Exp(-4*since) * math.Sin(2*math.Pi*turns*s+float64(beat))
			}
		}
		return v
	}
}

// dB of a ratio of amplitudes.
func dB(ratio float64) float64 { return 20 * math.Log10(ratio) }

// Where the marks fit what repeats, a join is nothing: the level step is the difference,
// within 20 ms of it, between what is heard and the sound that goes on as if nothing were
// joined, against the level of that sound; both are effective values (RMS). Under -60 dB is
// asked; what there is comes of the 16 bits.
func TestJoinOfWhatFits(t *testing.T) {
	const rate, period, passes = 44100, .5, 5
	for name, sound := range map[string][]func(float64) float64{
		"a tone":        {sine(440, 1)},
		"a quiet tone":  {sine(62, .05)},
		"noise":         {noise(1, period)},
		"music":         {bar(period)},
		"two channels":  {bar(period), noise(2, period)},
		"one is silent": {sine(440, .5), func(float64) float64 { return 0 }},
	} {
		track := of(rate, 2, sound...)
		r := wound(track, clock.Loop{From: 700 * time.Millisecond, To: 1200 * time.Millisecond})
		r.pass([]int{passes})
		ideal := of(rate, 3, sound...).samples
		heard := r.all(rate*3, pieces())
		for k := range passes - 1 {
			mark := int((1.2 + period*float64(k)) * rate)
			if step := dB(difference(heard, ideal, mark*track.channels, rate/50*track.channels)); step > -60 {
				t.Errorf("%s: the level step at join %d is %.1f dB", name, k+1, step)
			} else if k == 0 {
				t.Logf("%s: %.1f dB", name, step)
			}
		}
	}
}

// difference is the RMS of a - b against that of b, within so many samples of a place.
func difference(a, b []int16, at, within int) float64 {
	var off, level float64
	for i := at - within; i < at+within; i++ {
		d := float64(a[i]) - float64(b[i])
		off, level = off+d*d, level+float64(b[i])*float64(b[i])
	}
	return math.Sqrt(off / level)
}

// A period that is no whole number of samples puts a pass up to half a sample beside its
// place. The level stays: that of a tone, as the RMS of any ten of its periods across 50
// joins, is the steady one within -60 dB.
func TestJoinBetweenSamples(t *testing.T) {
	const rate, ten = 44100, 1001 // samples in ten periods
	const hz = rate * 10. / ten
	track := of(rate, 1, sine(hz, .9))
	length := time.Duration(math.Round(99 * 1e9 / hz)) // 9909.9 samples
	for _, from := range []time.Duration{300 * time.Millisecond, 301234567} {
		r := wound(track, clock.Loop{From: from, To: from + length})
		heard := r.all(51*track.frame(length), pieces())
		worst := math.Inf(-1)
		steady := rms(track.samples[:ten])
		for i := 0; i+ten <= len(heard); i += 10 {
			worst = max(worst, dB(math.Abs(rms(heard[i:i+ten])/steady-1)))
		}
		if t.Logf("marks from %v: %.1f dB", from, worst); worst > -60 {
			t.Errorf("the level is up to %.1f dB beside the steady one", worst)
		}
	}
}

func rms(samples []int16) float64 {
	sum := 0.
	for _, v := range samples {
		sum += float64(v) * float64(v)
	}
	return math.Sqrt(sum / float64(len(samples)))
}

// above is the level of a stretch of sound above a frequency, against all of it. The
// stretch is weighed by a Hann window, whose own skirt lies under -100 dB from ten times
// a tone's frequency on.
func above(rate int, hz float64, samples []int16) float64 {
	n := len(samples)
	level, all := 0., 0.
	for k := range n / 2 {
		var x complex128
		turn := cmplx.Rect(1, -2*math.Pi*float64(k)/float64(n))
		for i, at := 0, complex(1, 0); i < n; i, at = i+1, at*turn {
			w := .5 - .5*math.Cos(2*math.Pi*float64(i)/float64(n))
			x += complex(w*float64(samples[i]), 0) * at
		}
		p := real(x)*real(x) + imag(x)*imag(x)
		if all += p; float64(k)*float64(rate)/float64(n) > hz {
			level += p
		}
	}
	return math.Sqrt(level / all)
}

// Where the marks do not fit there is no click: what a join adds above 1 kHz to a tone of
// 100 Hz, whatever its phase on the two sides, is under -60 dB of the tone. A plain cut
// adds up to -30 dB, which this measure sees.
func TestJoinOfWhatDoesNotFit(t *testing.T) {
	const rate, n = 8000, 2048
	track := of(rate, 1.5, sine(100, .95))
	worst, cut := math.Inf(-1), math.Inf(-1)
	for phase := range 16 {
		to := 500*time.Millisecond + time.Duration(phase)*625*time.Microsecond
		r := wound(track, clock.Loop{From: 300 * time.Millisecond, To: to})
		heard := r.all(rate, pieces())
		mark := int(track.frame(to))
		worst = max(worst, dB(above(rate, 1000, heard[mark-n/2:mark+n/2])))
		plain := append(append([]int16(nil), track.samples[mark-n/2:mark]...), track.samples[rate*3/10:][:n/2]...)
		cut = max(cut, dB(above(rate, 1000, plain)))
	}
	t.Logf("a join adds up to %.1f dB above 1 kHz, a cut %.1f dB", worst, cut)
	if worst > -60 {
		t.Errorf("a join adds up to %.1f dB above 1 kHz", worst)
	}
	if cut < -40 {
		t.Errorf("of a cut this measure sees %.1f dB", cut)
	}
}

// Unlike sides keep their level too, on the average of many joins: of noise, the 5 ms in
// the middle of the fade are within 0.3 dB of the noise.
func TestJoinOfUnlikeSides(t *testing.T) {
	const rate = 44100
	track := of(rate, 20, noise(3, 20))
	r := rand.New(rand.NewPCG(4, 4))
	var in, all float64
	const joins = 200
	for range joins {
		from := time.Duration(r.Int64N(int64(9 * time.Second)))
		to := from + clock.MinLoop + time.Duration(r.Int64N(int64(9*time.Second)))
		j := newJoin(track, clock.Loop{From: from, To: to})
		n := int64(rate / 200)
		buf := make([]int16, n)
		j.mix(buf, track, -n/2, j.to-n/2, j.from-n/2, n)
		in += rms(buf) * rms(buf) / joins
	}
	all = rms(track.samples)
	if off := dB(math.Sqrt(in) / all); math.Abs(off) > .3 {
		t.Errorf("the middle of a join of noise is %.2f dB beside the noise", off)
	}
}

// At the ends of the track a fade takes what there is: on the other side of the marks, or,
// where the whole track repeats, out to silence and in again. Nothing ever steps.
func TestJoinAtTheEnds(t *testing.T) {
	const rate = 10000
	track := of(rate, 1, func(float64) float64 { return 1 })
	ms := func(n int) time.Duration { return time.Duration(n) * time.Millisecond }
	for _, c := range []struct {
		from, to    int   // ms
		first, last int64 // frames of the fade
		least       int16 // in it, of a level of 32000
	}{
		{300, 600, -75, 75, 31999},
		{300, 1000, -150, 0, 31999}, // to the end of the track
		{0, 600, 0, 150, 31999},     // from its beginning
		{4, 600, -40, 110, 31999},
		{300, 997, -120, 30, 31999},
		{4, 994, -40, 60, 31999}, // 10 ms are left
		{0, 1000, -75, 75, 0},    // all of it
		{4, 997, -75, 75, 0},
	} {
		r := wound(track, clock.Loop{From: ms(c.from), To: ms(c.to)})
		if j := r.joins[0]; j.first != c.first || j.end() != c.last {
			t.Errorf("%d to %d ms: the fade is from frame %d to %d, want %d to %d", c.from, c.to, j.first, j.end(), c.first, c.last)
		}
		heard := r.all(3*rate, pieces())
		least, step := int16(math.MaxInt16), 0
		for i := 1; i < len(heard); i++ {
			least, step = min(least, heard[i]), max(step, int(math.Abs(float64(heard[i])-float64(heard[i-1]))))
		}
		if least < c.least || c.least == 0 && least > 100 || step > 32000*22/1000 {
			t.Errorf("%d to %d ms: it goes down to %d, in steps up to %d", c.from, c.to, least, step)
		}
	}
}
