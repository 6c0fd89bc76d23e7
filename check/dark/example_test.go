package dark_test

import (
	"context"
	"fmt"

	"lampblack/check/checktest"
	"lampblack/check/dark"
	"lampblack/check/finding"
	"lampblack/check/subject"
)

// Ten seconds of nothing, and what lights up gives on the floor.
func Example() {
	s := checktest.Booth(`looks:
  white: {parts: [{system: all, emitters: {white: 100 %}}]}
  out: {parts: [{system: all, emitters: {white: 0 %}}]}
cues:
  - {cue: 1, at: 0:00, look: white}
  - {cue: 2, at: 0:20, look: out}
  - {cue: 3, at: 0:32, look: white}
`)
	r := &subject.Run{Subject: subject.Of(s), Show: s, Ctx: context.Background(), Report: finding.NewReport(dark.Family.Tells)}
	dark.Family.Measure(r)
	for _, f := range r.List() {
		fmt.Printf("%s, %s at %s: %s\n", f.Severity, f.ID, f.Place, f.Text)
	}
	// Output:
	// warn, blackout at room: it is dark for 12 s from 0:20.000 on
	// warn, escape-light at floor: lights up gives 3.8 lx on the floor on the mean; no look has purpose: lights up, so that the key brings all visible light at full; it does not reach 1 fc
}
