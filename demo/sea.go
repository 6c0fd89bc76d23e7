package demo

import "time"

// sea is surf: noise that breathes as waves run up a beach, each its own
// height, rising for seconds and falling for longer.
type sea struct {
	loud  ramp
	heave float64 // s from wave to wave
	hiss  float64 // Hz: how bright the foam is
}

func (s sea) shape() (rise, decay time.Duration) { return 3 * time.Second, 3 * time.Second }

// surf is a sea being heard: phase runs from 0 to 1 along a wave, at a pace that is drawn
// anew for each, from its own height to that of the next.
type surf struct {
	sea
	frame        int
	noise, chart dice
	foam, body   lowpass
	phase, pace  float64
	height, next float64
	gain, step   float64
}

func (s sea) start(d dice) voice {
	v := &surf{sea: s, noise: d, chart: d ^ 0x5EA, foam: corner(s.hiss), body: corner(420), height: .6, next: .8}
	v.phase = v.chart.between(0, 1)
	v.pace = 1 / (s.heave * Rate)
	return v
}

// controlEvery is how many samples share one step of a slow control.
const controlEvery = 64

// control sets where the loudness goes within the next few samples.
func (s *surf) control() {
	s.phase += float64(controlEvery * s.pace)
	if s.phase >= 1 {
		s.phase--
		s.height, s.next = s.next, s.chart.between(.45, 1)
		s.pace = 1 / (s.heave * s.chart.between(.8, 1.25) * Rate)
	}
	h := s.height + float64((s.next-s.height)*s.phase)
	breath := 0.5 - float64(0.5*cosine(float64(s.phase*s.phase))) // slow to gather, quicker to fall
	breath = float64(breath * breath)
	want := float64(s.loud.gain(float64(s.frame)/Rate) * (0.35 + float64(0.65*float64(h*breath))))
	s.step = (want - s.gain) / controlEvery
}

// render is noise through two filters, high for the foam and low for the body of the water.
func (s *surf) render(dst []float64) bool {
	for i := range dst {
		if s.frame%controlEvery == 0 {
			s.control()
		}
		s.frame++
		s.gain += s.step
		x := s.noise.noise()
		y := float64(0.5*s.foam.step(x)) + float64(1.6*s.body.step(x))
		dst[i] = float64(s.gain * y)
	}
	return float64(s.frame)/Rate < s.loud.end()
}

// gale is wind: noise through a resonance that wanders.
type gale struct{ loud ramp }

func (g gale) shape() (rise, decay time.Duration) { return 3 * time.Second, 3 * time.Second }

// wind is a gale being heard.
type wind struct {
	gale
	frame      int
	noise      dice
	howl       resonator
	hz, target float64
	gain, step float64
}

func (g gale) start(d dice) voice { return &wind{gale: g, noise: d, hz: 500, target: 700} }

// control lets the howl wander: toward a new pitch now and then, a 250th of the way each time.
func (w *wind) control() {
	if w.noise.next()%220 == 0 { // about three times a second
		w.target = w.noise.between(330, 950)
	}
	w.hz += float64(0.004 * (w.target - w.hz))
	w.howl.tune(w.hz, 130)
	w.step = (w.loud.gain(float64(w.frame)/Rate) - w.gain) / controlEvery
}

func (w *wind) render(dst []float64) bool {
	for i := range dst {
		if w.frame%controlEvery == 0 {
			w.control()
		}
		w.frame++
		w.gain += w.step
		dst[i] = float64(float64(6*w.gain) * w.howl.step(w.noise.noise()))
	}
	return float64(w.frame)/Rate < w.loud.end()
}
