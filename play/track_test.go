package play

import (
	"math"
	"os"
	"path/filepath"
	"testing"
	"time"

	"lampblack/soundfile"
)

// A track of many channels is its first two, at its own rate or at one that is asked for:
// the same sound, as long as before.
func TestLoad(t *testing.T) {
	const rate, hz = 44100, 440
	for _, channels := range []int{1, 2, 4} {
		tone := func(channel int, s float64) float64 {
			return .5 / float64(channel+1) * math.Sin(2*math.Pi*hz*float64(channel+1)*s)
		}
		var samples []float32
		for i := range rate {
			for c := range channels {
				samples = append(samples, float32(tone(c, float64(i)/rate)))
			}
		}
		path := filepath.Join(t.TempDir(), "tone.wav")
		f, err := os.Create(path)
		if err == nil {
			err = soundfile.WriteWAV(f, rate, channels, 16, samples)
			_ = f.Close()
		}
		if err != nil {
			t.Fatal(err)
		}
		for asked, is := range map[int]int{0: 44100, 44100: 44100, 48000: 48000, 32000: 32000} {
			p, err := load(t.Context(), path, asked)
			if err != nil {
				t.Fatal(err)
			}
			if p.rate != is || p.channels != min(channels, 2) || (p.length()-time.Second).Abs() > time.Second/time.Duration(is) {
				t.Errorf("%d channels, asked at %d: %d channels at %d, %v long", channels, asked, p.channels, p.rate, p.length())
			}
			worst := 0.
			for i := int64(is) / 10; i < int64(is)*9/10; i++ { // away from its sudden ends
				for c := range p.channels {
					worst = max(worst, math.Abs(float64(p.at(i, c))/32767-tone(c, float64(i)/float64(is))))
				}
			}
			if worst > 2./32767 {
				t.Errorf("%d channels, asked at %d: up to %.6f beside the tone", channels, asked, worst)
			}
		}
	}
	if _, err := load(t.Context(), filepath.Join(t.TempDir(), "nothing.wav"), 0); err == nil {
		t.Error("what is not there is loaded")
	}
}
