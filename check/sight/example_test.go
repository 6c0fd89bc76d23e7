package sight_test

import (
	"context"
	"fmt"

	"lampblack/check/checktest"
	"lampblack/check/finding"
	"lampblack/check/sight"
	"lampblack/check/subject"
)

// A lamp that is asked to flash by itself at 5 Hz: the next value of its slot
// gives 5.03 Hz, which may put six flashes into one second.
func Example() {
	s := checktest.Booth(`looks:
  storm: {parts: [{system: all, emitters: {white: 100 %}, flash: 5 Hz}]}
  calm: {parts: [{system: all, emitters: {white: 10 %}}]}
cues:
  - {cue: 1, at: 0:00, look: storm}
  - {cue: 2, at: 0:03, look: calm}
`)
	r := &subject.Run{Subject: subject.Of(s), Show: s, Ctx: context.Background(), Report: finding.NewReport(sight.Family.Tells)}
	sight.Family.Measure(r)
	for _, f := range r.List() {
		fmt.Printf("%s, %s at %s: %s\n", f.Severity, f.ID, f.Place, f.Text)
	}
	// Output:
	// stop, flash-rate at seat eye: seat eye sees 5 general flashes in the second from 0:00.000 on, over 0.01 sr; so it goes on from 0:00.000 to 0:03.000
	// stop, flash-union at all units: all units together give 5 flashes in the second from 0:00.000 on
}
