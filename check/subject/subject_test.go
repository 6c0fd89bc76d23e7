package subject

import (
	"slices"
	"testing"
	"time"

	"lampblack/score"
	"lampblack/show"
	"lampblack/source"
)

// The cue that stands is the last that began, but for bumps that are over: what
// a bump lay over stands again.
func TestStanding(t *testing.T) {
	back := time.Second
	cue := func(number string, start, complete time.Duration, returns *time.Duration) show.Cue {
		return show.Cue{Cue: &score.Cue{Number: source.Ref{Name: number}, Returns: returns}, Start: start, Complete: complete}
	}
	s := Of(&show.Show{Cues: []show.Cue{
		cue("1", 2*time.Second, 4*time.Second, nil),
		cue("2", 6*time.Second, 8*time.Second, &back),
		cue("3", 7*time.Second, 7500*time.Millisecond, &back),
	}})
	for _, c := range []struct {
		at   time.Duration
		want []string
	}{
		{time.Second, nil},
		{3 * time.Second, []string{"1"}},
		{6500 * time.Millisecond, []string{"2"}},
		{7200 * time.Millisecond, []string{"3"}},
		{7800 * time.Millisecond, []string{"2"}},
		{time.Minute, []string{"1"}},
	} {
		if got := s.Standing(c.at); !slices.Equal(got, c.want) {
			t.Errorf("at %v stands %v, want %v", c.at, got, c.want)
		}
	}
}
