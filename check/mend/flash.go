package mend

import (
	"fmt"
	"slices"
	"time"

	"lampblack/show"
	"lampblack/si"
	"lampblack/source"
)

// bumps lists the bump cues of the finding by their starts, as indexes in
// Show.Cues.
func (m *mending) bumps() []int {
	var out []int
	for i := range m.show.Cues {
		c := &m.show.Cues[i]
		if c.Bump() && slices.Contains(m.finding.Cues, c.Number.Name) {
			out = append(out, i)
		}
	}
	return out
}

// part is what a cue loses that is moved or made slower, of one that goes (a choice).
const part = .25

// inStep brings bumps that come close after one another together: units that flash at
// once are one flash, those that flash in turn are many. Bumps chain no further than
// 250 ms from the first of their group, as all of a group go to its time. Only cues
// with a time of their own are moved: those on a moment belong to it.
func (m *mending) inStep() []attempt {
	// Bumps farther apart than this are heard and seen as two accents, and no one would
	// call them one; this tool's choice.
	const close = 250 * time.Millisecond
	moved := map[int]time.Duration{} // by index in Score.Cues
	bumps := m.bumps()
	for i := 1; i < len(bumps); i++ {
		a, b := &m.show.Cues[bumps[i-1]], &m.show.Cues[bumps[i]]
		first, together := moved[a.Index]
		if !together {
			first = a.Moment
		}
		if b.At != nil && b.Moment-first > 0 && b.Moment-first <= close {
			moved[b.Index] = first
		}
	}
	if len(moved) == 0 {
		return nil
	}
	what := si.Count(len(moved), "cue in step with the one before it", "cues in step with the ones before them")
	return []attempt{{file: show.ScoreFile, what: what, cost: Cost{Cues: part * m.cues(len(moved), -1)}, edit: func(t *source.Text) error {
		for i := range m.show.Score.Cues {
			if at, ok := moved[i]; ok {
				if err := t.SetKey("at", si.FormatTime(at), "cues", i); err != nil {
					return err
				}
			}
		}
		return nil
	}}}
}

// longerFades lets the bumps fall back more slowly, up to two seconds: light that has
// hardly fallen when the next bump comes is no flash. A bump that is slow enough
// already stays as it is.
func (m *mending) longerFades() []attempt {
	var out []attempt
	for _, returns := range []time.Duration{500 * time.Millisecond, time.Second, 2 * time.Second} {
		changed := slices.DeleteFunc(m.bumps(), func(i int) bool { return *m.show.Cues[i].Returns >= returns })
		if len(changed) == 0 {
			continue
		}
		what := fmt.Sprintf("%s: returns %g s", si.Count(len(changed), "cue", "cues"), returns.Seconds())
		out = append(out, attempt{file: show.ScoreFile, what: what, cost: Cost{Cues: part * m.cues(len(changed), -1)}, edit: func(t *source.Text) error {
			for _, i := range changed {
				if err := t.SetKey("returns", fmt.Sprintf("%g s", returns.Seconds()), "cues", m.show.Cues[i].Index); err != nil {
					return err
				}
			}
			return nil
		}})
	}
	return out
}
