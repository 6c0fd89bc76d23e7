package finding

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"lampblack/source"
)

// Tells says in a sentence, by identifier, what the findings of a limit are
// about. Identifiers are promises: signatures and other programs name them.
type Tells map[string]string

// mostOfAKind is how many findings of one identifier are told one by one. A show with
// thousands of like faults has one fault, made thousands of times. This tool's choice:
// no person reads more.
const mostOfAKind = 100

// Report collects findings, at most so many of a kind, whatever the show. One goroutine
// fills it. list is unsorted until it is asked for.
type Report struct {
	tells Tells
	list  []Finding
	kinds map[string]*kindCount
}

// kindCount counts the findings of one identifier.
type kindCount struct {
	kept, dropped int
	worst         Severity // of those that were dropped
}

// NewReport returns an empty report that takes the findings of the table.
func NewReport(tells Tells) *Report { return &Report{tells: tells, kinds: map[string]*kindCount{}} }

// Add completes a finding and keeps it. An identifier that the table lacks is
// a mistake of the code, and panics.
//
// When twice the most of its kind are there, the lesser half goes and is counted, so
// that memory stays bounded. A margin that the limit gave itself stands; else it is
// (limit - value)/limit, for limits of which less is better. It is rounded to a
// hundredth of a percent, so that the last bits of a sum do not show in files that are
// compared.
func (r *Report) Add(f Finding) {
	about, known := r.tells[f.ID]
	if !known {
		panic("finding: " + f.ID + " is in no table of what a limit tells")
	}
	f.about = about
	f.say()
	for _, v := range []*float64{&f.Value, &f.Limit, &f.Low, &f.High} {
		if math.IsNaN(*v) {
			*v = 0
		}
		*v = min(max(*v, -1e300), 1e300) // JSON has no infinity
	}
	if f.Limit > 0 && f.Margin == 0 {
		f.Margin = (f.Limit - f.Value) / f.Limit
	}
	f.Margin = min(max(math.Round(f.Margin*1e4)/1e4, -1e6), 1e6)
	k := r.kinds[f.ID]
	if k == nil {
		k = &kindCount{}
		r.kinds[f.ID] = k
	}
	r.list = append(r.list, f)
	if k.kept++; k.kept >= 2*mostOfAKind {
		r.prune(f.ID)
	}
}

// prune keeps the gravest of a kind, and of these the earliest. What was pruned could
// not have been among the first hundred of all, so what is left does not depend on the
// order in which findings came.
func (r *Report) prune(id string) {
	var of, others []Finding
	for _, f := range r.list {
		if f.ID == id {
			of = append(of, f)
		} else {
			others = append(others, f)
		}
	}
	Sort(of)
	k := r.kinds[id]
	for _, f := range of[min(mostOfAKind, len(of)):] {
		k.dropped++
		if f.Severity.Rank() > k.worst.Rank() {
			k.worst = f.Severity
		}
	}
	of = of[:min(mostOfAKind, len(of))]
	k.kept = len(of)
	r.list = append(others, of...)
}

// Bound leaves the most of every kind and returns them, to be signed for: it
// comes before the signatures, so that nobody signs for what is not told.
func (r *Report) Bound() []Finding {
	for id := range r.kinds {
		r.prune(id)
	}
	return r.list
}

// List returns all findings in a stable order, told apart and in words. For
// each kind of which not all are told, one more has the number of the rest; it
// is as grave as the gravest of them, and no signature fits.
func (r *Report) List() []Finding {
	out := slices.Clone(r.Bound())
	for id, k := range r.kinds {
		if k.dropped == 0 {
			continue
		}
		n := float64(k.dropped)
		out = append(out, Finding{ID: id, Severity: k.worst, Place: andMore, Value: n, Low: n, High: n, Unit: "findings", about: r.tells[id],
			Says:   Say("%d more like the %d that are told here: %s", k.dropped, mostOfAKind, r.tells[id]),
			Cure:   Say("mend those first, and check again"),
			Source: "the first hundred of a kind are told"})
	}
	Sort(out)
	tellApart(out)
	for i := range out {
		out[i].Measured = out[i].InWords()
	}
	return out
}

// tellApart numbers findings of one kind that would have one place. The first keeps its
// place as it is, so that its key, which a signature names, does not depend on whether
// there is a second.
func tellApart(list []Finding) {
	seen := map[string]int{}
	for i := range list {
		k := list[i].Key()
		if seen[k]++; seen[k] > 1 {
			list[i].Place += fmt.Sprintf(" (%d)", seen[k])
		}
	}
}

// andMore is the place of the finding that counts the rest of its kind.
const andMore = "and more"

// mostNames is how many units or cues a finding names for a person.
const mostNames = 12

// Names lists units or cues in words, the first dozen of them; a thirteenth is
// no longer than "and 1 more".
func Names(list []string) string {
	if len(list) == mostNames+1 {
		return source.First(list, len(list))
	}
	return source.First(list, mostNames)
}

// countLast puts what counts the rest of a kind behind the kind.
func countLast(a, b Finding) int {
	switch {
	case a.Place == andMore && b.Place != andMore:
		return 1
	case a.Place != andMore && b.Place == andMore:
		return -1
	}
	return 0
}

// Sort orders findings by severity, identifier, time and place, so that the
// same show gives the same list.
func Sort(list []Finding) {
	slices.SortStableFunc(list, func(a, b Finding) int {
		return cmp.Or(cmp.Compare(b.Severity.Rank(), a.Severity.Rank()), cmp.Compare(a.ID, b.ID), countLast(a, b),
			cmp.Compare(a.From, b.From), cmp.Compare(a.Place, b.Place), cmp.Compare(a.Text, b.Text))
	})
}
