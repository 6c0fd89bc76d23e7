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

// likelihood is the logarithm of how likely the reports are, beside those of a rig on which all is fine;
// seen is by unit, Unseen of those that nobody looked at. Logarithms, as those of hundreds of units go
// beyond what a float holds.
func (m *model) likelihood(s *Suspect, seen []Symptom) float64 {
	logs := make([]float64, len(s.ways))
	for i := range s.ways {
		w := &s.ways[i]
		logs[i] = math.Log(w.weight)
		for _, u := range w.units {
			logs[i] += beside(m.does(w, u), seen[u])
		}
	}
	return sumOf(logs)
}

// sumOf is the logarithm of the sum of what some logarithms are of.
func sumOf(logs []float64) float64 {
	top := slices.Max(logs)
	sum := 0.0
	for _, l := range logs {
		sum += math.Exp(l - top)
	}
	return top + math.Log(sum)
}

// twoAtOnce is how often two things are at fault at once, beside one (a choice, no source).
const twoAtOnce = .05

// weigh gives every suspect its share by what was seen, as if it were one of them alone, and lists them
// by it, and keeps what was seen; one is the logarithm of what all are worth together, odds what all have.
func (m *model) weigh(seen []Symptom) (one, odds float64) {
	m.seen = seen
	logs := make([]float64, len(m.suspects))
	for i := range m.suspects {
		s := &m.suspects[i]
		odds += s.odds
		logs[i] = math.Log(s.odds) + m.likelihood(s, seen)
	}
	one = sumOf(logs)
	for i := range m.suspects {
		m.suspects[i].Share = math.Exp(logs[i] - one)
	}
	slices.SortStableFunc(m.suspects, func(a, b Suspect) int { return cmp.Compare(b.Share, a.Share) })
	return one, odds
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

// pairs are those that explain best what was seen, and the logarithm of what all are worth.
func (m *model) pairs(seen []Symptom) (out []Pair, two float64) {
	one := m.explaining(seen)
	var logs []float64
	for i := range one {
		for k := range i {
			p := Pair{A: one[k], B: one[i]}
			p.Share = math.Log(2*p.A.odds*p.B.odds) + m.together(&p.A, &p.B, seen)
			logs, out = append(logs, p.Share), append(out, p)
		}
	}
	if out == nil {
		return nil, math.Inf(-1)
	}
	two = sumOf(logs)
	slices.SortStableFunc(out, func(a, b Pair) int { return cmp.Compare(b.Share, a.Share) })
	out = out[:min(len(out), pairsTold)]
	for i := range out {
		out[i].Share = math.Exp(out[i].Share - two)
	}
	return out, two
}

// explaining lists the suspects of which pairs are made: those that explain best what they reach, with
// all else unseen.
func (m *model) explaining(seen []Symptom) []Suspect {
	one := slices.Clone(m.suspects)
	worth := map[string]float64{}
	own := slices.Repeat([]Symptom{Unseen}, len(seen))
	for i := range one {
		s := &one[i]
		for _, w := range s.ways {
			for _, u := range w.units {
				own[u] = seen[u]
			}
		}
		worth[s.Name] = math.Log(s.odds) + m.likelihood(s, own)
		for _, w := range s.ways {
			for _, u := range w.units {
				own[u] = Unseen
			}
		}
	}
	slices.SortStableFunc(one, func(a, b Suspect) int { return cmp.Compare(worth[b.Name], worth[a.Name]) })
	return one[:min(len(one), pairsOf, max(8, 6000/len(seen)))]
}

// together is the logarithm of the likelihood of two at once: a unit that both reach does what is worse.
func (m *model) together(a, b *Suspect, seen []Symptom) float64 {
	logs := make([]float64, 0, len(a.ways)*len(b.ways))
	for i := range a.ways {
		for k := range b.ways {
			logs = append(logs, math.Log(a.ways[i].weight*b.ways[k].weight)+m.both(&a.ways[i], &b.ways[k], seen))
		}
	}
	return sumOf(logs)
}

// both is the logarithm of how likely the reports are where units do what two ways make them do.
func (m *model) both(a, b *way, seen []Symptom) (logs float64) {
	for _, u := range a.units {
		m.first[u] = m.does(a, u)
	}
	for _, u := range b.units {
		d := m.does(b, u)
		if o := m.first[u]; o != "" && slices.Index(Symptoms, o) < slices.Index(Symptoms, d) {
			d = o
		}
		m.first[u] = ""
		logs += beside(d, seen[u])
	}
	for _, u := range a.units {
		if d := m.first[u]; d != "" {
			logs += beside(d, seen[u])
			m.first[u] = ""
		}
	}
	return logs
}

// beside is the logarithm of how likely a report is of a unit that does something, beside one that is fine.
func beside(does, report Symptom) float64 {
	if report == Unseen {
		return 0
	}
	return math.Log(says(does, report) / says(Fine, report))
}
