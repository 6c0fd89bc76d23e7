package page

import (
	"math"
	"testing"
	"time"
)

// What is read is the mean of what the room's answer has for each place: the backdrop of the bench
// under its white look, and its two seats.
func TestReadings(t *testing.T) {
	b := benchBook(t)
	const at = 15 * time.Second
	got := map[string]Reading{}
	for _, r := range b.Readings(at) {
		if _, twice := got[r.Name]; twice {
			t.Errorf("%s is read twice", r.Name)
		}
		got[r.Name] = r
	}
	light, drop := floats(b.Room(at)), panelOf(t, b, "backdrop")
	lux, bright, n := 0.0, 0.0, drop.Cols*drop.Rows
	for i := drop.First; i < drop.First+n; i++ { // all patches are alike large
		lux += light[8*i+6] / float64(n)
		bright += (.2126*light[8*i] + .7152*light[8*i+1] + .0722*light[8*i+2]) / float64(n)
	}
	r := got["backdrop"]
	if r.Kind != "surface" || lux <= 0 || math.Abs(r.Lux/lux-1) > 1e-4 || math.Abs(r.Luminance/bright-1) > .002 || r.Glow != 0 {
		t.Errorf("the backdrop is read as %+v, want %.3g lx and %.3g cd/m²", r, lux, bright)
	}
	// It sends back half of the light evenly: luminance is a half of lux over pi.
	if want := r.Lux / 2 / math.Pi; math.Abs(r.Luminance/want-1) > .01 {
		t.Errorf("at %.3g lx the backdrop has %.3g cd/m², want %.3g", r.Lux, r.Luminance, want)
	}
	seat := b.shape.Points[0]
	if s := got[seat.Name]; s.Kind != "seat" || math.Abs(s.Lux-light[8*seat.Place+6]) > 1e-4*s.Lux || s.Luminance != 0 {
		t.Errorf("%s is read as %+v", seat.Name, s)
	}
}
