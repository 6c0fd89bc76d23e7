package play

import (
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"lampblack/evening"
	"lampblack/play/output"
)

// The sound device goes away in a show, another is played on for a while, and the one that was
// asked for comes back: that is in the journal within a second, and the light goes on all the
// while as if nothing had been, cue by cue at its time.
func TestSoundLostInAShow(t *testing.T) {
	s := tenCues(t)
	synctest.Test(t, func(t *testing.T) {
		d := &wanting{speaker: &speaker{rate: 1000, channels: 2, ahead: 50}, there: true, taken: true}
		on, err := newSpeakers(d)
		if err != nil {
			t.Fatal(err)
		}
		defer on.Close()
		start := time.Now()
		after := func(seconds float64, do func()) { time.AfterFunc(time.Duration(seconds*1e9), do) }
		after(12, d.pull)
		after(33, func() { d.be(false, true); d.plug() })
		after(51, func() { d.be(false, true) })
		type happened struct {
			at   float64
			text string
		}
		var got []happened
		w := &wire{}
		_, err = Run(t.Context(), s, Options{Clock: zone(t, on, pair, longTrack()), Sinks: []output.Sink{w}, Rate: 20, For: 70 * time.Second,
			Speakers: func() *Speakers { return on }, Report: func(Status) {},
			Journal: func(e evening.Event) {
				switch e.Kind {
				case evening.ClockLost, evening.ClockFound, evening.Fault, evening.FaultOver:
					got = append(got, happened{time.Since(start).Seconds(), string(e.Kind) + " " + e.Text})
				}
			}})
		if err != nil {
			t.Fatal(err)
		}
		for i, want := range []happened{{12, "clock lost the sound device is gone (unplugged)"}, {36, `fault sound: the device "balcony" is not there`}, {36, "clock found"}, {51, `fault over sound: the device "balcony"`}} {
			if i >= len(got) || got[i].at < want.at-3 || got[i].at > want.at+1.5 || !strings.HasPrefix(got[i].text, want.text) {
				t.Fatalf("the journal says %+v, want %+v there", got, want)
			}
		}
		if lost := got[0].at; lost > 13 {
			t.Errorf("that the device is gone is told at %v s, a second later at least", lost)
		}
		for i, at := range w.at { // the sound began after beginTime
			if place := at.Sub(start).Seconds() - beginTime.Seconds(); place > 1 && int(place-.1) == int(place+.1) && place < 69 {
				if red, want := w.slots[i][0], byte(float64(int(place/10))*25.5); diff(red, want) > 1 {
					t.Fatalf("at %.2f s red stands at %d, want %d", place, red, want)
				}
			}
		}
	})
}
