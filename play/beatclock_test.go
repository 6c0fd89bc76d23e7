package play

import (
	"io"
	"testing"
	"testing/synctest"
	"time"
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
		sum, err := Run(t.Context(), s, Options{Clock: NewBeatClock(beatsOf120()), Commands: commands})
		if want := 50 * time.Second; err != nil || (sum.End-want).Abs() > 50*time.Millisecond {
			t.Errorf("after 100 slow beats it is at %v, want %v (%v)", sum.End, want, err)
		}
	})
}

// MIDI clock from a port is followed from its start message on.
func TestMIDIClock(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		c := NewBeatClock(beatsOf120())
		r, w := io.Pipe()
		c.FollowMIDI(r)
		c.Run(0)
		if _, err := w.Write([]byte{0xFA}); err != nil {
			t.Fatal(err)
		}
		for range 24 * 16 { // 16 beats at 150 a minute
			if _, err := w.Write([]byte{0xF8}); err != nil {
				t.Fatal(err)
			}
			time.Sleep(time.Second * 60 / 150 / 24)
		}
		if p := c.Position(); (p - 8*time.Second).Abs() > 30*time.Millisecond {
			t.Errorf("after 16 beats the position is %v", p)
		}
		if err := c.Close(); err != nil {
			t.Error(err)
		}
		w.Close()
	})
}
