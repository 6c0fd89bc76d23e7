package suspect

import (
	"cmp"
	"math"
	"slices"
)

// How far a report is trusted (a choice, no source).
const (
	overlooked  = .05  // a unit that does wrong is said to do something else
	falseAlarm  = .005 // one that is fine is said to do wrong
	deadIsDeaf  = .15  // nobody looked at the display of one that is dead
	deafIsDead  = .03  // or saw that of one that is on
	otherThings = 5    // that may be said in place of what is
)

// says is how likely a report is of a unit that really does something.
func says(does, report Symptom) float64 {
	switch {
	case does == Fine && report == Fine:
		return 1 - falseAlarm
	case does == Fine:
		return falseAlarm / otherThings
	case does == Dead && report == Deaf:
		return deadIsDeaf
	case does == Deaf && report == Dead:
		return deafIsDead
	case does != report:
		return overlooked / otherThings
	case does == Dead:
		return 1 - overlooked - deadIsDeaf
	case does == Deaf:
		return 1 - overlooked - deafIsDead
	}
	return 1 - overlooked
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

// twoAtOnce is how often two things are at fault at once, beside one (a choice, no source).
const twoAtOnce = .05

// weigh gives every suspect its share by what was seen, as if it were one of them alone, and lists them
// by it; sum is what all are worth together, odds what all have.
func (m *model) weigh(seen []Symptom) (sum, odds float64) {
	for i := range m.suspects {
		s := &m.suspects[i]
		odds += s.odds
		s.Share = s.odds * m.likelihood(s, seen)
		sum += s.Share
	}
	for i := range m.suspects {
		if m.suspects[i].Share /= sum; !(sum > 0) {
			m.suspects[i].Share = 1 / float64(len(m.suspects))
		}
	}
	slices.SortStableFunc(m.suspects, func(a, b Suspect) int { return cmp.Compare(b.Share, a.Share) })
	return sum, odds
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

// pairs are those that explain best what was seen, and what all pairs are worth beside single suspects.
func (m *model) pairs(seen []Symptom) (out []Pair, sum float64) {
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
	one = one[:min(len(one), pairsOf, max(8, 6000/len(seen)))]
	for i := range one {
		for k := range i {
			p := Pair{A: one[k], B: one[i]}
			p.Share = 2 * p.A.odds * p.B.odds * m.together(&p.A, &p.B, seen)
			sum += p.Share
			out = append(out, p)
		}
	}
	slices.SortStableFunc(out, func(a, b Pair) int { return cmp.Compare(b.Share, a.Share) })
	out = out[:min(len(out), pairsTold)]
	for i := range out {
		out[i].Share /= sum
	}
	return out, sum
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
