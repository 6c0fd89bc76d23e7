package suspect

import (
	"math"
	"slices"

	"lampblack/rig"
)

// Answer is what came of a step.
type Answer string

// The answers. Partly is one to a mend: some of what was wrong is right now, so there is more than one fault.
const (
	Yes     Answer = "yes"
	No      Answer = "no"
	NotSure Answer = "not sure"
	Partly  Answer = "partly"
)

// Given is the answer to a step.
type Given struct {
	Step   string // its ID
	Answer Answer
}

// Seen is what units do, by name. Units that are not there are fine.
type Seen map[string]Symptom

// Question is what a search goes by.
type Question struct {
	Seen   Seen
	Given  []Given  // in the order in which they were given
	Mended []string // what was mended before, by name: it is not likely to be at fault again
}

// againOdds is how much less likely what was mended is than before (a choice, no source).
const againOdds = .05

// Verdict is what the rig's suspects come to after some answers.
type Verdict struct {
	Suspects  []Suspect // the likely ones, the likeliest first
	None      float64   // how likely it is that it is none of them alone
	Pairs     []Pair    // that would explain together what none does alone
	Next      *Step     // nil when it was found, or nothing is left
	Minutes   float64   // expected till it is mended, by the steps that follow
	Found     string    // what was mended, and that was it
	More      bool      // some is right now: begin anew with what is still wrong
	Unordered []string  // lines whose order nobody said: it is taken as the file has the units
}

// How many suspects the search goes by, and from which share on one is told.
const (
	mostSuspects = 30
	leastShare   = 1e-3
	unlikely     = .3 // of none alone, from which pairs are told
)

// Find works out where a search stands. It has no memory: the same rig, symptoms and answers give the
// same verdict, so that going back is to leave the last answer out.
func Find(r *rig.Rig, q Question) *Verdict {
	m := modelOf(r)
	for i := range m.suspects {
		if slices.Contains(q.Mended, m.suspects[i].Name) {
			m.suspects[i].odds *= againOdds
		}
	}
	v := &Verdict{Unordered: m.unordered()}
	by := make([]Symptom, len(r.Units))
	for u := range by {
		if by[u] = q.Seen[r.Units[u].Name.Name]; by[u] == "" {
			by[u] = Fine
		}
	}
	one, odds := m.weigh(by)
	pairs, two := m.pairs(by)
	two += math.Log(twoAtOnce / odds)
	v.None = 1 / (1 + math.Exp(one-two))
	if v.None >= unlikely && len(pairs) > 0 {
		v.Pairs = pairs
		v.first(m, by)
	}
	likely := m.suspects[:min(len(m.suspects), mostSuspects)]
	for i := range likely {
		if likely[i].Share < leastShare {
			likely = likely[:i]
			break
		}
	}
	v.step(m, likely, q.Given)
	return v
}

// first turns to one of two faults: what the likeliest pair has in its first part is looked for, and
// the units that only the other reaches are left aside.
func (v *Verdict) first(m *model, seen []Symptom) {
	reaches := map[int]bool{}
	for _, w := range v.Pairs[0].A.ways {
		for _, u := range w.units {
			reaches[u] = true
		}
	}
	for u := range seen {
		if seen[u] != Fine && !reaches[u] {
			seen[u] = Unseen
		}
	}
	m.weigh(seen)
}

// step takes the answers in, one after another, and chooses what is next.
func (v *Verdict) step(m *model, likely []Suspect, given []Given) {
	s := &search{}
	b := &belief{tried: make([]bool, len(likely))}
	steps := m.looks(likely)
	for i := range likely {
		s.mend = append(s.mend, likely[i].Cost.All())
		b.p = append(b.p, likely[i].Share)
	}
	for i := range steps {
		l := look{cost: steps[i].Cost.All()}
		for k := range likely {
			l.yes = append(l.yes, steps[i].yes(&likely[k]))
		}
		s.looks = append(s.looks, l)
	}
	b.asked = make([]bool, len(steps))
	scale(b.p, total(b.p))
	for _, g := range given {
		b = v.take(s, b, steps, likely, g)
	}
	for i := range likely {
		likely[i].Share = b.p[i]
	}
	if v.Found == "" && !v.More {
		c, minutes := s.next(b, ahead)
		v.Minutes = minutes
		switch {
		case c.look >= 0:
			v.Next = &steps[c.look]
		case c.mend >= 0:
			next := mend(&likely[c.mend])
			v.Next = &next
		}
	}
	v.Suspects = slices.DeleteFunc(slices.Clone(likely), func(s Suspect) bool { return s.Share < leastShare })
	slices.SortStableFunc(v.Suspects, func(x, y Suspect) int {
		switch {
		case x.Share > y.Share:
			return -1
		case x.Share < y.Share:
			return 1
		}
		return 0
	})
}

func total(p []float64) (sum float64) {
	for _, v := range p {
		sum += v
	}
	return sum
}

// take takes one answer in.
func (v *Verdict) take(s *search, b *belief, steps []Step, likely []Suspect, g Given) *belief {
	for i := range steps {
		if steps[i].ID != g.Step {
			continue
		}
		if g.Answer == Yes || g.Answer == No {
			b, _ = s.told(b, i, g.Answer == Yes)
		}
		asked := slices.Clone(b.asked)
		asked[i] = true
		return &belief{p: b.p, asked: asked, tried: b.tried}
	}
	for i := range likely {
		if mend(&likely[i]).ID != g.Step {
			continue
		}
		switch g.Answer {
		case Yes:
			v.Found = likely[i].Name
		case Partly:
			v.Found, v.More = likely[i].Name, true
		case No:
			b, _ = s.mended(b, i)
		case NotSure: // it stays as likely, and is not tried again
			tried := slices.Clone(b.tried)
			tried[i] = true
			b = &belief{p: b.p, asked: b.asked, tried: tried}
		}
		return b
	}
	return b
}
