package living

import (
	"context"
	"io"
	"math/rand/v2"
	"testing"
	"time"

	"lampblack/soundfile"
	"lampblack/soundtrack"
	"lampblack/soundtrack/truth"
)

// samples is a stream of samples at hand.
type samples []float32

func (s *samples) Format() soundfile.Format {
	return soundfile.Format{Codec: "memory", Rate: truth.Rate, Channels: 1, Frames: int64(len(*s))}
}

func (s *samples) Read(dst []float32) (int, error) {
	if len(*s) == 0 {
		return 0, io.EOF
	}
	n := copy(dst, *s)
	*s = (*s)[n:]
	return n, nil
}

func (s *samples) Close() error { return nil }

// Music, 15 s of wind, music: events fall on the beats that were played, and the wind
// between is a doubt of about its length in which slow time or what was taken for a hit stands in.
func TestEventsOfSound(t *testing.T) {
	groove := truth.Groove{Seed: 3, Length: 30 * time.Second, BPM: 112, Drums: true}.Play()
	const wind = 15 * time.Second
	random, low := rand.New(rand.NewPCG(15, 5)), float32(0)
	s := append(samples{}, groove.Samples...)
	length := time.Duration(len(s)) * time.Second / truth.Rate
	for range int(wind.Seconds() * truth.Rate) {
		low += .002 * (random.Float32() - .5 - low)
		s = append(s, low)
	}
	s = append(s, groove.Samples...)
	track, err := soundtrack.Analyse(context.Background(), &s, soundtrack.Options{})
	if err != nil {
		t.Fatal(err)
	}
	e := EventsOf(track, read(t, "beat"), track.Duration)
	played, near := 0, 0
	for _, from := range []time.Duration{0, length + wind} {
		for _, b := range groove.Beats {
			played++
			i := e.Before(from + b + 25*time.Millisecond)
			if i >= 0 && (e.Time(i)-from-b).Abs() <= 25*time.Millisecond {
				near++
			}
		}
	}
	t.Logf("%d of %d beats have their event; doubts %v", near, played, e.Doubts())
	if near*100 < played*95 {
		t.Errorf("%d of %d beats have their event within 25 ms", near, played)
	}
	doubt := time.Duration(0)
	for _, d := range e.Doubts() {
		doubt += d.To - d.From
		if d.From < length-2*time.Second || d.To > length+wind+2*time.Second {
			t.Errorf("a doubt from %v to %v, amid the music", d.From, d.To)
		}
	}
	if doubt < wind-2*time.Second || doubt > wind+4*time.Second {
		t.Errorf("doubts of %v over %v of wind", doubt, wind)
	}
}
