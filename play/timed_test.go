package play

import (
	"fmt"
	"testing"
	"testing/synctest"
	"time"

	"lampblack/evening"
	"lampblack/play/clock"
)

// A show that begins by itself begins at its time, at its beginning; go begins
// it sooner, and does not pass over a cue by that; after a hold it waits for go.
func TestBeginsByItself(t *testing.T) {
	s := tenCues(t)
	for _, c := range []struct {
		name     string
		commands map[time.Duration]Action
		begins   time.Duration // after the run's start; 0 never
	}{
		{"by itself", nil, 30 * time.Second},
		{"sooner", map[time.Duration]Action{12 * time.Second: Go}, 12 * time.Second},
		{"stopped", map[time.Duration]Action{12 * time.Second: Hold}, 0},
		{"stopped, and gone on", map[time.Duration]Action{12 * time.Second: Hold, 40 * time.Second: Go}, 40 * time.Second},
		{"after lights up", map[time.Duration]Action{12 * time.Second: LightsUp, 33 * time.Second: LightsDown, 35 * time.Second: Go}, 35 * time.Second},
	} {
		t.Run(c.name, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				start := time.Now()
				commands := make(chan Command, len(c.commands))
				for at, do := range c.commands {
					time.AfterFunc(at, func() { commands <- Command{Do: do} })
				}
				var begun time.Duration
				var log []string
				_, err := Run(t.Context(), s, Options{For: 45 * time.Second, Commands: commands,
					Clock:   clock.NewTimed(&clock.Wall{}, start.Add(30*time.Second)),
					Journal: func(e evening.Event) { log = append(log, fmt.Sprintf("%v %v", e.Kind, e.At)) },
					Report: func(st Status) {
						if begun == 0 && st.State.In > 0 {
							begun = time.Since(start) - st.State.In
						}
					}})
				if err != nil || (begun-c.begins).Abs() > 50*time.Millisecond {
					t.Errorf("it began at %v, want %v; %v; log %q", begun, c.begins, err, log)
				}
			})
		})
	}
}
