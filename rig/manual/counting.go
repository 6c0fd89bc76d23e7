package manual

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

var (
	fromZero  = regexp.MustCompile(`(?i)^(\s*(?:channel|ch|slot|kanal|canal|canale)\.? ?)(\d{1,3})(\b.*)$`)
	slotsList = regexp.MustCompile(`^\s*(\d{1,3}(?: ?, ?\d{1,3}){2,}) ?[:=-] ?(.*)$`)
	slashed   = regexp.MustCompile(`^\s*(\d{1,3}(?: ?/ ?\d{1,3})+)[ :=)-]+([\p{L}].*)$`)
	insides   = regexp.MustCompile(`\([^)]*\)`)
)

// fromNought counts slots from 1 where lines that name them count up from 0.
func fromNought(lines []line) []line {
	out := slices.Clone(lines)
	next := 0
	for i, l := range lines {
		m := fromZero.FindStringSubmatch(l.text)
		if m == nil {
			continue
		}
		if n, _ := strconv.Atoi(m[2]); n != next {
			if next == 0 {
				return lines
			}
			continue
		}
		out[i].text = m[1] + strconv.Itoa(next+1) + m[3]
		next++
	}
	if next < 3 {
		return lines
	}
	return out
}

var ordinalLine = regexp.MustCompile(`^\s*(\p{L}+)(?: (?:slot|channel|kanal|canal|ch))? ?[:=] ?(.*)$`)

// ordinalLines counts lines that begin with first, second, third.
func ordinalLines(lines []line) []line {
	out := slices.Clone(lines)
	next := 1
	for i, l := range lines {
		m := ordinalLine.FindStringSubmatch(l.text)
		if m == nil {
			continue
		}
		switch ordinal(m[1]) {
		case next:
		case 1:
			next = 1
		default:
			continue
		}
		out[i].text = "CH" + strconv.Itoa(next) + "  " + m[2]
		next++
	}
	if next < 3 {
		return lines
	}
	return out
}

// slashes writes "4/5/6  R, G, B" as a line for each slot, where as many words stand as slots in a row.
func slashes(lines []line) (out []line) {
	for _, l := range lines {
		m := slashed.FindStringSubmatch(l.text)
		if m == nil {
			out = append(out, l)
			continue
		}
		names := listed(scan(strings.TrimSpace(insides.ReplaceAllString(m[2], ""))))
		slots := strings.Split(m[1], "/")
		if len(names) != len(slots) || !countUp(slots) {
			out = append(out, l)
			continue
		}
		for i, n := range slots {
			out = append(out, line{l.number, fmt.Sprintf("CH%s  %s", strings.TrimSpace(n), textOf(names[i]))})
		}
	}
	return out
}

func countUp(slots []string) bool {
	first, _ := strconv.Atoi(strings.TrimSpace(slots[0]))
	for i, text := range slots {
		if n, _ := strconv.Atoi(strings.TrimSpace(text)); n != first+i {
			return false
		}
	}
	return true
}

// slotLists writes "3, 7, 11: red, sections 1 to 3" as a line for each slot, in their order.
func slotLists(lines []line) (out []line) {
	for i := 0; i < len(lines); {
		type found struct {
			slot int
			line line
		}
		var all []found
		k := i
		for ; k < len(lines); k++ {
			m := slotsList.FindStringSubmatch(lines[k].text)
			if m == nil {
				break
			}
			name := cellsWord.ReplaceAllString(m[2], "")
			for c, text := range strings.Split(m[1], ",") {
				n, _ := strconv.Atoi(strings.TrimSpace(text))
				all = append(all, found{n, line{lines[k].number, fmt.Sprintf("CH%d  section %d %s", n, c+1, name)}})
			}
		}
		if len(all) == 0 {
			out = append(out, lines[i])
			i++
			continue
		}
		slices.SortStableFunc(all, func(a, b found) int { return a.slot - b.slot })
		for _, f := range all {
			out = append(out, f.line)
		}
		i = k
	}
	return out
}

var cellsWord = regexp.MustCompile(`(?i),? ?\b(?:sections?|pixels?|segments?|cells?|heads?|zones?|felder|abschnitte|segmente|secciones|sezioni)\b ?\d{1,3} ?(?:-|to|bis|à|a|al) ?\d{1,3}`)
