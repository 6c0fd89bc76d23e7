package main

import (
	"testing"

	"lampblack/play/line"
)

// No key that steers a run can be a trigger.
func TestSteeringKeys(t *testing.T) {
	for key := range keyActions {
		if _, err := line.ParseTrigger(`key "` + string(rune(key)) + `"`); err == nil {
			t.Errorf("key %q steers, and can be a trigger", key)
		}
	}
}
