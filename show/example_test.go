package show_test

import (
	"fmt"
	"time"

	"lampblack/check/checktest"
	"lampblack/show"
)

// Half way through a fade of two seconds a drive gives half of the light that
// it is going to. The slot of its end keeps out of 200 to 209, where the lamp
// would run a program. Instants may be asked for in any order.
func Example() {
	s := checktest.Booth(`looks:
  white: {parts: [{system: all, emitters: {white: 80 %}}]}
cues:
  - {cue: 1, at: 0:01, look: white, up: 2 s}
`)
	frame := s.NewFrame()
	for _, t := range []time.Duration{3 * time.Second, 2 * time.Second, 0} {
		s.At(frame, t)
		fmt.Printf("%v: %.2f, slot %d\n", t, frame.Levels[1], frame.Universes[0].Slots[1])
	}
	// Output:
	// 3s: 0.80, slot 199
	// 2s: 0.40, slot 102
	// 0s: 0.00, slot 0
}

// How much later than its sound light is to leave, so that it leads by 20 ms at
// a seat 12 m from the speaker, and how that is at the back.
func ExampleTiming_Offset() {
	t := show.Timing{
		Speaker: 12, Back: 20,
		Sound: show.Delay{Low: 20 * time.Millisecond, High: 30 * time.Millisecond},
		Light: show.Delay{Low: 30 * time.Millisecond, High: 40 * time.Millisecond},
	}
	fmt.Println("send by", t.Offset())
	lead := t.Budget(t.Back, t.Offset()).Lead()
	fmt.Println("at the back light leads by", lead.Low.Round(time.Millisecond), "to", lead.High.Round(time.Millisecond))
	// Output:
	// send by 5ms
	// at the back light leads by 33ms to 53ms
}
