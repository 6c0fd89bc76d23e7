// Package lines checks addresses and data lines: give [Family] to a run of
// package check; [Refresh] tells how long a frame takes on the wire.
//
// The model: slots are intervals on a universe; a line is a chain of unit loads
// with a length, one end and a terminator, as EIA-485 has it; a unit does without
// data what its type's file says.
//
// Sources: ANSI E1.11 (timing, loss of data), EIA-485 (32 unit loads, one line
// without branches); lengths, adaptors and radio are common practice, no source.
//
// It does not see: the cable's state, shielding, isolation, interference, or
// whether a unit is set to the address that it has on paper.
package lines

import (
	"lampblack/check/finding"
	"lampblack/check/subject"
)

// limits is one run over the family's table.
type limits struct{ *subject.Run }

// Family looks at addresses and data lines.
var Family = subject.NewFamily(func(r *subject.Run) *limits { return &limits{r} }, table...)

var table = []subject.Limit[*limits]{
	{Measure: (*limits).addresses, Tells: finding.Tells{
		"address-overlap": "two units listen to the same slots",
		"address-shared":  "units of one type share an address and do the same",
	}},
	{Measure: (*limits).lines, Tells: finding.Tells{
		"line-adaptors":   "3-pin connectors on a data line",
		"line-branch":     "a data line that branches without a splitter",
		"line-cable":      "cable that is not made for data",
		"line-isolation":  "a data line that joins units of different phases without isolation",
		"line-length":     "length of a data line",
		"line-loads":      "unit loads on a data line",
		"line-order":      "a unit that its data line's order leaves out",
		"line-short":      "a data line shorter than the way through its units",
		"line-terminator": "the terminator at the end of a data line",
		"line-universe":   "a unit on the data line of another universe",
		"line-wireless":   "data by radio",
	}},
	{Measure: (*limits).reach, Tells: finding.Tells{
		"output-missing": "units of a universe that no output sends",
		"output-twice":   "two outputs that send one universe to one receiver",
	}},
	{Measure: (*limits).wiring, Tells: finding.Tells{
		"line-port":  "two data lines from one port",
		"line-twice": "a unit on two data lines",
	}},
	{Measure: (*limits).refresh, Tells: finding.Tells{"line-refresh": "how often the slots of a universe are refreshed"}},
	{Measure: (*limits).losses, Tells: finding.Tells{"line-loss": "what a unit does when its data stops"}},
}
