package timecode_test

import (
	"fmt"
	"math"
	"time"

	"lampblack/wire/timecode"
)

// An hour into the show by drop-frame numbers, as sound and back from it.
func Example() {
	start := timecode.Rate2997Drop.At(time.Hour)
	fmt.Println(start, "begins", start.Offset(), "after midnight")

	e, err := timecode.NewEncoder(timecode.EncoderOptions{Start: start, SampleRate: 48000, Frames: 4})
	if err != nil {
		fmt.Println(err)
		return
	}
	sound := make([]float32, 48000/5)
	sound = sound[:e.Read(sound)]

	d := timecode.NewDecoder(48000, timecode.Rate2997Drop)
	d.Feed(sound, func(r timecode.Received) {
		fmt.Println(r.Time, "at sample", math.Round(r.Start)+0)
	})
	// Output:
	// 01:00:00;00 begins 59m59.9964s after midnight
	// 01:00:00;00 at sample 0
	// 01:00:00;01 at sample 1602
	// 01:00:00;02 at sample 3203
	// 01:00:00;03 at sample 4805
}
