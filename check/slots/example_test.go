package slots_test

import (
	"context"
	"fmt"

	"lampblack/check/checktest"
	"lampblack/check/finding"
	"lampblack/check/slots"
	"lampblack/check/subject"
)

// A fade from dark to full passes values at which the lamp runs a program.
func Example() {
	s := checktest.Booth(`looks:
  white: {parts: [{system: all, emitters: {white: 100 %}}]}
cues:
  - {cue: 1, at: 0:01, look: white, up: 2 s}
`)
	r := &subject.Run{Subject: subject.Of(s), Show: s, Ctx: context.Background(), Report: finding.NewReport(slots.Family.Tells)}
	slots.Family.Measure(r)
	for _, f := range r.List() {
		fmt.Printf("%s, %s at %s: %s\n", f.Severity, f.ID, f.Place, f.Text)
	}
	// Output:
	// warn, fade-crosses at unit a slot 2: fades of unit a jump over 200-209 of slot 2, a range that is never to be entered
}
