package desk

import (
	"math"
	"strings"
	"testing"
	"time"
)

// Two washes that take turns come down to two states and a recall for each turn, on its
// instant; what drifts has more states than are kept, and the report says by how much what is
// seen differs.
func TestDeskPlaysTurns(t *testing.T) {
	const wide = "name: wide\nslots: 40\npatch: any\nscenes: 40\nrecalled by: [{note: 36, to: 75}]\nlatency: 0 ms\nshortest gap: 20 ms\n"
	s := tinyShow(t, "parts: [{units: [wash left, wash right], emitters: {red: 12 %, green: 20 %}}]", "parts: [{units: [wash left, wash right], emitters: {red: 60 %}, in turn: {every: 2 s}}]",
		"look: sea}", "look: sea}\n  - {cue: 5, at: 0:50, look: open}")
	p := fit(t, s, wide)
	var turns []time.Duration
	for _, r := range p.Recalls {
		if r.Moves {
			turns = append(turns, r.At)
		}
	}
	if len(turns) < 8 {
		t.Fatalf("%d recalls for what moves: %v", len(turns), turns)
	}
	for _, at := range turns[1:] {
		if off := math.Mod(at.Seconds(), 1); math.Min(off, 1-off) > .051 {
			t.Errorf("a turn is recalled at %v", at)
		}
	}
	var told string
	for _, l := range p.Losses {
		if strings.Contains(l.Text, "moves by itself") {
			told = l.Text
		}
	}
	if !strings.Contains(told, "2 steps") {
		t.Errorf("told is %q", told)
	}
	played := p.Played()
	f, g := s.NewFrame(), played.NewFrame()
	same, all := 0, 0
	for at := 31 * time.Second; at < s.Length; at += 100 * time.Millisecond {
		s.Light(f, at)
		played.Light(g, at)
		all++
		alike := true
		for d := range f.Levels {
			alike = alike && math.Abs(float64(f.Levels[d]-g.Levels[d])) < .02
		}
		if alike {
			same++
		}
	}
	if all > 0 && same < all*8/10 {
		t.Errorf("the desk's light is the show's at %d of %d instants", same, all)
	}
}
