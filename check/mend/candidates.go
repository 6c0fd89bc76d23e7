package mend

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"time"

	"lampblack/check/cues"
	"lampblack/check/flash"
	"lampblack/check/lines"
	"lampblack/show"
	"lampblack/si"
	"lampblack/source"
)

func set(key, value string, path ...any) func(t *source.Text) error {
	return func(t *source.Text) error { return t.SetKey(key, value, path...) }
}

// addresses moves the unit to the lowest free address above it. The unit named last in
// the finding is tried first: it is the later of the two in the rig.
func (m *mending) addresses() []attempt {
	var out []attempt
	for _, name := range slices.Backward(m.finding.Units) {
		u := m.show.Rig.Index(name)
		if u < 0 {
			continue
		}
		if free, ok := lines.FreeAddress(m.show.Rig, u); ok {
			what := fmt.Sprintf("unit %s: address %d instead of %d", name, free, m.show.Rig.Units[u].Address)
			out = append(out, attempt{file: show.RigFile, what: what, edit: set("address", strconv.Itoa(free), "units", u)})
		}
	}
	return out
}

// slower lowers the flash rate of the looks that stand in the finding's second, in
// steps of half a hertz, down to none. The steps of half a hertz are those that a
// person would write. Rates above the rule's three a second are not tried.
func (m *mending) slower() []attempt {
	var out []attempt
	for _, look := range m.looksOf() {
		l := &m.show.Score.Looks[look]
		fastest := 0.0
		for _, p := range l.Value.Parts {
			fastest = max(fastest, float64(p.Flash))
		}
		for rate := math.Ceil(2*fastest)/2 - .5; rate >= 0; rate -= .5 {
			if rate > float64(flash.BT.Most) {
				continue
			}
			what := fmt.Sprintf("look %s: flash at %g Hz instead of %g Hz", l.Name, rate, fastest)
			out = append(out, attempt{show.ScoreFile, what, func(t *source.Text) error { return slowDown(t, l.Name, m.show, look, rate) }, Cost{Cues: m.cues(1, look) * (1 - rate/fastest)}})
		}
	}
	return out
}

// slowDown lowers only the parts that flash faster; others keep their rate.
func slowDown(t *source.Text, name string, s *show.Show, look int, rate float64) error {
	for i, p := range s.Score.Looks[look].Value.Parts {
		if float64(p.Flash) > rate {
			if err := t.SetKey("flash", fmt.Sprintf("%g Hz", rate), append([]any{"looks", name}, s.Score.Looks[look].Value.Path(i)...)...); err != nil {
				return err
			}
		}
	}
	return nil
}

// looksOf lists the looks of the finding's cues, and those that they are like. The
// flash may be written in a look that the cue's look is like, so those are candidates
// too. The chain ends, as score.Read has cut circles; Index of no name is -1.
func (m *mending) looksOf() []int {
	var out []int
	for _, c := range m.show.Cues {
		if !slices.Contains(m.finding.Cues, c.Number.Name) {
			continue
		}
		for at := m.show.Score.Looks.Index(m.show.Looks[c.Look].Name); at >= 0 && !slices.Contains(out, at); {
			out = append(out, at)
			at = m.show.Score.Looks.Index(m.show.Score.Looks[at].Value.Like.Name)
		}
	}
	return out
}

// fewerCues takes out cues of the second, from its end, as few as may do. Only bumps
// are taken out: without a bump the light before and after it is what it was, while a
// cue that stays carries the show on. It begins with as many as the count is over its
// limit, since fewer cannot do.
func (m *mending) fewerCues() []attempt {
	var cues []int // in Score.Cues
	for _, c := range m.show.Cues {
		if slices.Contains(m.finding.Cues, c.Number.Name) && c.Bump() {
			cues = append(cues, c.Index)
		}
	}
	var out []attempt
	for n := max(1, int(m.finding.Value-m.finding.Limit)); n <= len(cues); n++ {
		drop := slices.Clone(cues[len(cues)-n:])
		what := "without cue"
		for _, i := range drop {
			what += " " + m.show.Score.Cues[i].Number.Name
		}
		out = append(out, attempt{show.ScoreFile, what, func(t *source.Text) error {
			return t.Remove("cues", drop...) // at once: single cuts of neighbours in a flow list would meet
		}, Cost{Cues: m.cues(n, -1)}})
	}
	return out
}

// onTheHit moves a cue with a time of its own onto the hit beside it. A cue's delay
// comes off the time that is written, since it is added when the cue is placed.
func (m *mending) onTheHit() []attempt {
	hits := cues.StrongHits(m.show.Track)
	for _, c := range m.show.Cues {
		if !slices.Contains(m.finding.Cues, c.Number.Name) || c.At == nil || m.show.Track == nil {
			continue
		}
		hit, ok := cues.MeantFor(hits, c.Moment)
		if !ok {
			continue
		}
		at := si.FormatTime((hit.Time - c.Delay).Round(time.Millisecond))
		what := fmt.Sprintf("cue %s: at %s instead of %s", c.Number, at, si.FormatTime(*c.At))
		return []attempt{{file: show.ScoreFile, what: what, edit: set("at", at, "cues", c.Index)}}
	}
	return nil
}

// unsigned takes out a signature that names nothing.
func (m *mending) unsigned() []attempt {
	for i := range m.show.Bill.Signed {
		if s := &m.show.Bill.Signed[i]; s.Line == m.finding.Line {
			what := fmt.Sprintf("without the signature of %s for %s", s.Person, s.Finding)
			return []attempt{{file: show.BillFile, what: what, edit: func(t *source.Text) error { return t.Remove("signed", i) }}}
		}
	}
	return nil
}

// cues is the share of the cues that so many are, or those that bring a look, with the looks that are like it.
func (m *mending) cues(n, look int) float64 {
	if look >= 0 {
		n = 0
		for i := range m.show.Cues {
			for at := m.show.Score.Looks.Index(m.show.Looks[m.show.Cues[i].Look].Name); at >= 0; at = m.show.Score.Looks.Index(m.show.Score.Looks[at].Value.Like.Name) {
				if at == look {
					n++
					break
				}
			}
		}
	}
	return float64(n) / float64(max(len(m.show.Score.Cues), 1))
}
