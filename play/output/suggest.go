package output

import "strings"

// list joins words as a person would: "a, b or c".
func list(words []string) string {
	if len(words) == 1 {
		return words[0]
	}
	return strings.Join(words[:len(words)-1], ", ") + " or " + words[len(words)-1]
}

// suggest returns "did you mean ..." for the nearest word, if one is near.
func suggest(got string, words []string) string {
	best, least := "", 3
	for _, w := range words {
		if d := distance(got, w); d < least {
			best, least = w, d
		}
	}
	if best == "" {
		return ""
	}
	return "did you mean " + best + "?"
}

// distance is the number of letters to add, drop or change (Levenshtein).
func distance(a, b string) int {
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range len(a) {
		before := row[0]
		row[0] = i + 1
		for j := range len(b) {
			change := before
			if a[i] != b[j] {
				change++
			}
			before = row[j+1]
			row[j+1] = min(change, row[j]+1, row[j+1]+1)
		}
	}
	return row[len(b)]
}
