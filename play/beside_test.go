package play

import (
	"slices"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"lampblack/evening"
	"lampblack/play/trigger"
)

// A run with its sound device: triggers and orders play extra sounds over the piece, a test
// signal waits for a hold, a level goes down and is in the journal, and stop all takes
// everything out; light and sound go on from where they were. A run that is taken up from the
// journal has the level that a hand had set.
func TestSoundBesideTheOrder(t *testing.T) {
	s := tenCues(t)
	synctest.Test(t, func(t *testing.T) {
		d := &speaker{rate: 1000, channels: 2, ahead: 50}
		on := speakersOn(t, d)
		defer on.Close()
		on.extras = []*extra{{name: "bell", track: constant(1000, time.Minute), to: pair}}
		commands, triggers := make(chan Command), make(chan trigger.Fired)
		type look struct {
			loud   int16
			status Status
		}
		var looks []look
		at := func(seconds float64, do func()) { time.AfterFunc(time.Duration(seconds*1e9), do) }
		order := func(seconds float64, c Command) { at(seconds, func() { commands <- c }) }
		at(3, func() { triggers <- trigger.Fired{Name: "door", Time: time.Now()} })
		order(5, Command{Do: Test, Channel: 1})
		order(6, Command{Do: Extra, Name: "drum"})
		order(7, Command{Do: Level, Level: -6.0206, At: time.Second})
		order(10, Command{Do: Hush})
		order(15, Command{Do: Extra, Name: "bell"})
		order(17, Command{Do: StopAll, At: 2 * time.Second})
		order(21, Command{Do: Test, Channel: 2})
		order(30, Command{Do: Go})
		order(35, Command{Do: Quit})
		var events []evening.Event
		sum, err := Run(t.Context(), s, Options{Clock: zone(t, on, pair, constant(10000, 10*time.Minute)), Commands: commands, Triggers: triggers, Rate: 20, Zone: "hall",
			Speakers: func() *Speakers { return on }, Extras: map[string][]string{"door": {"bell"}},
			Journal: func(e evening.Event) { events = append(events, e) },
			Report: func(st Status) {
				_, _, _ = d.heard()
				g := d.took()
				looks = append(looks, look{g[len(g)-2], st})
			}})
		if err != nil || (sum.End-22*time.Second).Abs() > 200*time.Millisecond {
			t.Errorf("it ended at %v, want 17 s and 5 s: %v", sum.End, err)
		}
		near := func(seconds float64) look {
			for _, l := range looks {
				if l.status.State.Instant.Sub(looks[0].status.State.Instant).Seconds() >= seconds {
					return l
				}
			}
			return look{}
		}
		for seconds, want := range map[float64]int16{2.5: 10000, 4.5: 11000, 8.9: 6000, 12: 5000, 16: 6000, 20.5: 0, 34: 5000} {
			if got := near(seconds); got.loud < want-200 || got.loud > want+200 {
				t.Errorf("at %v s it is at %d, want %d", seconds, got.loud, want)
			}
		}
		for seconds, want := range map[float64]string{5.2: "the test signal is for a show that is held", 6.2: "extra sound drum is not there", 21.5: "the test signal plays on channel 2"} {
			if got := near(seconds); !strings.Contains(got.status.Notice, want) {
				t.Errorf("at %v s it says %q", seconds, got.status.Notice)
			}
		}
		if a, b, c := near(4.5).status.Beside, near(12).status.Beside, near(22).status.Beside; !slices.Equal(a.Extras, []string{"bell"}) || b.Extras != nil || !c.Tests || !c.Device {
			t.Errorf("it says that it hears %+v, %+v, %+v", a, b, c)
		}
		var kinds []string
		state := evening.State{}
		for _, e := range events {
			if e.Kind != evening.Cue && e.Kind != evening.Ended && e.Kind != evening.Clock {
				state = state.After(e)
				kinds = append(kinds, string(e.Kind)+" "+e.Text)
			}
		}
		want := []string{"extra sound bell", "sound level -6 dB over 1 s", "extra sound bell", "stop all over 2 s", "go "}
		if !slices.Equal(kinds[1:], want) {
			t.Errorf("the journal says %q, want %q", kinds, want)
		}
		if state.Lowered != 6 {
			t.Fatalf("by the journal it is lowered by %v dB", state.Lowered)
		}
		// Taken up: as loud as it was.
		state.Instant = time.Now()
		loud := int16(0)
		if _, err := Run(t.Context(), s, Options{Start: state, Clock: zone(t, on, pair, constant(10000, 10*time.Minute)), For: 2 * time.Second, Rate: 20, Report: func(Status) {
			_, _, _ = d.heard()
			g := d.took()
			loud = g[len(g)-2]
		}}); err != nil {
			t.Fatal(err)
		}
		if loud < 4900 || loud > 5100 {
			t.Errorf("taken up it is at %d", loud)
		}
	})
}
