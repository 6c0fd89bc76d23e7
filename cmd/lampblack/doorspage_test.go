package main

import (
	"context"
	"testing"
	"testing/synctest"
	"time"

	"lampblack/doors"
)

// A page that has lost its network leaves no lamp pulsing.
func TestPulseEnds(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		pulses := ""
		r := newRound()
		r.begin(doors.Setup{Machine: doors.This(), Units: []doors.Unit{{Name: "par 1"}, {Name: "par 2"}},
			Identify: func(_ context.Context, unit string) error { pulses = unit; return nil }}, nil)
		for _, unit := range []string{"par 1", "par 2"} {
			if err := r.Try("unit " + unit); err != nil || pulses != unit {
				t.Fatalf("%q pulses, %v", pulses, err)
			}
			time.Sleep(tried - time.Second)
			synctest.Wait()
			if pulses != unit {
				t.Fatalf("%s does not pulse any more", unit)
			}
		}
		time.Sleep(2 * time.Second)
		synctest.Wait()
		if pulses != "" {
			t.Errorf("%s still pulses", pulses)
		}
	})
}
