package mend

import (
	"fmt"
	"slices"
	"time"

	"lampblack/show"
	"lampblack/source"
)

// cued are the cues of the finding, as the show has them.
func (m *mending) cued() (out []*show.Cue) {
	for i := range m.show.Cues {
		if c := &m.show.Cues[i]; slices.Contains(m.finding.Cues, c.Number.Name) {
			out = append(out, c)
		}
	}
	return out
}

// fadeInTime has a fade take as long as there is until the next cue takes over.
func (m *mending) fadeInTime() []attempt {
	there := time.Duration(m.finding.Value * float64(time.Second))
	for _, c := range m.cued() {
		if takes := max(c.Up, c.Falls()); takes > there {
			return m.fadesIn(c, there, 1-float64(there)/float64(takes))
		}
	}
	return nil
}

// reached has a cue that nobody would see start at the beginning by a shorter fade, or takes it out.
func (m *mending) reached() (out []attempt) {
	all := m.cued()
	if len(all) == 0 {
		return nil
	}
	c := all[0] // the others are what it is hidden by
	if there := c.Up + c.Start; c.Start < 0 && there >= 0 {
		out = m.fadesIn(c, there, float64(-c.Start)/float64(max(c.Up, 1)))
	}
	return append(out, attempt{show.ScoreFile, fmt.Sprintf("without cue %s, which nobody sees", c.Number), func(t *source.Text) error {
		return t.Remove("cues", c.Index)
	}, Cost{Cues: m.cues(1, -1)}})
}

// fadesIn gives a cue's fades at most so much time, down to a tenth of a second that a person would write. It
// costs the share of the one cue.
func (m *mending) fadesIn(c *show.Cue, there time.Duration, share float64) []attempt {
	if there >= 100*time.Millisecond {
		there = there.Truncate(100 * time.Millisecond)
	}
	keys := []string{}
	if c.Up > there {
		keys = append(keys, "up")
	}
	if c.Down != nil && *c.Down > there {
		keys = append(keys, "down")
	}
	if len(keys) == 0 {
		return nil
	}
	value := fmt.Sprintf("%g s", there.Round(time.Millisecond).Seconds())
	return []attempt{{show.ScoreFile, fmt.Sprintf("cue %s: its fade takes %s, as long as there is", c.Number, value), func(t *source.Text) error {
		for _, key := range keys {
			if err := t.SetKey(key, value, "cues", c.Index); err != nil {
				return err
			}
		}
		return nil
	}, Cost{Cues: m.cues(1, -1) * share}}}
}

// unusedLook takes a look out that nothing brings.
func (m *mending) unusedLook() []attempt {
	for i := range m.show.Score.Looks {
		if e := &m.show.Score.Looks[i]; e.Pos.Line == m.finding.Line {
			return []attempt{{show.ScoreFile, "without look " + e.Name, func(t *source.Text) error {
				return t.RemoveKeys([]string{e.Name}, "looks")
			}, Cost{}}}
		}
	}
	return nil
}
