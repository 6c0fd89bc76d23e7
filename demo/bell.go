package demo

import (
	"slices"
	"time"
)

// bell is a struck body: partials that ring and die one by one.
type bell struct {
	hz       float64
	ring     float64 // s until the lowest partial has fallen by 60 dB
	partials []partial
}

// partial is a mode of vibration: frequency re the note, amplitude, and how
// long it rings re the whole.
type partial struct{ ratio, amp, ring float64 }

// chimeBar are the modes of a free bar (Euler–Bernoulli: 1, 2.756, 5.404),
// the lowest doubled a little out of tune, as bars are.
var chimeBar = []partial{{1, 1, 1}, {1.0013, .35, .9}, {2.756, .42, .35}, {5.404, .2, .12}, {8.93, .08, .05}}

// castBell are modes of a cast bell, by the names of founders: hum, prime,
// tierce, quint, nominal and above (common practice, no source).
var castBell = []partial{{.5, .5, 1}, {1, .8, .75}, {1.003, .3, .7}, {1.19, .6, .55}, {1.5, .3, .45}, {2, 1, .4}, {2.52, .35, .25}, {3.01, .4, .2}, {4.17, .25, .12}, {5.43, .15, .08}}

func (b bell) shape() (rise, decay time.Duration) {
	return 3 * time.Millisecond, seconds(b.ring / 5)
}

// ringing is a damped oscillation as a recurrence: y[n] = a y[n-1] + b y[n-2].
type ringing struct{ a, b, y1, y2 float64 }

// struck is a bell being heard.
type struck struct {
	modes []ringing
	level float64 // bound of what is left of the longest mode
	fall  float64
}

// start sets every mode going. Modes near half the sampling rate are left out, and the
// whole is scaled to full scale.
func (b bell) start(dice) voice {
	v := &struck{level: 1, fall: fall(b.ring)}
	for _, p := range b.partials {
		turn := b.hz * p.ratio / Rate
		if turn > 0.45 {
			continue
		}
		r := fall(float64(b.ring * p.ring))
		// Starts as a sine, from zero: y[-1] = -A sin w / r, y[-2] = -A sin 2w / r².
		v.modes = append(v.modes, ringing{
			a:  2 * float64(r*cosine(turn)),
			b:  -float64(r * r),
			y1: -float64(p.amp*sine(turn)) / r,
			y2: -float64(p.amp*sine(2*turn)) / float64(r*r),
		})
	}
	// Modes that beat do not add up to the sum of their amplitudes, so the peak is looked for.
	v.scale(1 / v.peak())
	return v
}

// peak returns how far the first moments of the voice reach.
func (v *struck) peak() float64 {
	ahead := struck{modes: slices.Clone(v.modes)}
	heard := make([]float64, Rate/50)
	ahead.render(heard)
	return max(slices.Max(heard), -slices.Min(heard))
}

// scale makes all modes louder; they are linear in what they begin from.
func (v *struck) scale(by float64) {
	for i := range v.modes {
		v.modes[i].y1 *= by
		v.modes[i].y2 *= by
	}
}

// render adds up the modes, each by its recurrence: two products a sample and no sine.
func (v *struck) render(dst []float64) bool {
	clear(dst)
	for m := range v.modes {
		a, b, y1, y2 := v.modes[m].a, v.modes[m].b, v.modes[m].y1, v.modes[m].y2
		for i := range dst {
			y := float64(a*y1) + float64(b*y2)
			y2, y1 = y1, y
			dst[i] += y
		}
		v.modes[m].y1, v.modes[m].y2 = y1, y2
	}
	// Sample by sample, so that the length of a block changes nothing.
	for range dst {
		v.level = float64(v.level * v.fall)
	}
	return v.level > inaudible
}
