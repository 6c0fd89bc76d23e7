package show

import (
	"context"
	"strings"
	"testing"
)

// A slow fade of 8-bit dimmers shows steps: 255 values over a minute are some
// four a second (arithmetic). In a few seconds they run together; a bump and a
// snap have none to report.
func TestSteps(t *testing.T) {
	slow := strings.Replace(hall["score.yaml"], "at: 0:40, look: dark, up: 3 s", "at: 0:40, look: dark, up: 60 s", 1)
	f, _ := Read(folder(map[string]string{"score.yaml": slow}))
	s, faults := New(context.Background(), f, nil)
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	for i := range s.Cues {
		steps, ok := s.Steps(i)
		switch n := s.Cues[i].Number.Name; n {
		case "2", "4":
			if !ok || steps.Count < 50 || steps.Visible > 0 {
				t.Errorf("cue %s: %v, %v", n, steps, ok)
			}
		case "5":
			if !ok || steps.Visible == 0 || steps.Longest.Milliseconds() < 60 {
				t.Errorf("cue %s: %v, %v", n, steps, ok)
			}
		default:
			if ok {
				t.Errorf("cue %s has steps to report: %v", n, steps)
			}
		}
	}
}
