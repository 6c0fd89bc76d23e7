package soundtrack

import (
	"math"
	"testing"
	"time"

	"lampblack/soundtrack/truth"
)

// tones are sines at a level each, added up.
func tones(length time.Duration, hz, level []float64) []float32 {
	x := make([]float32, int(length.Seconds()*truth.Rate))
	for i := range x {
		for k := range hz {
			x[i] += float32(level[k] * math.Sin(2*math.Pi*hz[k]*float64(i)/truth.Rate))
		}
	}
	return x
}

// The centre of tones is the mean of their octaves, weighed by power (the formula of
// ISO/IEC 15938-4, AudioSpectrumCentroid; from memory), to a semitone; that of silence is none.
func TestCentre(t *testing.T) {
	for _, c := range []struct{ hz, level []float64 }{
		{[]float64{100}, []float64{.5}},
		{[]float64{1000}, []float64{.01}},
		{[]float64{8000}, []float64{.3}},
		{[]float64{150, 3200}, []float64{.2, .2}},
		{[]float64{110, 3200}, []float64{.3, .1}},
		{[]float64{440, 880, 1760}, []float64{.1, .2, .05}},
	} {
		sum, all := 0.0, 0.0
		for k, hz := range c.hz {
			p := c.level[k] * c.level[k]
			sum += p * math.Log2(hz)
			all += p
		}
		track := analyse(t, mono(append(tones(time.Second, c.hz, c.level), make([]float32, truth.Rate)...)))
		if n := len(track.Centre.Values); n != len(track.Overview.Low) {
			t.Errorf("%d values of centre, %d of overview", n, len(track.Overview.Low))
		}
		got := track.Centre.At(500*time.Millisecond, -1)
		if d := math.Log2(float64(got)) - sum/all; math.Abs(d) > 1./12 {
			t.Errorf("%v Hz at %v: centre %.0f Hz, %.2f octaves off", c.hz, c.level, got, d)
		}
		// A sine's power is half the square of its height; re one of full scale, its square.
		for r, edges := range [][2]float64{{0, 200}, {200, 2000}, {2000, 20000}} {
			power := 0.0
			for k, hz := range c.hz {
				if hz > edges[0] && hz < edges[1] {
					power += c.level[k] * c.level[k]
				}
			}
			want := 10 * math.Log10(power)
			if got := float64(track.Bands[r].At(500*time.Millisecond, 0)); power > 0 && math.Abs(got-want) > 1 {
				t.Errorf("%v Hz at %v: range %d is at %.1f dB, not %.1f", c.hz, c.level, r, got, want)
			} else if power == 0 && got > -25 {
				t.Errorf("%v Hz at %v: range %d, where nothing is, is at %.1f dB", c.hz, c.level, r, got)
			}
		}
		if v := track.Centre.At(1500*time.Millisecond, -1); v != 0 {
			t.Errorf("silence has its centre at %v Hz", v)
		}
	}
}

func TestPowerOf(t *testing.T) {
	for d := int32(-36 * octave); d <= 4*octave; d++ {
		want := math.Exp2(float64(d) / octave)
		if got := float64(powerOf(d)); math.Abs(got/want-1) > 1e-6 {
			t.Fatalf("2^(%d/256) is %g, not %g", d, got, want)
		}
	}
}

// What was kept without its centres or the power of its bands, or with too few, is nothing that was heard.
func TestKeptCentres(t *testing.T) {
	h, err := hear(t.Context(), mono(tones(time.Second, []float64{440}, []float64{.5})), Options{}, nil)
	if err != nil || !h.sane() {
		t.Fatalf("heard is not sane: %v", err)
	}
	for _, n := range []int{0, len(h.Centre) - 1} {
		c, d := *h, *h
		c.Centre, d.Loud[1] = h.Centre[:n], h.Loud[1][:n]
		if c.sane() || d.sane() {
			t.Errorf("%d values of %d are taken", n, len(h.Centre))
		}
	}
}
