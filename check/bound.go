package check

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// mostOfAKind is how many findings of one identifier are told one by one. A
// show with thousands of like faults has one fault, made thousands of times.
const mostOfAKind = 100

// keep takes a finding. When twice the most of its kind are there, the lesser
// half goes and is counted, so that memory stays bounded whatever the show.
func (r *report) keep(f Finding) {
	if r.kinds == nil {
		r.kinds = map[string]*kindCount{}
	}
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

// kindCount counts the findings of one identifier.
type kindCount struct {
	kept, dropped int
	worst         Severity // of those that were dropped
}

// prune keeps the gravest of a kind, and of these the earliest.
func (r *report) prune(id string) {
	var of, others []Finding
	for _, f := range r.list {
		if f.ID == id {
			of = append(of, f)
		} else {
			others = append(others, f)
		}
	}
	sortFindings(of)
	k := r.kinds[id]
	for _, f := range of[min(mostOfAKind, len(of)):] {
		k.dropped++
		if f.Severity.rank() > k.worst.rank() {
			k.worst = f.Severity
		}
	}
	of = of[:min(mostOfAKind, len(of))]
	k.kept = len(of)
	r.list = append(others, of...)
}

// bound leaves the most of every kind. It comes before the signatures, so that
// nobody signs for what is not told.
func (r *report) bound() {
	for id := range r.kinds {
		r.prune(id)
	}
}

// countDropped adds, for each kind of which not all are told, a finding with
// their number. It is as grave as the gravest of them, and no signature fits.
func (r *report) countDropped() {
	for id, k := range r.kinds {
		if k.dropped == 0 {
			continue
		}
		n := float64(k.dropped)
		r.list = append(r.list, Finding{ID: id, Severity: k.worst, Place: andMore, Value: n, Low: n, High: n, Unit: "findings",
			Text:   fmt.Sprintf("%d more like the %d that are told here: %s", k.dropped, mostOfAKind, about(id)),
			Hint:   "mend those first, and check again",
			Source: "the first hundred of a kind are told"})
	}
}

// andMore is the place of the finding that counts the rest of its kind.
const andMore = "and more"

// mostNames is how many units or cues a finding names for a person.
const mostNames = 12

// names lists units or cues in words, the first dozen of them.
func names(list []string) string {
	if len(list) <= mostNames+1 {
		return strings.Join(list, ", ")
	}
	return fmt.Sprintf("%s and %d more", strings.Join(list[:mostNames], ", "), len(list)-mostNames)
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

func sortFindings(list []Finding) {
	slices.SortStableFunc(list, func(a, b Finding) int {
		return cmp.Or(cmp.Compare(b.Severity.rank(), a.Severity.rank()), cmp.Compare(a.ID, b.ID), countLast(a, b),
			cmp.Compare(a.From, b.From), cmp.Compare(a.Place, b.Place), cmp.Compare(a.Text, b.Text))
	})
}
