package demo

import (
	"math"
	"testing"
)

// The functions that stand in for package math agree with it.
func TestPortableFunctions(t *testing.T) {
	for i := range 20001 {
		x := float64(i-10000) / 2500
		if d := math.Abs(sine(x) - math.Sin(2*math.Pi*x)); d > 5e-15 {
			t.Fatalf("sine(%v) is off by %g", x, d)
		}
		if d := math.Abs(pow2(x)/math.Exp2(x) - 1); d > 1e-15 {
			t.Fatalf("pow2(%v) is off by %g", x, d)
		}
	}
	if got := decibels(-20); math.Abs(got-.1) > 1e-15 {
		t.Errorf("-20 dB is %v", got)
	}
}

// ISO 16: A4 is 440 Hz; equal temperament puts middle C at 261.63 Hz (from
// memory).
func TestNotes(t *testing.T) {
	for note, want := range map[string]float64{"A4": 440, "C4": 261.63, "Bb3": 233.08, "F#4": 369.99, "D2": 73.42} {
		if got := hertz(note); math.Abs(got-want) > .005 {
			t.Errorf("%s is %.3f Hz, want %.2f", note, got, want)
		}
	}
}

// Strings, bells and drums sound at the pitch that is written: the strongest
// line of the spectrum near it is within 3 cents. (A cent is 1/1200 octave.)
func TestTuning(t *testing.T) {
	for _, note := range []string{"D2", "A3", "F#4", "C5", "E6"} {
		hz := hertz(note)
		for _, plays := range []instrument{pluck{hz, 3, .5}, bell{hz, 3, chimeBar}} {
			heard := make([]float64, 2*Rate)
			plays.start(1).render(heard)
			best, most := 0.0, 0.0
			for cents := -40.0; cents <= 40; cents++ {
				if m := line(heard, hz*math.Exp2(cents/1200)); m > most {
					best, most = cents, m
				}
			}
			if math.Abs(best) > 3 {
				t.Errorf("%T on %s is %v cents off", plays, note, best)
			}
		}
	}
}

// line is the strength of one frequency under a Hann window.
func line(x []float64, hz float64) float64 {
	var re, im float64
	for i, v := range x {
		w := .5 - .5*math.Cos(2*math.Pi*float64(i)/float64(len(x)))
		s, c := math.Sincos(2 * math.Pi * hz * float64(i) / Rate)
		re, im = re+v*w*c, im+v*w*s
	}
	return math.Hypot(re, im)
}
