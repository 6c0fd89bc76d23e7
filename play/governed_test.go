package play

import (
	"strings"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"

	"lampblack/evening"
	"lampblack/play/output"
)

// A hand that takes the show back and forth between a dark and a bright cue ten times a second
// would make the lamp flash as often. It does not, the journal and the page say so, and
// no more often than once a second; when the hand rests, the light is the show's within two
// seconds.
func TestLightIsSoftened(t *testing.T) {
	s := tenCues(t)
	synctest.Test(t, func(t *testing.T) {
		w := newFlips()
		commands := make(chan Command)
		go func() {
			time.Sleep(time.Second)
			for k := range 60 {
				at := []time.Duration{85 * time.Second, 5 * time.Second}[k%2]
				commands <- Command{Do: Seek, At: at}
				commands <- Command{Do: Seek, At: at} // it is meant
				time.Sleep(50 * time.Millisecond)
			}
			commands <- Command{Do: Seek, At: 85 * time.Second}
			commands <- Command{Do: Seek, At: 85 * time.Second}
			time.Sleep(2 * time.Second)
			w.rests.Store(true)
			time.Sleep(2 * time.Second)
			commands <- Command{Do: Quit}
		}()
		var told []evening.Event
		shown := 0
		sum, err := Run(t.Context(), s, Options{Commands: commands, Sinks: []output.Sink{w}, Journal: func(e evening.Event) {
			if e.Kind == evening.Softened {
				told = append(told, e)
			}
		}, Report: func(s Status) {
			for _, t := range s.Wrong {
				if t.Of == TheLight {
					shown++
				}
			}
		}})
		if err != nil {
			t.Fatal(err)
		}
		if w.most > 4 || w.most < 2 { // three flashes, and a rise that is no flash since it lasts
			t.Errorf("the lamp rose %d times within a second", w.most)
		}
		if w.least < 200 {
			t.Errorf("two seconds later its red was at %d of 255", w.least)
		}
		if len(told) < 2 || len(told) > 6 || shown == 0 || sum.Report.Softened != len(told) || !strings.HasPrefix(told[0].Text, "softened: it would have flashed 4 times") {
			t.Errorf("told %d times, shown %d, %+v", len(told), shown, told)
		}
		for i := 1; i < len(told); i++ {
			if d := told[i].Time.Sub(told[i-1].Time); d < time.Second {
				t.Errorf("told again after %v", d)
			}
		}
	})
}

// flips counts how often the first slot rises by a third of its range within a second.
type flips struct {
	film
	most, least int
	up          bool
	rises       []time.Time
	rests       atomic.Bool
}

func newFlips() *flips { return &flips{least: 255} }

func (w *flips) Send(frames []output.Frame, due time.Time) error {
	v := int(frames[0].Slots[0])
	if w.rests.Load() {
		w.least = min(w.least, v)
	}
	switch {
	case v < 60:
		w.up = false
	case v > 150 && !w.up:
		w.up = true
		w.rises = append(w.rises, due)
		n := 0
		for _, r := range w.rises {
			if due.Sub(r) < 990*time.Millisecond {
				n++
			}
		}
		w.most = max(w.most, n)
	}
	return nil
}
