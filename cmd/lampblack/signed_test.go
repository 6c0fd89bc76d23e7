package main

import (
	"testing"

	"lampblack/check/finding"
	"lampblack/play/governor"
)

// What was signed for may flash as often as the finding says, and what was not may not.
func TestSignedFor(t *testing.T) {
	got := signedFor([]finding.Finding{
		{ID: "flash-union", Value: 7, Signed: "K, today"}, {ID: "flash-union", Value: 9},
		{ID: "flash-rate", Value: 5, Signed: "K, today"}, {ID: "flash-red", Value: 6, Signed: "K, today"}, {ID: "blackout", Value: 12, Signed: "K, today"},
	})
	if got != (governor.Allowed{Units: 7, Eye: 6}) {
		t.Errorf("%+v", got)
	}
}
