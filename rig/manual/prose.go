package manual

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
)

// ordinals count slots in words.
var ordinals = [][]string{
	{"first", "one", "erste", "ersten", "erster", "premier", "première", "primero", "primer", "eins"}, {"second", "two", "zweite", "zweiten", "zweiter", "deuxième", "second", "segundo", "zwei"},
	{"third", "three", "dritte", "dritten", "troisième", "tercero", "tercer", "drei"}, {"fourth", "four", "vierte", "vierten", "quatrième", "cuarto", "vier"},
	{"fifth", "five", "fünfte", "fünften", "cinquième", "quinto", "fünf"}, {"sixth", "six", "sechste", "sechsten", "sixième", "sexto", "sechs"},
	{"seventh", "seven", "siebte", "siebten", "septième", "séptimo", "sieben"}, {"eighth", "eight", "achte", "achten", "huitième", "octavo", "acht"},
	{"ninth", "nine", "neunte", "neunten", "neuvième", "noveno", "neun"}, {"tenth", "ten", "zehnte", "zehnten", "dixième", "décimo", "zehn"},
}

func ordinal(word string) int {
	word = strings.ToLower(strings.Trim(word, ",.;:()"))
	for i, list := range ordinals {
		if slices.Contains(list, word) {
			return i + 1
		}
	}
	return 0
}

var (
	sentenceEnd = regexp.MustCompile(`[.;!?](?:\s+|$)`)
	fillers     = regexp.MustCompile(`(?i)^(?:one |channel |slot |kanal |ones |channels |slots |you find |findest du |is |are |ist |sind |does |do |controls? |for |the |der |die |das |regelt |est |es |pour le |pour la |pour |par |au |on which |gives? |has |makes? |it |sets? |steuert |macht |=|:|,|-|–| )+`)
)

// prose writes a table that is told in sentences as lines: "the second, third and fourth are
// red, green and blue". A sentence that begins no slot goes on with the one before.
func prose(lines []line) []line {
	var text strings.Builder
	for _, l := range lines {
		if f := strings.Fields(l.text); len(f) > 0 && ordinal(f[0]) > 0 {
			text.WriteString(" . ")
		}
		text.WriteString(strings.TrimSpace(l.text) + " ")
		if strings.TrimSpace(l.text) == "" {
			text.WriteString(" . ")
		}
	}
	told := clauses(strings.Fields(text.String()))
	var out []line
	for _, s := range sentenceEnd.Split(told, -1) {
		words := strings.Fields(s)
		var slots []int
		rest := 0
		for i, w := range words[:min(len(words), 14)] {
			if n := ordinal(w); n > 0 && (len(slots) == 0 && n <= len(out)+1 || len(slots) > 0 && n == slots[len(slots)-1]+1) {
				slots = append(slots, n)
				rest = i + 1
			} else if len(slots) > 0 && !slices.Contains([]string{"and", "und", "et", "y", "the"}, strings.ToLower(w)) {
				break
			}
		}
		what := fillers.ReplaceAllString(strings.Join(words[rest:], " ")+" ", "")
		switch {
		case len(slots) == 0 || slots[0] != len(out)+1:
			continue
		case len(slots) == 1:
			out = append(out, line{1, fmt.Sprintf("CH%d  %s", slots[0], spaced(what))})
		default:
			list := listed(scan(what))
			for i, n := range slots {
				if i < len(list) {
					out = append(out, line{1, fmt.Sprintf("CH%d  %s", n, textOf(list[i]))})
				}
			}
		}
	}
	if len(out) < 2 {
		return nil
	}
	return out
}

// clauses ends a sentence at a comma behind which another slot's begins: "the first is red, the
// second green"; but not within a list of them.
func clauses(words []string) string {
	for i := range len(words) - 2 {
		next := ordinal(words[i+1])
		if len(words[i+1]) <= 3 && next == 0 { // an article
			next = ordinal(words[i+2])
		}
		if w := strings.TrimSuffix(words[i], ","); w != words[i] && next > 0 && ordinal(w) == 0 {
			words[i] = w + "."
		}
	}
	return strings.Join(words, " ")
}

// spaced gives the name before a colon room.
func spaced(s string) string { return strings.Replace(s, ": ", "  ", 1) }
