package draft

import (
	"cmp"
	"context"
	"maps"
	"slices"
	"time"
)

// Judge measures a proposal and returns what it makes worse than the score that the
// draft started from; nothing means that it passes. The error ends the draft. It must
// be pure: the same proposal, the same objections; else the search may stop short.
type Judge func(ctx context.Context, r *Result) ([]Objection, error)

// Objection is one thing that a proposal makes worse.
type Objection struct {
	What     string   // in a few words, for the reason of a cue: "flash-rate at seat A"
	Text     string   // in a sentence
	Cues     []string // numbers of the cues that are involved, when that is known
	From, To time.Duration
}

// Rungs of the ladder that a cue goes down when it makes something worse. Below
// them, it is left out.
const (
	slower      = 1 // fades longer
	anotherLook = 2 // a change: another look; a bump: a smaller accent
	lastRung    = 4 // a still smaller accent, or black light alone
)

// fixes are what a proposal must keep to. Keys are those of candidates, which stay the
// same from proposal to proposal.
type fixes struct {
	rung map[key]int
	why  map[key]string // of the rung
	out  map[key]string // left out, and why
	only map[key]bool   // nothing but these; nil for anything
}

func newFixes() *fixes {
	return &fixes{rung: map[key]int{}, why: map[key]string{}, out: map[key]string{}}
}

func (f *fixes) clone() *fixes {
	return &fixes{maps.Clone(f.rung), maps.Clone(f.why), maps.Clone(f.out), maps.Clone(f.only)}
}

func (f *fixes) bars(k key) bool { return f.out[k] != "" || f.only != nil && !f.only[k] }

// reason is why a cue that went down the ladder has no place on it, else what is
// given.
func (f *fixes) reason(k key, otherwise string) string {
	if f.rung[k] > 0 && f.why[k] != "" {
		return worse + f.why[k]
	}
	return otherwise
}

// worse begins the reason of what is left out since it was judged.
const worse = "it would make something worse: "

// Bounds on how often a draft is judged: a second or two for a usual show, and
// less often the more cues there are. They count judgings, not time, so that the
// same files always give the same draft.
const (
	mostTries  = 90
	leastTries = 12
	mostJudged = 30_000 // cues in all judgings
)

// repairing is the search for the best proposal that nothing is said against.
//
// Invariant: best passed the judge (or is empty, which cannot make anything worse),
// good makes it again, and its worth never falls.
type repairing struct {
	*plan
	ctx   context.Context
	tries int    // that are left
	good  *fixes // the best that passed
	best  *Result
	last  Objection // the first that was said last
	err   error
}

// judged proposes, and repairs what the judge speaks of: first the cues that it
// names go down the ladder together; if it still objects, the draft is built up
// from nothing, by halves; and where cues had to go, others may take their place.
//
// Every step asks the judge, which solves and checks a whole show, so their number is
// what counts: going down together asks once a rung; halving asks log n times where one
// cue of n is at fault.
func (p *plan) judged(ctx context.Context) (*Result, error) {
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	first := p.propose(newFixes())
	if p.options.Judge == nil {
		return first, nil
	}
	cues := len(p.score.Cues) + len(first.Cues)
	t := &repairing{plan: p, ctx: ctx, tries: min(mostTries, max(leastTries, mostJudged/max(cues, 1))), good: newFixes()}
	t.good.only = map[key]bool{}
	t.best = p.propose(t.good)
	t.ease()
	if t.best.Worth < first.Worth {
		t.good.out = map[key]string{} // ease may have dropped more than it had to
		t.addAll(t.missing(first))
	}
	if t.best.Worth < first.Worth {
		t.others()
	}
	if t.err != nil {
		return nil, t.err
	}
	return t.finish(first), nil
}

// ask judges a proposal, and keeps it when it passes and is worth more.
func (t *repairing) ask(f *fixes) (objections []Objection, ok bool) {
	if t.over() {
		return nil, false
	}
	return t.hear(f, t.propose(f))
}

// over tells whether the search has to end.
func (t *repairing) over() bool {
	t.err = cmp.Or(t.err, t.ctx.Err())
	return t.err != nil || t.tries == 0
}

// hear lets the judge speak about a proposal. What passes but is worth less is not
// kept, and is not ok.
func (t *repairing) hear(f *fixes, r *Result) (objections []Objection, ok bool) {
	t.tries--
	objections, err := t.options.Judge(t.ctx, r)
	if err != nil {
		t.err = err
		return nil, false
	}
	if len(objections) > 0 {
		t.last = objections[0]
		return objections, false
	}
	if r.Worth < t.best.Worth {
		return nil, false
	}
	t.best, t.good = r, f.clone()
	t.good.only = map[key]bool{}
	for _, k := range r.keys {
		t.good.only[k] = true
	}
	return nil, true
}

// ease lets the cues that the judge names go down the ladder, all together, until
// nothing is said or nobody is named. A rung is never taken back here, so it ends after
// at most lastRung + 1 rounds a cue.
func (t *repairing) ease() {
	for f := newFixes(); ; {
		objections, ok := t.ask(f)
		if ok || len(objections) == 0 || !f.lower(t.propose(f), objections) {
			return
		}
	}
}

