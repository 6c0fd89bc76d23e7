package mend_test

import (
	"os"

	"lampblack/check/mend"
)

// What a change does to a file, as it is shown before anybody agrees to it.
func ExampleWriteDiff() {
	mend.WriteDiff(os.Stdout, mend.Change{
		File:   "rig.yaml",
		What:   "unit bar right: address 21 instead of 11",
		Before: []byte("units:\n  - {unit: bar left, address: 5}\n  - {unit: bar right, address: 11}\n"),
		After:  []byte("units:\n  - {unit: bar left, address: 5}\n  - {unit: bar right, address: 21}\n"),
	})
	// Output:
	// rig.yaml: unit bar right: address 21 instead of 11
	// -   3    - {unit: bar right, address: 11}
	// +   3    - {unit: bar right, address: 21}
}
