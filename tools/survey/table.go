package main

import (
	"cmp"
	"fmt"
	"io"
	"slices"
)

// table prints a row for every package and one for all of them, then the
// functions in which the way parts most often.
func (h *house) table(w io.Writer) {
	fmt.Fprintf(w, "%-24s %5s %6s %14s %9s %14s %14s %9s\n", "", "", "", "file lines", "", "function lines", "branches", "tests")
	fmt.Fprintf(w, "%-24s %5s %6s %4s %4s %4s %9s %4s %4s %4s %4s %4s %4s %9s\n",
		"package", "files", "lines", "50", "90", "max", "comments", "50", "90", "99", "50", "90", "99", "to code")
	all := &part{dir: "all"}
	exported := []int{}
	for _, p := range h.parts {
		p.row(w)
		all.files = append(all.files, p.files...)
		all.functions = append(all.functions, p.functions...)
		all.comments += p.comments
		all.code += p.code
		all.tests += p.tests
		exported = append(exported, p.exported)
	}
	all.row(w)
	fmt.Fprintf(w, "\nexported names a package: 50 %% %d, 90 %% %d, most %d\n\n", share(exported, .5), share(exported, .9), share(exported, 1))
	slices.SortStableFunc(all.functions, func(a, b function) int {
		return cmp.Or(cmp.Compare(b.branches, a.branches), cmp.Compare(a.where+a.name, b.where+b.name))
	})
	fmt.Fprintln(w, "the most branched functions:")
	for _, f := range all.functions[:min(25, len(all.functions))] {
		fmt.Fprintf(w, "%4d branches %4d lines  %s %s\n", f.branches, f.lines, f.where, f.name)
	}
}

func (p *part) row(w io.Writer) {
	var long, branched []int
	for _, f := range p.functions {
		long = append(long, f.lines)
		branched = append(branched, f.branches)
	}
	total := 0
	for _, n := range p.files {
		total += n
	}
	fmt.Fprintf(w, "%-24s %5d %6d %4d %4d %4d %8.0f%% %4d %4d %4d %4d %4d %4d %9.2f", p.dir, len(p.files), total,
		share(p.files, .5), share(p.files, .9), share(p.files, 1), 100*float64(p.comments)/float64(max(p.comments+p.code, 1)),
		share(long, .5), share(long, .9), share(long, .99), share(branched, .5), share(branched, .9), share(branched, .99), float64(p.tests)/float64(max(p.code, 1)))
	if p.dir != "all" {
		fmt.Fprintf(w, "  %d exported", p.exported)
	}
	fmt.Fprintln(w)
}

// share returns the value below which so much of the list lies.
func share(list []int, q float64) int {
	if len(list) == 0 {
		return 0
	}
	sorted := slices.Sorted(slices.Values(list))
	return sorted[min(int(q*float64(len(sorted))), len(sorted)-1)]
}
