package soundtrack_test

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"time"

	"lampblack/soundfile"
	"lampblack/soundtrack"
)

// Two strikes in three seconds of silence, the second one louder: heard at their
// places, the louder one first to be lit.
func ExampleAnalyse() {
	const rate = 16000
	sound := make([]float32, 3*rate)
	strike := func(at time.Duration, loud float64) {
		from := int(at.Seconds() * rate)
		for i := range rate / 4 {
			t := float64(i) / rate
			sound[from+i] = float32(loud * math.Exp(-t/.05) * math.Sin(2*math.Pi*440*t))
		}
	}
	strike(500*time.Millisecond, .1)
	strike(1700*time.Millisecond, .8)

	var file bytes.Buffer
	if err := soundfile.WriteWAV(&file, rate, 1, 16, sound); err != nil {
		fmt.Println(err)
		return
	}
	s, err := soundfile.Open(bytes.NewReader(file.Bytes()), "two strikes")
	if err != nil {
		fmt.Println(err)
		return
	}
	defer s.Close()
	track, err := soundtrack.Analyse(context.Background(), s, soundtrack.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, m := range track.Hits() {
		fmt.Printf("%s at %v, rank %d\n", m.Kind, m.Time.Round(20*time.Millisecond), m.Rank)
	}
	// Output:
	// hit at 500ms, rank 2
	// hit at 1.7s, rank 1
}
