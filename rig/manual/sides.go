package manual

import (
	"fmt"
	"regexp"
	"strings"
)

// sideWords are parts of a lamp from left to right, as slots' names have them.
var sideWords = []*regexp.Regexp{
	regexp.MustCompile(`(?i)\b(?:left|links|linke|gauche|izquierda|izq|sinistra)\b(?: (?:half|side|hälfte|seite|helft))?`),
	regexp.MustCompile(`(?i)\b(?:middle|centre|center|mitte|mittlere|milieu|centro|medio|midden)\b`),
	regexp.MustCompile(`(?i)\b(?:right|rechts|rechte|droite|derecha|dcha|destra)\b(?: (?:half|side|hälfte|seite|helft))?`),
}

var (
	halfWord  = regexp.MustCompile(`(?i)\b(?:moitié|hälfte|mitad|metà|half) +`)
	slotFirst = regexp.MustCompile(`(?i)^\s*(?:ch|channel|kanal|canal|slot|k)?[ .]*\d{1,3}\b`)
)

// sides writes "left" and "right" as sections 1 and 2 on lines that begin slots, where both have some: a lamp
// of two halves, or of three parts with a middle. A line that has two of the words, as of a chase from one to
// the other, stays.
func sides(lines []line) []line {
	of := make([]int, len(lines)) // which word, from 1; 0 for none
	var there [3]bool
	for i, l := range lines {
		if !slotFirst.MatchString(l.text) {
			continue
		}
		for k, word := range sideWords {
			switch {
			case !word.MatchString(l.text):
			case of[i] > 0:
				of[i] = -1
			case of[i] == 0:
				of[i] = k + 1
			}
		}
		if of[i] > 0 {
			there[of[i]-1] = true
		}
	}
	if !there[0] || !there[2] {
		return lines
	}
	out := make([]line, len(lines))
	for i, l := range lines {
		if out[i] = l; of[i] <= 0 {
			continue
		}
		section := of[i]
		if !there[1] && section == 3 {
			section = 2
		}
		out[i].text = halfWord.ReplaceAllString(inPlace(sideWords[of[i]-1], l.text, fmt.Sprintf("section %d", section)), "")
	}
	return out
}

// inPlace writes other words for one where it stands first, and nothing where it stands again in another
// language.
func inPlace(word *regexp.Regexp, text, by string) string {
	at := word.FindStringIndex(text)
	return strings.TrimRight(text[:at[0]]+by+word.ReplaceAllString(text[at[1]:], ""), " ")
}
