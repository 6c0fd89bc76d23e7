package export_test

import (
	"fmt"

	"lampblack/check/checktest"
	"lampblack/export"
)

// The cue list as it falls in time, for a spreadsheet.
func ExampleCues() {
	s := checktest.Booth(`looks:
  white: {purpose: all is seen, parts: [{system: all, emitters: {white: 80 %}}]}
cues:
  - {cue: 1, at: 0:01, look: white, up: 2 s}
`)
	table, err := export.Cues(s)
	fmt.Print(string(table), err)
	// Output:
	// cue,start,start s,up s,down s,hold s,returns s,lands,on,moment,look,purpose,why,visible steps,longest wait s
	// 1,0:01.000,1.000,2.000,2.000,,,starts,time,0:01.000,white,all is seen,,0,0.023
	// <nil>
}
