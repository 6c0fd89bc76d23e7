package light

import (
	"math"
	"testing"
)

// A colour outside the screen's triangle, or too bright in one primary, moves
// toward the grey of its own luminance and no farther: its luminance stays, as IEC
// 61966-2-1 decodes it, and one of the screen's primaries is at nothing or at full.
func TestToneMapKeepsLuminance(t *testing.T) {
	m := ToneMap{White: 100, Knee: 1}
	for _, c := range []XY{{.64, .33}, {.7, .29}, {.3, .6}, {.17, .75}, {.15, .06}, {.13, .05}, {.3127, .329}, {.45, .5}} {
		for _, y := range []float64{.5, 3, 10, 30, 70, 95} {
			got := m.SRGB(c.XYZ(y))
			if seen := 100 * got.XYZ().Y; math.Abs(seen-y) > .02*y+.3 {
				t.Errorf("%v of %v cd/m² is shown as %v, which has %.2f", c, y, got, seen)
			}
			r, g, b := c.XYZ(y / 100).LinearSRGB()
			outside := min(r, g, b) < -.01 || max(r, g, b) > 1.01
			if touches := min(got.R, got.G, got.B) == 0 || max(got.R, got.G, got.B) == 255; outside && !touches {
				t.Errorf("%v of %v cd/m² went farther toward grey than it had to: %v", c, y, got)
			}
		}
	}
}
