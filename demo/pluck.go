package demo

import "time"

// pluck is a plucked string after Karplus and Strong (1983): a burst of noise
// in a delay line of one period, smoothed on every turn. A first-order
// all-pass in the loop tunes it between samples (Jaffe and Smith 1983).
type pluck struct {
	hz     float64
	ring   float64 // s until it has fallen by 60 dB
	bright float64 // 0 dull … 1 hard
}

func (p pluck) shape() (rise, decay time.Duration) {
	return 2 * time.Millisecond, seconds(p.ring / 4)
}

// strung is a string being heard: a line of one period, less what the filters delay.
type strung struct {
	line         []float64
	at           int
	smooth, gain float64
	last, tune   float64
	apIn, apOut  float64
	left         int
}

// start makes a string of a delay line as long as a period. Each turn round it costs gain, by
// which it falls by 60 dB in ring seconds.
func (p pluck) start(d dice) voice {
	// The mean of two neighbours delays by smooth samples, the all-pass by rest, which is kept
	// between 0.3 and 1.3, where it is stable and quick: n makes up the whole samples.
	period := Rate / p.hz
	smooth := 0.5 - float64(0.35*p.bright)
	n := int(period - smooth - 0.3)
	rest := period - smooth - float64(n)
	s := &strung{
		line:   make([]float64, n),
		smooth: smooth,
		gain:   pow2(-3 * 3.321928094887362 * period / float64(p.ring*Rate)),
		tune:   (1 - rest) / (1 + rest),
		left:   int(p.ring * 1.1 * Rate),
	}
	s.pick(&d, p.bright)
	return s
}

// pick fills the line with what the finger leaves on the string: noise,
// rounded, with the harmonics missing that have a node a fifth along.
func (s *strung) pick(d *dice, bright float64) {
	n := len(s.line)
	soft := corner(900 + float64(7000*bright))
	raw := make([]float64, n)
	for range 2 { // the second time round the filter has settled
		dd := *d
		for i := range raw {
			raw[i] = soft.step(dd.noise())
		}
	}
	mean, peak := 0.0, 0.0
	for i := range raw {
		s.line[i] = raw[i] - raw[(i+n-n/5)%n]
		mean += s.line[i] / float64(n)
	}
	for i := range s.line {
		s.line[i] -= mean
		peak = max(peak, s.line[i], -s.line[i])
	}
	for i := range s.line {
		s.line[i] /= peak
	}
}

// render takes a sample from the line and puts it back smoothed, softened and tuned: what
// it was a period ago, less what the string loses.
func (s *strung) render(dst []float64) bool {
	for i := range dst {
		x := s.line[s.at]
		dst[i] = x
		y := float64((1-s.smooth)*x) + float64(s.smooth*s.last)
		s.last = x
		y = float64(y * s.gain)
		out := float64(s.tune*(y-s.apOut)) + s.apIn
		s.apIn, s.apOut = y, out
		s.line[s.at] = out
		if s.at++; s.at == len(s.line) {
			s.at = 0
		}
	}
	s.left -= len(dst)
	return s.left > 0
}
