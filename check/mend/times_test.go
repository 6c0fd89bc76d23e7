package mend

import (
	"testing"
	"time"

	"lampblack/check/finding"
	"lampblack/score"
	"lampblack/show"
	"lampblack/source"
)

// timed is a show of one cue, beside another, with a finding about it.
func timed(id string, c score.Cue, start time.Duration, value float64) *mending {
	c.Number = source.Ref{Name: "2"}
	other := score.Cue{Number: source.Ref{Name: "1"}}
	return &mending{
		show: &show.Show{Score: &score.Score{Cues: []score.Cue{other, c}}, Cues: []show.Cue{
			{Cue: &other, Index: 0}, {Cue: &c, Index: 1, Start: start},
		}},
		finding: finding.Finding{ID: id, Cues: []string{"2"}, Value: value},
	}
}

// What is tried where time is short, in words and in the file.
func TestShortOfTime(t *testing.T) {
	s := func(v float64) time.Duration { return time.Duration(v * float64(time.Second)) }
	down := s(9)
	long := score.Cue{Up: s(6), Down: &down}
	const file = "cues:\n  - {cue: 1, look: a}\n  - {cue: 2, look: b, up: 6 s, down: 9 s} # as the sea\n"
	for _, c := range []struct {
		name string
		m    *mending
		says []string
		want string // of the first
	}{
		{"a fade of which the next cue leaves 2.27 s", timed("fade-cut", long, 0, 2.27), []string{"cue 2: its fade takes 2.2 s, as long as there is"},
			"cues:\n  - {cue: 1, look: a}\n  - {cue: 2, look: b, up: 2.2 s, down: 2.2 s} # as the sea\n"},
		{"one of which it leaves 7 s", timed("fade-cut", long, 0, 7), []string{"cue 2: its fade takes 7 s, as long as there is"},
			"cues:\n  - {cue: 1, look: a}\n  - {cue: 2, look: b, up: 6 s, down: 7 s} # as the sea\n"},
		{"one of which it leaves 45 ms", timed("fade-cut", long, 0, .045), []string{"cue 2: its fade takes 0.045 s, as long as there is"},
			"cues:\n  - {cue: 1, look: a}\n  - {cue: 2, look: b, up: 0.045 s, down: 0.045 s} # as the sea\n"},
		{"a cue that would begin 2 s before the sound", timed("cue-unreached", score.Cue{Up: s(6)}, s(-2), 2), []string{"cue 2: its fade takes 4 s, as long as there is", "without cue 2, which nobody sees"},
			"cues:\n  - {cue: 1, look: a}\n  - {cue: 2, look: b, up: 4 s, down: 9 s} # as the sea\n"},
		{"a cue behind the end", timed("cue-unreached", score.Cue{Up: s(6)}, s(600), 600), []string{"without cue 2, which nobody sees"},
			"cues:\n  - {cue: 1, look: a}\n"},
	} {
		t.Run(c.name, func(t *testing.T) {
			list := c.m.candidates()
			if len(list) != len(c.says) {
				t.Fatalf("it tries %d changes, want %d", len(list), len(c.says))
			}
			for i := range list {
				if list[i].what != c.says[i] {
					t.Errorf("it tries %q, want %q", list[i].what, c.says[i])
				}
				if share := list[i].cost.Cues; share <= 0 || share > .5 {
					t.Errorf("%s costs %.2f of two cues", list[i].what, share)
				}
			}
			if got := edited(t, list[0], file); got != c.want {
				t.Errorf("it writes\n%swant\n%s", got, c.want)
			}
		})
	}
}
