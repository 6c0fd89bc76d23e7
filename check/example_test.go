package check_test

import (
	"context"
	"fmt"
	"log"

	"lampblack/check"
	"lampblack/check/checktest"
)

// What there is to say of a minute of black light straight into an eye: a tenth
// of a limit is a note, and there is little to see by.
func Example() {
	s := checktest.Booth(`looks:
  glow: {parts: [{system: all, emitters: {uv: 100 %}}]}
  out: {parts: [{system: all, emitters: {uv: 0 %}}]}
cues:
  - {cue: 1, at: 0:00, look: glow}
  - {cue: 2, at: 1:00, look: out}
`)
	list, err := check.Run(context.Background(), s, check.Options{Only: []string{"blackout", "uv-dose"}})
	if err != nil {
		log.Fatal(err)
	}
	for _, f := range list {
		fmt.Printf("%s, %s at %s: %s\n", f.Severity, f.ID, f.Place, f.Text)
	}
	// Output:
	// warn, blackout at room: it is dark for 60 s from 0:00.000 on
	// note, uv-dose at seat eye: on a day of one show (1 show, 0 min of rehearsal) seat eye takes up to 110 J/m² of UV-A; one show gives 110 J/m², at most 1.8 W/m²
}
