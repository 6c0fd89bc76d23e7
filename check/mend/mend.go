// Package mend changes a show's files so that a finding goes away: [Find] searches for
// the smallest change, [WriteDiff] prints it line by line.
//
//	finding ─▶ candidates, smallest first ─▶ edit one file in memory
//	                 ▲                         solve, check as a whole
//	                 └────── worse or no better ──────┘ passes: a Change
//
// The model of "smallest" is the order in which a working person would try: one number
// before another, one cue before several, slower before fewer. Nothing is written;
// whoever asked writes the change, or does not. Every candidate costs a solving of what
// it touches and a whole run of the checks.
//
// It does not see what a file cannot say: where a unit hangs, what it is plugged into,
// which lamp to hire; nor changes of several files at once, nor whether the show still
// means what it meant.
package mend

import (
	"context"
	"fmt"
	"io/fs"
	"math"
	"slices"
	"strconv"
	"time"

	"lampblack/check"
	"lampblack/check/cues"
	"lampblack/check/finding"
	"lampblack/check/flash"
	"lampblack/check/lines"
	"lampblack/show"
	"lampblack/si"
	"lampblack/source"
)

// Change is a new text of one file of a show.
type Change struct {
	File          string
	Before, After []byte
	What          string // in words: "unit bar right: address 5 instead of 11"
}

// Find finds the smallest change of the show's files after which the check
// that made the finding passes and no other stop or warn appears. Candidates
// are tried from the smallest on; each is solved and checked as a whole before
// it is returned. Not ok means that there is none that a file can hold: what
// hangs and what it is plugged into is for hands to change.
func Find(ctx context.Context, dir fs.FS, s *show.Show, f finding.Finding) (changes []Change, ok bool) {
	m := &mending{ctx: ctx, dir: dir, show: s, finding: f}
	before, err := check.Run(ctx, s, check.Options{})
	if err != nil {
		return nil, false
	}
	m.before = before
	for _, try := range m.candidates() {
		if ctx.Err() != nil {
			return nil, false
		}
		if c, ok := m.passes(try); ok {
			return []Change{c}, true
		}
	}
	return nil, false
}

// mending is one search. before are the findings of the show as it stands: what was bad
// already is not held against a candidate.
type mending struct {
	ctx     context.Context
	dir     fs.FS
	show    *show.Show
	finding finding.Finding
	before  []finding.Finding
}

// attempt is one candidate: edits of one file.
type attempt struct {
	file string
	what string
	edit func(t *source.Text) error
}

// candidates lists what may help, the smallest change first. For flashing a lower rate
// of a unit's own comes first, as the look stays what it was; then cues brought
// together, which keeps their number; then longer fades; and only then are cues taken
// out. Identifiers that are not here have no cure that a file can hold.
func (m *mending) candidates() []attempt {
	switch m.finding.ID {
	case "address-overlap":
		return m.addresses()
	case "flash-rate", "flash-red", "flash-union":
		return slices.Concat(m.slower(), m.inStep(), m.longerFades(), m.fewerCues())
	case "cue-off":
		return m.onTheHit()
	case "uv-dose":
		return m.lessRehearsal()
	case "signature":
		return m.unsigned()
	}
	return nil
}

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
			out = append(out, attempt{show.RigFile, what, set("address", strconv.Itoa(free), "units", u)})
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
			out = append(out, attempt{show.ScoreFile, what, func(t *source.Text) error { return slowDown(t, l.Name, m.show, look, rate) }})
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
		}})
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
		return []attempt{{show.ScoreFile, what, set("at", at, "cues", c.Index)}}
	}
	return nil
}

// lessRehearsal shortens the rehearsal with ultraviolet on the days that pass the
// limit, in steps of five minutes. Only the rehearsal is negotiable: shows are sold.
// The steps grow (5, 10, 15 minutes …), eight of them, since part of the dose is that
// of the shows and the first guess counts all of it as the rehearsal's.
func (m *mending) lessRehearsal() []attempt {
	var out []attempt
	for i, d := range m.show.Bill.Days {
		length := time.Duration(d.Rehearsal)
		// The dose grows in a straight line with the time; the finding's value tells
		// how much at least must go.
		const step = 5 * time.Minute
		// The dose grows in a straight line with the time; the finding's value
		// tells how much at least must go.
		share := m.finding.Limit / m.finding.Value
		from := time.Duration(float64(length)*share) / step * step
		for n, left := 0, from; left >= 0 && n < 8; n, left = n+1, left-step*time.Duration(1+n) {
			what := fmt.Sprintf("%s: %d min of rehearsal with ultraviolet instead of %d min", d.Name, int(left.Minutes()), int(length.Minutes()))
			out = append(out, attempt{show.BillFile, what, set("rehearsal", fmt.Sprintf("%d min", int(left.Minutes())), "days", i)})
		}
	}
	return out
}

// unsigned takes out a signature that names nothing.
func (m *mending) unsigned() []attempt {
	for i := range m.show.Bill.Signed {
		if s := &m.show.Bill.Signed[i]; s.Line == m.finding.Line {
			what := fmt.Sprintf("without the signature of %s for %s", s.Person, s.Finding)
			return []attempt{{show.BillFile, what, func(t *source.Text) error { return t.Remove("signed", i) }}}
		}
	}
	return nil
}

// passes makes the change and checks the show that comes of it. The folder itself is
// never touched; the changed file lies over it in memory. A candidate that leads to a
// faulty file, or to a show that does not solve, is passed over in silence: it is a
// guess, and the next one follows.
func (m *mending) passes(a attempt) (Change, bool) {
	before, err := fs.ReadFile(m.dir, a.file)
	if err != nil {
		return Change{}, false
	}
	t, faults := source.OpenText(a.file, before)
	if faults.Err() != nil || a.edit(t) != nil {
		return Change{}, false
	}
	after, err := t.Bytes()
	if err != nil {
		return Change{}, false
	}
	s, ok := m.solve(overlay{m.dir, a.file, after}, a.file)
	if !ok {
		return Change{}, false
	}
	list, err := check.Run(m.ctx, s, check.Options{})
	return Change{a.file, before, after, a.what}, err == nil && m.better(list)
}

// solve solves the show in a folder of which one file is not as it was. A changed score
// leaves the room as it is, so the transport is kept, which saves seconds for each
// candidate.
func (m *mending) solve(dir fs.FS, changed string) (*show.Show, bool) {
	files, faults := show.Read(dir)
	if faults.Err() != nil {
		return nil, false
	}
	var s *show.Show
	if changed == show.ScoreFile {
		s, faults = m.show.With(files.Score)
	} else {
		s, faults = show.New(m.ctx, files, m.show.Track)
	}
	return s, faults.Err() == nil
}

// better tells whether the finding is gone, or inside its limit and less grave, and no
// stop or warn is new. Notes may come and go. A stop or warn that was there before may
// stay, no graver; its value is not compared, unlike in finding.Worse.
func (m *mending) better(list []finding.Finding) bool {
	for _, f := range list {
		if f.Severity == finding.Note {
			continue
		}
		if f.Key() == m.finding.Key() {
			if f.Severity.Rank() >= m.finding.Severity.Rank() || f.Value > f.Limit {
				return false
			}
			continue
		}
		known := slices.ContainsFunc(m.before, func(b finding.Finding) bool {
			return b.Key() == f.Key() && b.Severity.Rank() >= f.Severity.Rank()
		})
		if !known {
			return false
		}
	}
	return true
}
