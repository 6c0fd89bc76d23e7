package mend

import (
	"fmt"
	"io"
	"strings"
)

// WriteDiff writes what a change does to its file, line by line: lines taken out begin
// with -, lines put in with +, each with its number. Only lines that differ are
// printed, without context.
func WriteDiff(w io.Writer, c Change) {
	fmt.Fprintf(w, "%s: %s%s\n", c.File, c.What, costing(c.Cost))
	writeLines(w, c)
}

// Lines are the lines that a change takes out and puts in, as WriteDiff prints them.
func (c *Change) Lines() string {
	var b strings.Builder
	writeLines(&b, *c)
	return b.String()
}

func writeLines(w io.Writer, c Change) {
	a, b := strings.SplitAfter(string(c.Before), "\n"), strings.SplitAfter(string(c.After), "\n")
	common := longestCommon(a, b)
	i, j := 0, 0
	for _, p := range append(common, [2]int{len(a), len(b)}) {
		for ; i < p[0]; i++ {
			fmt.Fprintf(w, "-%4d  %s\n", i+1, strings.TrimRight(a[i], "\r\n"))
		}
		for ; j < p[1]; j++ {
			fmt.Fprintf(w, "+%4d  %s\n", j+1, strings.TrimRight(b[j], "\r\n"))
		}
		i, j = p[0]+1, p[1]+1
	}
}

// costing says what a change costs the show, where that is worth a word.
func costing(c Cost) string {
	if says := c.String(); says != "" {
		return " (it costs " + says + ")"
	}
	return ""
}

// longestCommon returns pairs of equal lines of a longest common subsequence. Changes
// are few, so equal ends are cut off first: they are pairs in some longest one, and
// what is left of a file of thousands of lines is mostly one or two. Where two ways
// are as long, the line of a goes first: lines taken out are printed before those put
// in.
func longestCommon(a, b []string) [][2]int {
	head, tail := 0, 0
	for head < len(a) && head < len(b) && a[head] == b[head] {
		head++
	}
	for tail < len(a)-head && tail < len(b)-head && a[len(a)-1-tail] == b[len(b)-1-tail] {
		tail++
	}
	var out [][2]int
	for i := range head {
		out = append(out, [2]int{i, i})
	}
	x, y := a[head:len(a)-tail], b[head:len(b)-tail]
	lengths := commonLengths(x, y)
	for i, j := 0, 0; i < len(x) && j < len(y); {
		switch {
		case x[i] == y[j]:
			out = append(out, [2]int{head + i, head + j})
			i, j = i+1, j+1
		case lengths[i+1][j] >= lengths[i][j+1]:
			i++
		default:
			j++
		}
	}
	for k := tail; k > 0; k-- {
		out = append(out, [2]int{len(a) - k, len(b) - k})
	}
	return out
}

// commonLengths is the table of the textbooks' dynamic programming: [i][j] is the
// length of a longest common subsequence of x[i:] and y[j:]. It is filled from the
// end, so that a walk from the front may always take the first pair of equal lines.
// O(len x · len y) in time and memory.
func commonLengths(x, y []string) [][]int {
	lengths := make([][]int, len(x)+1)
	for i := range lengths {
		lengths[i] = make([]int, len(y)+1)
	}
	for i := len(x) - 1; i >= 0; i-- {
		for j := len(y) - 1; j >= 0; j-- {
			if x[i] == y[j] {
				lengths[i][j] = lengths[i+1][j+1] + 1
			} else {
				lengths[i][j] = max(lengths[i+1][j], lengths[i][j+1])
			}
		}
	}
	return lengths
}
