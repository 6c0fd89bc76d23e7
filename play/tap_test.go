package play

import (
	"testing"
	"testing/synctest"
	"time"

	"lampblack/play/chase"
)

// beatsOf120 are the beats of a piece written at 120 a minute.
func beatsOf120() []time.Duration {
	beats := make([]time.Duration, 200)
	for k := range beats {
		beats[k] = time.Duration(k) * 500 * time.Millisecond
	}
	return beats
}

// A show that follows a person who plays a fifth slower takes a fifth longer.
func TestTappedShow(t *testing.T) {
	s := tenCues(t)
	synctest.Test(t, func(t *testing.T) {
		commands := make(chan Command)
		go func() {
			for range 100 {
				commands <- Command{Do: Tap}
				time.Sleep(600 * time.Millisecond)
			}
			commands <- Command{Do: Quit}
		}()
		sum, err := Run(t.Context(), s, Options{Clock: chase.NewBeat(beatsOf120()), Commands: commands})
		if want := 50 * time.Second; err != nil || (sum.End-want).Abs() > 50*time.Millisecond {
			t.Errorf("after 100 slow beats it is at %v, want %v (%v)", sum.End, want, err)
		}
	})
}
