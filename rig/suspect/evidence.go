package suspect

import (
	"cmp"
	"math"
	"slices"
)

// How far a report is trusted (a choice, no source): one in twenty is wrong, and a unit without a
// display that is dead looks as one that is deaf.
const (
	wrongReport = .05
	alike       = .15
)

// says is how likely a report is of a unit that really does something.
func says(does, report Symptom) float64 {
	const others = 5
	switch {
	case does == report:
		return 1 - wrongReport - alike*half(does)
	case does == Dead && report == Deaf, does == Deaf && report == Dead:
		return wrongReport/others + alike
	}
	return wrongReport / others
}

// half is 1 for what can be taken for something else.
func half(s Symptom) float64 {
	if s == Dead || s == Deaf {
		return 1
	}
	return 0
}

// likelihood is how likely the reports are, beside those of a rig on which all is fine; seen is by
// unit, Unseen of those that nobody looked at.
func (m *model) likelihood(s *Suspect, seen []Symptom) float64 {
	sum := 0.0
	for i := range s.ways {
		sum += s.ways[i].weight * m.wayLikely(&s.ways[i], seen)
	}
	return sum
}

// wayLikely is that of one way. Large rigs go beyond what a float holds, so it is bounded.
func (m *model) wayLikely(w *way, seen []Symptom) float64 {
	logs := 0.0
	for _, u := range w.units {
		if seen[u] != Unseen {
			logs += math.Log(says(m.does(w, u), seen[u]) / says(Fine, seen[u]))
		}
	}
	return math.Exp(min(max(logs, -600), 600))
}

// unknownOdds are those of something else than one suspect: two faults at once, or one that nobody
// thought of; beside the sum of all others.
const unknownOdds = .01

// unexplained is the likelihood of that: each unit that is not fine is so by itself.
func unexplained(seen []Symptom) float64 {
	logs := 0.0
	for _, s := range seen {
		if s != Unseen && s != Fine {
			logs += math.Log(.06 / says(Fine, s))
		} else if s == Fine {
			logs += math.Log(.7 / says(Fine, s))
		}
	}
	return math.Exp(min(max(logs, -600), 600))
}

// weigh gives every suspect its share by what was seen, and returns how likely it is that it is none
// of them alone.
func (m *model) weigh(seen []Symptom) (none float64) {
	odds, sum := 0.0, 0.0
	for i := range m.suspects {
		s := &m.suspects[i]
		odds += s.odds
		s.Share = s.odds * m.likelihood(s, seen)
		sum += s.Share
	}
	other := unknownOdds * odds * unexplained(seen)
	sum += other
	if !(sum > 0) {
		return 1
	}
	for i := range m.suspects {
		m.suspects[i].Share /= sum
	}
	slices.SortStableFunc(m.suspects, func(a, b Suspect) int { return cmp.Compare(b.Share, a.Share) })
	return other / sum
}

// Pair is two suspects that would explain together what no single one does.
type Pair struct {
	A, B  Suspect
	Share float64 // of the pairs
}

// The suspects of which pairs are made, and the pairs that are told.
const (
	pairsOf   = 60
	pairsTold = 3
)

// pairs are those that explain best what was seen.
func (m *model) pairs(seen []Symptom) []Pair {
	one := slices.Clone(m.suspects)
	worth := map[string]float64{}
	for i := range one { // by the best that each explains, with all else unseen
		s := &one[i]
		own := slices.Repeat([]Symptom{Unseen}, len(seen))
		for _, w := range s.ways {
			for _, u := range w.units {
				own[u] = seen[u]
			}
		}
		worth[s.Name] = s.odds * m.likelihood(s, own)
	}
	slices.SortStableFunc(one, func(a, b Suspect) int { return cmp.Compare(worth[b.Name], worth[a.Name]) })
	one = one[:min(len(one), pairsOf)]
	var out []Pair
	sum := 0.0
	for i := range one {
		for k := range i {
			p := Pair{A: one[k], B: one[i]}
			p.Share = p.A.odds * p.B.odds * m.together(&p.A, &p.B, seen)
			sum += p.Share
			out = append(out, p)
		}
	}
	slices.SortStableFunc(out, func(a, b Pair) int { return cmp.Compare(b.Share, a.Share) })
	out = out[:min(len(out), pairsTold)]
	for i := range out {
		out[i].Share /= sum
	}
	return out
}

// together is the likelihood of two at once: a unit that both reach does what is worse.
func (m *model) together(a, b *Suspect, seen []Symptom) float64 {
	sum := 0.0
	for i := range a.ways {
		for k := range b.ways {
			does := map[int]Symptom{}
			for _, w := range []*way{&a.ways[i], &b.ways[k]} {
				for _, u := range w.units {
					if d := m.does(w, u); does[u] == "" || slices.Index(Symptoms, d) < slices.Index(Symptoms, does[u]) {
						does[u] = d
					}
				}
			}
			logs := 0.0
			for u, d := range does {
				if seen[u] != Unseen {
					logs += math.Log(says(d, seen[u]) / says(Fine, seen[u]))
				}
			}
			sum += a.ways[i].weight * b.ways[k].weight * math.Exp(min(max(logs, -600), 600))
		}
	}
	return sum
}
