// Package mend changes a show's files so that a finding goes away: [Find] searches for
// the change that costs least, [WriteDiff] prints it line by line.
//
//	finding ─▶ candidates, in order ─▶ edit one file in memory
//	                 ▲                         solve, check as a whole
//	                 └────── worse or no better ──────┘ passes: a Change
//
// The order is that in which a working person would try: one number before another, one cue
// before several, slower before fewer, a flag before another aim, less light before less time.
// Each has a cost, the share that it takes of the show's light, cues or time, and a dear
// one is not made while a cheaper one passes ([Cost]). Nothing is written;
// whoever asked writes the change, or does not. Every candidate costs a solving of what
// it touches and a whole run of the checks.
//
// It does not see what a file cannot say: whether a stand may stand there, what a unit is
// plugged into, which lamp to hire; nor changes of several files at once, nor whether the show still
// means what it meant.
package mend

import (
	"context"
	"io/fs"
	"slices"

	"lampblack/check"
	"lampblack/check/finding"
	"lampblack/folder"
	"lampblack/show"
	"lampblack/source"
)

// Change is a new text of one file of a show.
type Change struct {
	File          string
	Before, After []byte
	What          string // in words: "unit bar right: address 5 instead of 11"
	Cost          Cost
}

// Found is what a search came to. At most one of them is set.
type Found struct {
	Change  *Change
	TooDear *Change // the cheapest that would do, which costs the show so much that people must decide
}

// Find finds the change of the show's files that costs it least, after which the check
// that made the finding passes and no other stop or warn appears. Candidates are tried
// in the order in which a working person would; the first that costs a tenth or less is
// taken, else the cheapest of all. Each is solved and checked as a whole before
// it is returned. Nothing found means that there is none that a file can hold: what
// is plugged into what is for hands to change.
func Find(ctx context.Context, dir fs.FS, s *show.Show, f finding.Finding) Found {
	return FindTelling(ctx, dir, s, f, func(int, int) {})
}

// FindTelling is Find, and tells before each candidate which it is, from 1, and how many there are.
func FindTelling(ctx context.Context, dir fs.FS, s *show.Show, f finding.Finding, tells func(n, of int)) Found {
	m := &mending{ctx: ctx, dir: dir, show: s, finding: f}
	before, err := check.Run(ctx, s, check.Options{})
	if err != nil {
		return Found{}
	}
	m.before = before
	var best *Change
	all := m.candidates()
	for i, try := range all {
		if ctx.Err() != nil {
			return Found{}
		}
		tells(i+1, len(all))
		if best != nil && try.cost.Share() >= best.Cost.Share() {
			continue
		}
		c, ok := m.passes(try)
		if ok && (best == nil || c.Cost.Share() < best.Cost.Share()) {
			best = &c
		}
		if best != nil && best.Cost.Share() <= cheap {
			break
		}
	}
	switch {
	case best == nil:
		return Found{}
	case best.Cost.Share() > dearest:
		return Found{TooDear: best}
	}
	return Found{Change: best}
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
	cost Cost // beside the light, which is measured
}

// candidates lists what may help, the smallest change first. For flashing a lower rate
// of a unit's own comes first, as the look stays what it was; then cues brought
// together, which keeps their number; then longer fades; and only then are cues taken
// out. Identifiers that are not here have no cure that a file can hold.
func (m *mending) candidates() []attempt {
	if by, ok := ways[m.finding.ID]; ok {
		return by(m)
	}
	return nil
}

// ways are what is tried for each kind of finding.
var ways = map[string]func(*mending) []attempt{
	"address-overlap": (*mending).addresses,
	"flash-rate":      (*mending).fewerFlashes,
	"flash-red":       (*mending).fewerFlashes,
	"flash-union":     (*mending).fewerFlashes,
	"cue-off":         (*mending).onTheHit,
	"cue-unreached":   (*mending).reached,
	"fade-cut":        (*mending).fadeInTime,
	"uv-dose":         (*mending).lessDose,
	"look-unused":     (*mending).unusedLook,
	"signature":       (*mending).unsigned,
}

// Helps tells whether there is anything to try for a kind of finding.
func Helps(id string) bool { return ways[id] != nil }

func (m *mending) fewerFlashes() []attempt {
	return slices.Concat(m.slower(), m.inStep(), m.longerFades(), m.fewerCues())
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
	s, ok := m.solve(&folder.Laid{FS: m.dir, Texts: map[string][]byte{a.file: after}}, a.file)
	if !ok || m.stillThere(s) {
		return Change{}, false
	}
	list, err := check.Run(m.ctx, s, check.Options{})
	a.cost.Light = light(m.show, s)
	return Change{a.file, before, after, a.what, a.cost}, err == nil && m.better(list)
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
		if f.Key() == m.finding.Key() {
			if f.Severity.Rank() >= m.finding.Severity.Rank() || f.Severity != finding.Note && f.Value > f.Limit {
				return false
			}
			continue
		}
		if f.Severity == finding.Note {
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
