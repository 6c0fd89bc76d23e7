package light

import (
	"math"
	"testing"
	"time"
)

// IEC 62471:2006, 4.3.2, states the same limit as 10 W/m² beyond 1000 s and
// 10 kJ/m² within: both meet at 1000 s. Of ICNIRP's 8 h day, the mean is
// 0.35 W/m² (10 000/28 800).
func TestUVAToStay(t *testing.T) {
	for stay, want := range map[time.Duration]float64{1000 * time.Second: 10, 8 * time.Hour: .34722} {
		if got := float64(UVAToStay(stay)); math.Abs(got/want-1) > 1e-4 {
			t.Errorf("%v: %v W/m², want %v", stay, got, want)
		}
	}
}

// The band counts its ends, and nothing beside them.
func TestUVABand(t *testing.T) {
	b := UVABand()
	for nm, want := range map[int]float64{314: 0, 315: 1, 400: 1, 401: 0} {
		if b[nm-First] != want {
			t.Errorf("%d nm counts %v, want %v", nm, b[nm-First], want)
		}
	}
}
