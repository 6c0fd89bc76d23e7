package light

import (
	"math"
	"testing"
)

// A colour that the screen can show keeps its luminance, as IEC 61966-2-1 decodes it; one outside
// the screen's triangle moves toward the grey of its own luminance and no farther; one that is too
// bright in one primary keeps the shares of all three.
func TestToneMapKeepsLuminance(t *testing.T) {
	m := ToneMap{White: 100, Knee: 1}
	for _, c := range []XY{{.64, .33}, {.7, .29}, {.3, .6}, {.17, .75}, {.15, .06}, {.13, .05}, {.3127, .329}, {.45, .5}} {
		for _, y := range []float64{.5, 3, 10, 30, 70, 95} {
			got := m.SRGB(c.XYZ(y))
			r, g, b := c.XYZ(y / 100).LinearSRGB()
			outside := min(r, g, b) < -.01
			r, g, b = c.XYZ(y / 100).Shown()
			bright := max(r, g, b) > 1.01
			if seen := 100 * got.XYZ().Y; !bright && math.Abs(seen-y) > .02*y+.3 {
				t.Errorf("%v of %v cd/m² is shown as %v, which has %.2f", c, y, got, seen)
			}
			if outside && min(got.R, got.G, got.B) != 0 || bright && max(got.R, got.G, got.B) != 255 {
				t.Errorf("%v of %v cd/m² went farther toward grey than it had to: %v", c, y, got)
			}
			if pure := (ToneMap{White: 1e4, Knee: 1}).SRGB(c.XYZ(y)); bright && !outside {
				_, g0, b0 := pure.Linear()
				r1, g1, b1 := got.Linear()
				if r0, _, _ := pure.Linear(); math.Abs(r1*(g0+b0)-r0*(g1+b1)) > .04 {
					t.Errorf("%v of %v cd/m² bleaches: %v, and dark it is %v", c, y, got, pure)
				}
			}
		}
	}
}

// Stronger light of one colour is the same colour up to the screen's full: a glow does not go pale.
func TestStrongColoursStay(t *testing.T) {
	m := ToneMap{White: 1, Knee: .7}
	for _, c := range []XY{{.3, .6}, {.64, .33}, {.15, .06}, {.4, .5}} {
		want := c.XYZ(1).Vivid()
		for _, y := range []float64{.9, 3, 30, 3000} {
			got := m.SRGB(c.XYZ(y))
			most := max(got.R, got.G, got.B)
			for _, v := range [][2]uint8{{got.R, want.R}, {got.G, want.G}, {got.B, want.B}} {
				// Scaling light scales codes alike but near black (IEC 61966-2-1).
				if d := float64(v[0])/float64(most) - float64(v[1])/255; math.Abs(d) > .03 {
					t.Errorf("%v at %v times white is %v, and its colour is %v", c, y, got, want)
				}
			}
		}
	}
}
