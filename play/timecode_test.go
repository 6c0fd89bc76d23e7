package play

import (
	"slices"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"lampblack/evening"
	"lampblack/play/chase"
	"lampblack/play/output"
)

// A show follows timecode, which is lost at 12 s and back at 60 s. Until then no order takes it
// elsewhere. Lost, its light falls to a look within seconds; go goes on from the place at which
// it stood, with the show's light, and hold holds; then it follows again. All of that is told
// and in the journal.
func TestTimecodeLostInAShow(t *testing.T) {
	s := tenCues(t)
	synctest.Test(t, func(t *testing.T) {
		f := chase.NewFollower("timecode", 0, chase.Loss{Light: "the light goes to the look look 3"})
		start := time.Now()
		since := func(at time.Time) float64 { return at.Sub(start).Seconds() }
		end := make(chan struct{})
		defer close(end)
		go func() {
			for tick := time.NewTicker(10 * time.Millisecond); ; {
				select {
				case now := <-tick.C:
					if d := now.Sub(start); d < 12*time.Second || d > 60*time.Second {
						f.Mark(now, d)
					}
				case <-end:
					return
				}
			}
		}()
		commands := make(chan Command)
		for at, do := range map[time.Duration]Action{5 * time.Second: Skip, 6 * time.Second: Back, 8 * time.Second: Go, 30 * time.Second: Go, 40 * time.Second: Hold, 45 * time.Second: Go, 70 * time.Second: Quit} {
			time.AfterFunc(at, func() { commands <- Command{Do: do} })
		}
		w := &wire{}
		var kinds []string
		places, notices, faults := map[int]time.Duration{}, map[int]string{}, map[int]string{}
		_, err := Run(t.Context(), s, Options{Clock: marked{f}, LostLook: "look 3", Commands: commands, Sinks: []output.Sink{w}, Rate: 20,
			Journal: func(e evening.Event) {
				if e.Kind != evening.Cue && e.Kind != evening.Clock {
					kinds = append(kinds, string(e.Kind))
				}
			},
			Report: func(st Status) {
				at := int(time.Since(start).Seconds())
				places[at], notices[at], faults[at] = st.State.In, st.Notice, st.Clock.Fault.Text
			}})
		if err != nil {
			t.Fatal(err)
		}
		if want := []string{"run", "clock lost", "go", "hold", "go", "clock found", "end"}; !slices.Equal(kinds, want) {
			t.Errorf("the journal says %q, want %q", kinds, want)
		}
		// Places at the end of each second.
		for at, want := range map[int]float64{10: 11, 13: 14, 20: 14, 29: 14, 35: 20, 43: 24, 50: 30, 65: 66} {
			if got := places[at].Seconds(); got < want-.2 || got > want+.2 {
				t.Errorf("at %d s the show is at %.2f s, want %v", at, got, want)
			}
		}
		for at, want := range map[int]string{5: "timecode says where the show is", 6: "timecode says where the show is", 8: "nothing waits for go"} {
			if !strings.Contains(notices[at], want) {
				t.Errorf("at %d s it says %q, want %q", at, notices[at], want)
			}
		}
		if !strings.Contains(faults[12], "no timecode") || !strings.Contains(faults[20], "goes to the look look 3") || !strings.Contains(faults[35], "by the computer's clock") {
			t.Errorf("it tells %q, %q, %q", faults[12], faults[20], faults[35])
		}
		fallen := [2]byte{76, 255}
		for i, at := range w.at {
			got, d := w.slots[i], since(at)
			switch {
			case d > 17.5 && d < 30 && got != fallen:
				t.Fatalf("at %.2f s the light is %v, want that of the look", d, got)
			case d > 34 && d < 40 && got == fallen:
				t.Fatalf("at %.2f s the light is still that of the look", d)
			}
		}
	})
}

// marked is a follower that a test marks.
type marked struct{ *chase.Follower }

func (marked) Close() error { return nil }
