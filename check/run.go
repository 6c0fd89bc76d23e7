package check

import (
	"cmp"
	"context"
	"slices"

	"lampblack/show"
)

// Options steer a run of the checks. The zero value checks everything.
type Options struct {
	// Only, when not empty, keeps the findings with these identifiers.
	Only []string
}

// Run measures the show and returns all findings in a stable order. The error
// is ctx's, when it ended before the checks did.
func Run(ctx context.Context, s *show.Show, o Options) ([]Finding, error) {
	var out []Finding
	out = slices.DeleteFunc(out, func(f Finding) bool {
		return len(o.Only) > 0 && !slices.Contains(o.Only, f.ID)
	})
	sortFindings(out)
	return out, ctx.Err()
}

func sortFindings(list []Finding) {
	slices.SortStableFunc(list, func(a, b Finding) int {
		return cmp.Or(cmp.Compare(b.Severity.rank(), a.Severity.rank()), cmp.Compare(a.ID, b.ID),
			cmp.Compare(a.From, b.From), cmp.Compare(a.Place, b.Place), cmp.Compare(a.Text, b.Text))
	})
}
