package main

import (
	"testing"

	"lampblack/play/line"
)

// No key that steers a run can be a trigger, and no other is kept from being one.
func TestSteeringKeys(t *testing.T) {
	for key := range keyActions {
		if _, err := line.ParseTrigger(`key "` + string(rune(key)) + `"`); err == nil {
			t.Errorf("key %q steers, and can be a trigger", key)
		}
	}
	for _, key := range []byte(line.Steering) {
		if keyActions[key] == "" {
			t.Errorf("key %q can be no trigger, and steers nothing", key)
		}
	}
}
