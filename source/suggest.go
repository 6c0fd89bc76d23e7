package source

import (
	"slices"
	"strings"
)

// Suggest returns `did you mean "x"?` for the known name nearest to name, or
// "" when none is near: one letter and a third of them may differ at most, three
// in a word of six, so that nothing far-fetched is offered. Of equally near names
// the first wins.
func Suggest(name string, known []string) string {
	best, at := len([]rune(name))/3+1, ""
	for _, k := range known {
		if d := distance(strings.ToLower(name), strings.ToLower(k)); d < best || (d == best && at == "") {
			best, at = d, k
		}
	}
	if at == "" {
		return ""
	}
	return `did you mean "` + at + `"?`
}

// OneOf returns a hint that lists what may stand here: the nearest when one is
// near, else all when they are few.
func OneOf(name string, known []string) string {
	if s := Suggest(name, known); s != "" {
		return s
	}
	if len(known) == 0 {
		return "none is defined"
	}
	if len(known) > 12 {
		return "there are " + strings.Join(known[:12], ", ") + " and more"
	}
	return "there is " + strings.Join(known, ", ")
}

// distance is the Damerau-Levenshtein distance with adjacent transpositions
// (optimal string alignment): the least number of letters put in, taken out, changed,
// or swapped with their neighbour. before and last are the two rows of the table above
// row. Past 64 letters nothing is a slip of the hand, and the table would cost.
func distance(a, b string) int {
	s, t := []rune(a), []rune(b)
	if len(s) > 64 || len(t) > 64 {
		return 64
	}
	before, last := make([]int, len(t)+1), make([]int, len(t)+1)
	for j := range last {
		last[j] = j
	}
	for i := 1; i <= len(s); i++ {
		row := make([]int, len(t)+1)
		row[0] = i
		for j := 1; j <= len(t); j++ {
			cost := 1
			if s[i-1] == t[j-1] {
				cost = 0
			}
			row[j] = min(last[j]+1, row[j-1]+1, last[j-1]+cost)
			if i > 1 && j > 1 && s[i-1] == t[j-2] && s[i-2] == t[j-1] {
				row[j] = min(row[j], before[j-2]+1)
			}
		}
		before, last = last, row
	}
	return last[len(t)]
}

// Names returns the names of a Named list, for hints.
func Names[T any](list Named[T]) []string {
	out := make([]string, len(list))
	for i, e := range list {
		out[i] = e.Name
	}
	return slices.Clip(out)
}
