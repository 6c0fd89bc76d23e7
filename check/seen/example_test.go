package seen_test

import (
	"fmt"
	"time"

	"lampblack/check/checktest"
	"lampblack/check/seen"
)

// The one lamp of a booth goes on and off every 200 ms for two seconds.
func Example() {
	s := checktest.Booth("looks: {dark: {}}\ncues: [{cue: 1, at: 0:00, look: dark}]\n")
	var light seen.Light
	for at := time.Duration(0); at < 2*time.Second; at += 200 * time.Millisecond {
		for i, white := range []float32{0, 1, 1, 0} {
			light.Times = append(light.Times, at+time.Duration(i)*50*time.Millisecond)
			light.Levels = append(light.Levels, []float32{0, white}) // its emitters: uv, white
			light.Rates = append(light.Rates, []float32{0})
		}
	}
	scene := seen.New(s.Transport, s.Rig).Over(&light)
	worst, _ := scene.Worst(0, seen.GeneralBT)
	fmt.Printf("the eye sees %d flashes in the second from %v on\n", worst.Count, worst.From)
	// Output:
	// the eye sees 5 flashes in the second from 25ms on
}
