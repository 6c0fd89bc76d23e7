package check

import (
	"context"
	"fmt"
	"math"
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
	r := &report{ctx: ctx, show: s}
	for _, check := range []func(*report){
		(*report).addresses, (*report).lines, (*report).supply, (*report).cues, (*report).jumps, (*report).slots, (*report).intent, (*report).flash, (*report).ultraviolet, (*report).blueLight, (*report).darkness,
	} {
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		check(r)
	}
	r.bound()
	r.sign()
	r.countDropped()
	out := slices.DeleteFunc(r.list, func(f Finding) bool {
		return len(o.Only) > 0 && !slices.Contains(o.Only, f.ID)
	})
	sortFindings(out)
	tellApart(out)
	for i := range out {
		out[i].Measured = out[i].inWords()
	}
	return out, ctx.Err()
}

// tellApart numbers findings of one kind that would have one place.
func tellApart(list []Finding) {
	seen := map[string]int{}
	for i := range list {
		k := list[i].key()
		if seen[k]++; seen[k] > 1 {
			list[i].Place += fmt.Sprintf(" (%d)", seen[k])
		}
	}
}

// report is one run of the checks.
type report struct {
	ctx    context.Context
	show   *show.Show
	list   []Finding
	kinds  map[string]*kindCount
	fed    [][]int // by unit: the units that it feeds; made by children
	traced *trace  // the light over the show; made by trace
}

// add completes a finding and keeps it.
func (r *report) add(f Finding) {
	if _, known := catalogue[f.ID]; !known {
		panic("check: finding " + f.ID + " is not in the catalogue")
	}
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
	r.keep(f)
}

// unit returns the name of a unit.
func (r *report) unit(i int) string { return r.show.Rig.Units[i].Name.Name }

// place writes what sort of thing a finding is about, and its name.
func place(kind, name string) string { return fmt.Sprintf("%s %s", kind, name) }
