package finding_test

import (
	"os"
	"time"

	"lampblack/check/finding"
)

// What a finding looks like to a person: what to do first, then what to know.
func Example() {
	tells := finding.Tells{"uv-dose": "UV-A dose of an eye over the day", "line-length": "length of a data line"}
	r := finding.NewReport(tells)
	r.Add(finding.Finding{ID: "uv-dose", Severity: finding.Note, Place: finding.Thing("seat", "front left"),
		Text: "seat front left takes little", Value: 1200, Limit: 10000, Unit: "J/m²", Source: "ICNIRP 2004"}.
		During(72*time.Second, 72*time.Second))
	r.Add(finding.Finding{ID: "line-length", Severity: finding.Warn, Place: finding.Thing("line", "stage"),
		Text: "data line stage is long", Value: 350, Limit: 300, Unit: "m", Source: "common practice", Hint: "put a repeater in it"})
	finding.WriteText(os.Stdout, r.List(), 60, false)
	// Output:
	// DO THIS BEFORE ANYONE COMES
	//
	// warn  line-length, line stage
	//       Data line stage is long.
	//       350 m; limit 300 m; 17 % over the limit
	//       try: put a repeater in it
	//       by: common practice
	//
	// KNOW THIS
	//
	// note  uv-dose, seat front left, 1:12.000
	//       Seat front left takes little.
	//       1.2 kJ/m²; limit 10 kJ/m²; 12 % of it
	//       by: ICNIRP 2004
	//
	// 1 warning; 1 note
}
