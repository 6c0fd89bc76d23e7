package main

import (
	"testing"

	"lampblack/check/finding"
	"lampblack/play/governor"
)

// What was signed for may flash as often as the finding says, and what was not may not; nor does a warning that
// somebody has seen to let anything flash.
func TestSignedFor(t *testing.T) {
	got := signedFor([]finding.Finding{
		{ID: "flash-union", Severity: finding.Stop, Value: 7, Signed: "K, today"}, {ID: "flash-union", Severity: finding.Stop, Value: 9},
		{ID: "flash-rate", Severity: finding.Stop, Value: 5, Signed: "K, today"}, {ID: "flash-red", Severity: finding.Stop, Value: 6, Signed: "K, today"},
		{ID: "flash-rate", Severity: finding.Warn, Value: 11, Signed: "K, today"}, {ID: "blackout", Severity: finding.Stop, Value: 12, Signed: "K, today"},
	})
	if got != (governor.Allowed{Units: 7, Eye: 6}) {
		t.Errorf("%+v", got)
	}
}