// lower puts the cues that objections name one rung down; those at its foot go.
func (f *fixes) lower(r *Result, objections []Objection) bool {
	down := map[key]string{}
	for i := range objections {
		o := &objections[i]
		for _, n := range o.involved(r) {
			if down[r.keys[n]] == "" {
				down[r.keys[n]] = o.What
			}
		}
	}
	for k, what := range down {
		f.why[k] = what
		if f.rung[k]++; f.rung[k] > lastRung {
			f.out[k] = worse + what
		}
	}
	return len(down) > 0
}

// shortSpan is how long an objection may last for the cues in it to be taken for
// its cause.
const shortSpan = 15 * time.Second

// involved lists the cues of a proposal that an objection names; when it names none of
// them, those that move while it lasts. An objection that lasts longer says nothing of
// a cause.
func (o *Objection) involved(r *Result) []int {
	var named, within []int
	for n := range r.Cues {
		if slices.Contains(o.Cues, r.Cues[n].Number.Name) {
			named = append(named, n)
		}
		if r.at[n].Start <= o.To && r.at[n].Complete >= o.From {
			within = append(within, n)
		}
	}
	if named == nil && o.To > o.From && o.To-o.From <= shortSpan {
		return within
	}
	return named
}

// missing lists the cues of a proposal that the best one does not have, by look: first
// changes, for bumps lie over them, then the look of most cues. Grouping by look is
// what makes halving fast: cues of one look mostly fail or pass together.
func (t *repairing) missing(r *Result) [][]key {
	type group struct {
		look    string
		changes bool
	}
	var order []group
	keys := map[group][]key{}
	for i, k := range r.keys {
		if t.good.only[k] || t.good.out[k] != "" {
			continue
		}
		g := group{r.Cues[i].Look.Name, !r.Cues[i].Bump()}
		if keys[g] == nil {
			order = append(order, g)
		}
		keys[g] = append(keys[g], k)
	}
	slices.SortStableFunc(order, func(a, b group) int {
		if a.changes != b.changes && a.changes {
			return -1
		} else if a.changes != b.changes {
			return 1
		}
		return cmp.Compare(len(keys[b]), len(keys[a]))
	})
	var out [][]key
	for _, g := range order {
		out = append(out, keys[g])
	}
	return out
}

// addAll adds groups of cues, all at once or by halves. Adding all at once mostly fails
// where anything does, and then each half is tried on top of what passed of the other:
// the result depends on the order, and is not the best subset, which would take every
// subset to find.
func (t *repairing) addAll(groups [][]key) {
	switch {
	case len(groups) == 0 || t.over():
	case len(groups) == 1:
		t.add(groups[0])
	case !t.with(slices.Concat(groups...), 0):
		half := len(groups) / 2
		t.addAll(groups[:half])
		t.addAll(groups[half:])
	}
}

// add adds the cues of one look, as they are or further down the ladder, all at
// once, or else by halves.
func (t *repairing) add(keys []key) {
	if !t.descend(keys) && len(keys) > 1 {
		half := len(keys) / 2
		t.halve(keys[:half])
		t.halve(keys[half:])
	}
}

// halve adds cues, as they are or by halves; one alone may go down the ladder.
func (t *repairing) halve(keys []key) {
	switch {
	case t.over():
	case len(keys) == 1:
		t.descend(keys)
	case !t.with(keys, 0):
		half := len(keys) / 2
		t.halve(keys[:half])
		t.halve(keys[half:])
	}
}

// descend adds cues on the first rung on which nothing is said against them. One alone
// that is at the foot of the ladder is left out. Rungs are tried from the strongest
// down, so what passes is as strong as may be.
func (t *repairing) descend(keys []key) bool {
	for rung := range lastRung + 1 {
		if t.with(keys, rung) {
			return true
		}
		if t.over() {
			return false
		}
	}
	if len(keys) == 1 {
		t.good.out[keys[0]] = worse + t.last.What
	}
	return false
}

// with tries what passes, and more. Where nothing of it has a place, as there is
// no look so small, it is not judged.
func (t *repairing) with(keys []key, rung int) bool {
	f := t.good.clone()
	for _, k := range keys {
		f.only[k] = true
		if f.rung[k] = rung; rung > 0 {
			f.why[k] = t.last.What
		}
	}
	r := t.propose(f)
	if t.over() || !slices.ContainsFunc(keys, func(k key) bool { return slices.Contains(r.keys, k) }) {
		return false
	}
	_, ok := t.hear(f, r)
	return ok
}

// others lets cues that were not chosen at first take the place of those that
// had to go.
func (t *repairing) others() {
	f := t.good.clone()
	f.only = nil
	t.addAll(t.missing(t.propose(f)))
}

// finish says what became of the first proposal.
func (t *repairing) finish(first *Result) *Result {
	for _, k := range first.keys {
		if t.good.only[k] {
			continue
		}
		t.best.Dropped++
		switch {
		case t.good.out[k] != "":
		case t.tries == 0:
			t.good.out[k] = "so much was made worse that it was not tried: " + t.last.What
		default:
			t.good.out[k] = "what it lies over was left out"
		}
	}
	for _, k := range t.best.keys {
		if t.good.rung[k] > 0 {
			t.best.Gentler++
		}
	}
	t.best.Optimum = first.Worth
	t.best.Left = t.propose(t.good).Left // with the reasons of what had to go
	return t.best
}
