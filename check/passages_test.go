package check

import (
	"math"
	"testing"
	"time"

	"lampblack/check/checktest"
)

// Every passage in which an eye sees too many flashes is told, each with its span, however many worse
// ones there are.
func TestEveryPassage(t *testing.T) {
	s := checktest.Booth(`looks:
  storm: {parts: [{system: all, emitters: {white: 100 %}, flash: 8 Hz}]}
  rain: {parts: [{system: all, emitters: {white: 100 %}, flash: 5 Hz}]}
  calm: {parts: [{system: all, emitters: {white: 10 %}}]}
cues:
  - {cue: 1, at: 0:00, look: calm}
  - {cue: 2, at: 0:10, look: storm}
  - {cue: 3, at: 0:12, look: calm}
  - {cue: 4, at: 0:40, look: rain}
  - {cue: 5, at: 0:58, look: calm}
  - {cue: 6, at: 1:30, look: storm}
  - {cue: 7, at: 1:33, look: calm}
`)
	list := ran(t, s, "flash-rate")
	want := [][3]float64{{10, 12, 8}, {40, 58, 5}, {90, 93, 8}}
	if len(list) != len(want) {
		t.Fatalf("%d passages: %v", len(list), list)
	}
	for _, w := range want {
		found := false
		for _, f := range list {
			if math.Abs(f.From-w[0]) < 1.1 && math.Abs(f.To-w[1]) < 1.1 {
				found = true
				if math.Abs(f.Value-w[2]) > 1.1 {
					t.Errorf("from %v on there are %v flashes in a second", time.Duration(w[0]*1e9), f.Value)
				}
			}
		}
		if !found {
			t.Errorf("no passage from %v s to %v s: %v", w[0], w[1], list)
		}
	}
}
