package living

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"lampblack/soundtrack"
)

// heard is a track whose low band is at the decibels given, one for each 20 ms; the
// others are silent.
func heard(decibels []float32) *soundtrack.Track {
	const hop = 20 * time.Millisecond
	still := slices.Repeat([]float32{-91}, len(decibels))
	return &soundtrack.Track{
		Duration: time.Duration(len(decibels)) * hop,
		Bands:    [3]soundtrack.Curve{{Hop: hop, Values: decibels}, {Hop: hop, Values: still}, {Hop: hop, Values: still}},
		Centre:   soundtrack.Curve{Hop: hop, Values: make([]float32, len(decibels))},
	}
}

// blocks is n values each of several levels, one after another.
func blocks(n int, levels ...float32) (out []float32) {
	for _, v := range levels {
		out = append(out, slices.Repeat([]float32{v}, n)...)
	}
	return out
}

// crossing is when a level first passes a value, from an instant on.
func crossing(f Loud, value float32, from time.Duration) time.Duration {
	up := f.At(from) < value
	for t := from; t < from+30*time.Second; t += time.Millisecond {
		if (f.At(t) < value) != up {
			return t
		}
	}
	return -1
}

// A step takes the times that were asked for from 10 to 90 %; a band has risen when the
// sound does, and begins to fall when it does; the centre is halfway at its steps.
func TestFollowSteps(t *testing.T) {
	const at, back = 4 * time.Second, 8 * time.Second
	track := heard(blocks(200, -50, -20, -50))
	track.Centre.Values = blocks(200, 200, 3200, 200)
	for _, c := range []struct{ rise, fall time.Duration }{{200, 700}, {1000, 1000}, {100, 2000}, {1500, 300}} {
		rise, fall := c.rise*time.Millisecond, c.fall*time.Millisecond
		const near = 25 * time.Millisecond // the level is kept every 20 ms
		for _, b := range []Band{Low, All, Centre} {
			f := NewFollow(track, b, rise, fall)
			up10, up90 := crossing(f, .1, at-3*time.Second), crossing(f, .9, at-3*time.Second)
			down90, down10 := crossing(f, .9, back-time.Second/2*3), crossing(f, .1, back-time.Second)
			if (up90-up10-rise).Abs() > near || (down10-down90-fall).Abs() > near {
				t.Errorf("%s: rises in %v, falls in %v; asked for %v and %v", b, up90-up10, down10-down90, rise, fall)
			}
			if b == Centre {
				if mid := crossing(f, .5, at-2*time.Second); (mid - at).Abs() > near {
					t.Errorf("the centre is halfway up at %v, its step at %v", mid, at)
				}
				continue
			}
			if v := f.At(at); v < .99 {
				t.Errorf("%s: %v when the sound is at its loudest", b, v)
			}
			if v := f.At(back - 20*time.Millisecond); v < .99 {
				t.Errorf("%s: falls before the sound does: %v", b, v)
			}
		}
	}
}

