package finding

import (
	"cmp"
	"regexp"
	"slices"
)

// Worse returns the stops and warns of after that are not in before, or are there with
// a better value or a lower severity. Notes are what was measured, and not held against
// anything. Findings are the same when identifier and place are; of several the worst
// are compared with the worst. The severities, margins and values are those of the
// report, so both lists must come from runs of the same checks.
func Worse(before, after []Finding) []Finding {
	old := map[string][]Finding{}
	for _, f := range before {
		old[f.bareKey()] = append(old[f.bareKey()], f)
	}
	for _, list := range old {
		slices.SortStableFunc(list, worstFirst)
	}
	after = slices.Clone(after)
	slices.SortStableFunc(after, worstFirst)
	seen := map[string]int{}
	var out []Finding
	for _, f := range after {
		key := f.bareKey()
		n := seen[key]
		seen[key]++
		if f.Severity != Note && (n >= len(old[key]) || worstFirst(f, old[key][n]) < 0) {
			out = append(out, f)
		}
	}
	Sort(out)
	return out
}

var numbering = regexp.MustCompile(` \(\d+\)$`)

// bareKey is the key without the number that tells findings of one place apart.
func (f *Finding) bareKey() string { return f.ID + " at " + numbering.ReplaceAllString(f.Place, "") }

// worstFirst orders findings of one key: the graver, then the one with the
// smaller margin, then the one of the greater value where no limit is given.
func worstFirst(a, b Finding) int {
	order := cmp.Or(cmp.Compare(b.Severity.Rank(), a.Severity.Rank()), cmp.Compare(a.Margin, b.Margin))
	if order == 0 && a.Margin == 0 && b.Margin == 0 {
		order = cmp.Compare(b.Value, a.Value)
	}
	return order
}
