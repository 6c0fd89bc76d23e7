package chase

import (
	"math/rand/v2"
	"testing"
	"time"

	"lampblack/wire/timecode"
)

// Samples that are lost on the way, as by a pipe that was full while this computer slept or
// stood, are noticed: within half a second the show is where the timecode is again, not ahead
// by what was lost.
func TestSamplesAreLost(t *testing.T) {
	const fs, block = 48000, 480
	for _, lost := range []time.Duration{50 * time.Millisecond, 200 * time.Millisecond, 700 * time.Millisecond, 3 * time.Second} {
		rng := rand.New(rand.NewPCG(uint64(lost), 3))
		e, err := timecode.NewEncoder(timecode.EncoderOptions{Start: timecode.Rate25.Frame(0), SampleRate: fs})
		if err != nil {
			t.Fatal(err)
		}
		f := NewFollower("test", 0, Loss{})
		in := NewAudioInput(f, fs, timecode.Rate25)
		zero := time.Unix(1000, 0)
		samples := make([]float32, block)
		arrival := time.Duration(0)
		feed := func(until time.Duration, arrives bool) {
			for ; arrival < until; arrival += time.Second * block / fs {
				e.Read(samples)
				if arrives { // with jitter of a machine that is busy
					in.Feed(zero.Add(arrival+10*time.Millisecond+time.Duration(rng.Int64N(int64(8*time.Millisecond)))), samples)
				}
			}
		}
		feed(5*time.Second, true)
		feed(5*time.Second+lost, false)
		feed(6*time.Second+lost, true)
		at := zero.Add(arrival + 20*time.Millisecond)
		if s := f.At(at); s.State != Locked || (s.Position-at.Sub(zero)).Abs() > 20*time.Millisecond {
			t.Errorf("%v of samples are lost: %v at %v, want %v", lost, s.State, s.Position, at.Sub(zero))
		}
	}
}
