package looks_test

import (
	"context"
	"fmt"

	"lampblack/check/checktest"
	"lampblack/check/finding"
	"lampblack/check/looks"
	"lampblack/check/subject"
)

// A lamp of white and black light is asked for red, and shines into an eye.
func Example() {
	s := checktest.Booth(`looks:
  red: {parts: [{system: all, colour: "#ff0000", level: 50 %}]}
cues:
  - {cue: 1, at: 0:00, look: red}
`)
	r := &subject.Run{Subject: subject.Of(s), Show: s, Ctx: context.Background(), Report: finding.NewReport(looks.Family.Tells)}
	looks.Family.Measure(r)
	for _, f := range r.List() {
		fmt.Printf("%s, %s at %s: %s\n", f.Severity, f.ID, f.Place, f.Text)
	}
	// Output:
	// warn, colour-unmatched at look red, lamp: fixture type lamp cannot mix #ff0000 in look red
	// warn, lens-in-eye at unit a: 1 seat sees into the lit lens of unit a: eye
}
