package demo

import "time"

// instrument makes voices. Its voices peak near full scale.
type instrument interface {
	start(d dice) voice
	// shape returns the time until a voice is at its loudest, and from then on
	// until it has fallen by 20 dB.
	shape() (rise, decay time.Duration)
}

// voice is one sound being played.
type voice interface {
	// render writes the next samples into dst, all of it, and tells whether
	// there is more to come.
	render(dst []float64) (more bool)
}

// inaudible is where a decaying voice ends: 100 dB below full scale.
const inaudible = 1e-5

// seconds turns a length in seconds into time.
func seconds(s float64) time.Duration { return time.Duration(s * float64(time.Second)) }

// ramp is a level in dB that moves in straight lines between points.
type ramp []point

// point is a level in dB at a time in seconds.
type point struct{ at, level float64 }

// silent is the level that counts as nothing at all.
const silent = -90

// gain returns the ramp's amplitude at t seconds.
func (r ramp) gain(t float64) float64 {
	if db := r.level(t); db > silent {
		return decibels(db)
	}
	return 0
}

// level returns the ramp's level at t seconds.
func (r ramp) level(t float64) float64 {
	for i := range r {
		if t >= r[i].at {
			continue
		}
		if i == 0 {
			return r[0].level
		}
		a, b := r[i-1], r[i]
		return a.level + float64((b.level-a.level)*((t-a.at)/(b.at-a.at)))
	}
	return r[len(r)-1].level
}

// end is when the last point is reached, s.
func (r ramp) end() float64 { return r[len(r)-1].at }

// lowpass is a one-pole filter.
type lowpass struct{ k, y float64 }

// corner returns a low-pass with the corner frequency in Hz: k = 1 - e^(-2π·hz/Rate), with
// ln 2 = 0.6931….
func corner(hz float64) lowpass { return lowpass{k: 1 - pow2(-tau*hz/Rate/0.6931471805599453)} }

func (f *lowpass) step(x float64) float64 {
	f.y += float64(f.k * (x - f.y))
	return f.y
}

// resonator is a two-pole band-pass of peak gain near 1.
type resonator struct{ a, b, gain, y1, y2 float64 }

// tune moves the resonator to a frequency and width in Hz: poles at radius e^(-π·width/Rate)
// and at the frequency's angle.
func (f *resonator) tune(hz, width float64) {
	r := pow2(-float64(3.141592653589793*width/Rate) / 0.6931471805599453)
	f.a = 2 * float64(r*cosine(hz/Rate))
	f.b = -float64(r * r)
	f.gain = float64((1 - r) * 2 * sine(hz/Rate))
}

func (f *resonator) step(x float64) float64 {
	y := float64(f.gain*x) + float64(f.a*f.y1)
	y += float64(f.b * f.y2)
	f.y2, f.y1 = f.y1, y
	return y
}
