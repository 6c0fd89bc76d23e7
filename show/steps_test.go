package show

import (
	"context"
	"strings"
	"testing"
)

// A slow fade of 8-bit drives shows steps: 255 values over a minute are some
// four a second (arithmetic). In a few seconds they run together but for the
// last few, and a master before them shares the work out so finely that none is
// seen. A bump and a snap have none to report.
func TestSteps(t *testing.T) {
	slow := strings.Replace(hall["score.yaml"], "at: 0:40, look: dark, up: 3 s", "at: 0:40, look: dark, up: 60 s", 1)
	bare := strings.Replace(hall["fixtures/par.yaml"], "{dims: all, curve: {dark to: 12, then: linear}}", "{idle: dimmer}", 1)
	for _, master := range []bool{true, false} {
		changes := map[string]string{"score.yaml": slow}
		if !master {
			changes["fixtures/par.yaml"] = bare
		}
		f, _ := Read(hallWith(changes))
		s, faults := New(context.Background(), f, nil)
		if faults.Err() != nil {
			t.Fatal(faults)
		}
		for i := range s.Cues {
			steps, ok := s.Steps(i)
			switch n := s.Cues[i].Number.Name; n {
			case "2", "4":
				if master && (!ok || steps.Count < 50 || steps.Visible > 10) {
					t.Errorf("cue %s: %v, %v", n, steps, ok)
				}
			case "5":
				if master && (!ok || steps.Visible > 0) {
					t.Errorf("cue %s with a master: %v, %v", n, steps, ok)
				}
				if !master && (!ok || steps.Visible == 0 || steps.Longest.Milliseconds() < 60) {
					t.Errorf("cue %s without a master: %v, %v", n, steps, ok)
				}
			default:
				if ok {
					t.Errorf("cue %s has steps to report: %v", n, steps)
				}
			}
		}
	}
}

// A unit moves when one of its drives does, and no other unit with it.
func TestMoves(t *testing.T) {
	f, _ := Read(hallWith(nil))
	s, faults := New(context.Background(), f, nil)
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	before, after := s.NewFrame(), s.NewFrame()
	first, last := s.Rig.UnitDrives(1)
	after.Levels[last-1] = .5
	for u := range s.Rig.Units {
		if got := s.moves(u, before, after); got != (u == 1) {
			t.Errorf("unit %d of drives %d to %d moves: %v", u, first, last, got)
		}
	}
}
