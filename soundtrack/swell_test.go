package soundtrack

import (
	"math"
	"testing"
	"time"
)

// A rise of 20 LU over 6 s into a louder section, and the same sound from its
// end: both are one swell, their loud ends lie on the turn, and the fall is the
// rise's mirror image. Ends are moved by one rule whichever way loudness goes.
func TestSwellsBothWays(t *testing.T) {
	const n = 4000 // blocks of 10 ms
	power := make([]float32, n)
	for i := range power {
		lufs := -40.0
		switch {
		case i >= 2000:
			lufs = -17
		case i >= 1400:
			lufs = -40 + 20*float64(i-1400)/600
		}
		power[i] = float32(math.Pow(10, (lufs+.691)/10))
	}
	at := func(blocks int) time.Duration { return time.Duration(blocks) * hop }
	back := make([]float32, n)
	for i := range power {
		back[n-1-i] = power[i]
	}
	up := swells(power, -20, []Moment{{Kind: Turn, Time: at(2000)}})
	down := swells(back, -20, []Moment{{Kind: Turn, Time: at(2000)}})
	if len(up) != 1 || len(down) != 1 {
		t.Fatalf("%v and %v, want one of each", up, down)
	}
	if up[0].End != at(2000) || !(up[0].After > up[0].Before+15) {
		t.Errorf("the rise: %+v", up[0])
	}
	if down[0].Time != at(2000) || !(down[0].Before > down[0].After+15) {
		t.Errorf("the fall: %+v", down[0])
	}
	if d := (up[0].Time - (at(n) - down[0].End)).Abs(); d > 200*time.Millisecond {
		t.Errorf("the quiet ends differ by %v", d)
	}
}
