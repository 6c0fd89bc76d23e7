package soundtrack

import (
	"context"
	"testing"
	"time"

	"lampblack/soundtrack/truth"
)

// minute is a minute of stereo music, from truth.Groove, with strikes over it.
func minute() []float32 {
	music := truth.Groove{Seed: 5, Length: time.Minute, BPM: 118, Drums: true}.Play().Samples
	strikes := truth.Strikes(9, time.Minute).Samples
	out := make([]float32, 2*len(music))
	for i, v := range music {
		out[2*i], out[2*i+1] = v+0.3*strikes[i], v-0.3*strikes[i]
	}
	return out
}

func BenchmarkAnalyseMinute(b *testing.B) {
	x := minute()
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Analyse(context.Background(), &memory{rate: truth.Rate, channels: 2, samples: x}, Options{}); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkFindMinute(b *testing.B) {
	h, err := hear(context.Background(), &memory{rate: truth.Rate, channels: 2, samples: minute()}, Options{}, nil)
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		find(h, Options{})
	}
}