// The range is the piece's own: the 10th and 98th percentile, whatever the level of
// the whole, and what happens once does not stretch it.
func TestFollowRange(t *testing.T) {
	random := rand.New(rand.NewPCG(15, 3))
	steps := make([]float32, 5000)
	for i := range steps {
		steps[i] = -60 + 40*random.Float32() // even from -60 to -20: 10 % at -56, 98 % at -20.8
	}
	quiet := slices.Clone(steps)
	for i := range quiet {
		quiet[i] -= 15
	}
	quiet[17] = 0
	for name, c := range map[string]struct {
		levels []float32
		shift  float32
	}{"loud": {steps, 0}, "quiet, with one bang": {quiet, -15}} {
		f := NewFollow(heard(slices.Clone(c.levels)), Low, 0, 0)
		for i, v := range c.levels {
			if i == 17 {
				continue
			}
			want := min(max((v-c.shift+56)/(56-20.8), 0), 1)
			if got := f.At(time.Duration(i) * 20 * time.Millisecond); math.Abs(float64(got-want)) > .02 {
				t.Fatalf("%s: %.1f dB is at %.2f, not %.2f", name, v, got, want)
			}
		}
	}
	// What is steady to 1 dB is near the top and moves by a tenth at most.
	for i := range steps {
		steps[i] = -20 - random.Float32()
	}
	f := NewFollow(heard(steps), Low, 0, 0)
	for i := range steps {
		if v := f.At(time.Duration(i) * 20 * time.Millisecond); v < .89 {
			t.Fatalf("steady sound is at %v", v)
		}
	}
	// The centre's: from the 5th to the 95th in octaves, an octave at least.
	track := heard(steps)
	for i := range track.Centre.Values {
		track.Centre.Values[i] = float32(100 * math.Exp2(6*random.Float64()))
	}
	f = NewFollow(track, Centre, 0, 0)
	for i, hz := range track.Centre.Values {
		want := min(max((math.Log2(float64(hz)/100)/6-.05)/.9, 0), 1)
		if got := float64(f.At(time.Duration(i) * 20 * time.Millisecond)); math.Abs(got-want) > .02 {
			t.Fatalf("%.0f Hz is at %.2f, not %.2f", hz, got, want)
		}
	}
	track.Centre.Values = blocks(2500, 1000, 1100)
	f = NewFollow(track, Centre, 0, 0)
	if low, high := f.At(time.Second), f.At(80*time.Second); math.Abs(float64(high-low)-math.Log2(1.1)) > .01 || math.Abs(float64(low+high)-1) > .01 {
		t.Errorf("a centre that hardly moves goes from %.2f to %.2f", low, high)
	}
}

// The centre stays where it was while there is no sound; before the first it is where that is.
func TestCentreInSilence(t *testing.T) {
	track := heard(blocks(200, -20, -20, -20, -20, -20))
	track.Centre.Values = blocks(200, 0, 3200, 0, 200, 0)
	f := NewFollow(track, Centre, 0, 0)
	for i, want := range []float32{1, 1, 1, 0, 0} {
		if got := f.At(time.Duration(4*i+2) * time.Second); got != want {
			t.Errorf("in part %d the centre is at %v, not %v", i, got, want)
		}
	}
}

// Nothing to follow: no track, tracks without curves, silence, numbers that are none.
func TestFollowNothing(t *testing.T) {
	silent := heard(blocks(10, -91))
	odd := heard(blocks(10, -20, float32(math.Inf(-1)), 30))
	short := heard(blocks(10, -20, -30))
	short.Bands[1].Values = short.Bands[1].Values[:3]
	for _, b := range []Band{"wind", Low, Mid, High, All, Centre} {
		for name, track := range map[string]*soundtrack.Track{"no track": nil, "an empty track": {}} {
			if v := NewFollow(track, b, time.Second, time.Second).At(time.Minute); v != 1 {
				t.Errorf("%s, %s: %v", name, b, v)
			}
		}
		want := float32(0)
		if b == Centre {
			want = .5
		}
		if v := NewFollow(silent, b, -time.Second, time.Hour).At(100 * time.Millisecond); v != want {
			t.Errorf("silence, %s: %v", b, v)
		}
		for _, track := range []*soundtrack.Track{silent, odd, short} {
			f := NewFollow(track, b, 10*time.Millisecond, 100*time.Hour)
			for _, at := range []time.Duration{math.MinInt64, -1, 0, 1, time.Second, math.MaxInt64} {
				if v := f.At(at); !(v >= 0 && v <= 1) {
					t.Errorf("%s at %v: %v", b, at, v)
				}
			}
		}
	}
	f := NewFollow(heard(blocks(50, -50, -20)), Low, 0, time.Second)
	if v := f.At(10 * time.Second); v > .02 {
		t.Errorf("behind the end of the sound the level stays at %v", v)
	}
	if n := testing.AllocsPerRun(100, func() { f.At(time.Second) }); n > 0 {
		t.Errorf("%v allocations", n)
	}
}

func BenchmarkFollow(b *testing.B) {
	f := NewFollow(heard(blocks(3000, -50, -20, -50)), Low, 50*time.Millisecond, 300*time.Millisecond)
	i := 0
	for b.Loop() {
		f.At(time.Duration(i%100_000) * time.Millisecond)
		i++
	}
}
