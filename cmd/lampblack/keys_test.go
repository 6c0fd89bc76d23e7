package main

import (
	"testing"

	"lampblack/play"
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

// Keys give orders, those of extra sounds play them, and what is neither gives none.
func TestKeysGiveOrders(t *testing.T) {
	extras := map[string]string{"f1": "bell", "7": "thunder"}
	for key, want := range map[string]play.Command{
		"f": {Do: play.Freeze}, "u": {Do: play.Unfreeze}, "s": {Do: play.StopAll}, "x": {Do: play.Hush}, "n": {Do: play.Skip}, "\r": {Do: play.Go},
		"f1": {Do: play.Extra, Name: "bell"}, "7": {Do: play.Extra, Name: "thunder"}, "f2": {}, "8": {}, "pageup": {},
	} {
		if got, ok := commandOf(key, extras); got != want || ok != (want != play.Command{}) {
			t.Errorf("key %q gives %+v, want %+v", key, got, want)
		}
	}
}
