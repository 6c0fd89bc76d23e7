package manual

import (
	"regexp"
	"slices"
	"strings"
)

var wideGap = regexp.MustCompile(` {2,}`)

// aligned finds a table whose columns are made by blanks, where that matters: its head has
// several modes, several slot columns, or one for parts of the lamp. Cells belong to the column that they overlap.
func aligned(lines []line) []row {
	if len(lines) < 2 || strings.Contains(lines[0].text, "\t") {
		return nil
	}
	head := columns(lines[0].text)
	modes, slots, parts := 0, 0, 0
	for _, c := range head {
		switch roleOf(c.text) {
		case cellRole:
			parts++
		case modeRole:
			modes++
		case slotRole:
			slots++
		}
	}
	next := 0
	if modes >= 2 && slots == 0 && len(lines) > 1 {
		for _, c := range columns(lines[1].text) {
			if roleOf(c.text) == slotRole {
				next++
			}
		}
	}
	if modes < 2 && slots < 2 && !(slots == 1 && parts == 1 && len(head) > 2) {
		return nil
	}
	if next >= 2 {
		head = columns(lines[1].text)
	}
	var rows []row
	end := head[len(head)-1].to
	for _, l := range lines {
		if strings.TrimSpace(l.text) == "" {
			break
		}
		cells := make([]string, len(head)+1)
		for _, c := range columns(l.text) {
			k := nearest(head, c)
			if c.from > end {
				k = len(head) // behind the last column: words without a label
			}
			cells[k] = strings.TrimSpace(cells[k] + " " + c.text)
		}
		rows = append(rows, row{l, cells})
	}
	return rows
}

// numbered tells whether each column of a line begins with slot 1.
func numbered(s string, columnsOf int) bool {
	list := columns(s)
	for _, c := range list {
		if t := scan(c.text); len(t) == 0 || t[0].kind != isNumber || t[0].from != 1 {
			return false
		}
	}
	return len(list) == columnsOf
}

// placed is a cell with where it stands in its line.
type placed struct {
	text     string
	from, to int
}

func columns(s string) (out []placed) {
	at := 0
	for _, gap := range append(wideGap.FindAllStringIndex(s, -1), []int{len(s), len(s)}) {
		if text := s[at:gap[0]]; strings.TrimSpace(text) != "" {
			out = append(out, placed{strings.TrimSpace(text), at, gap[0]})
		}
		at = gap[1]
	}
	return out
}

// nearest is the column whose head begins nearest to a cell's beginning or middle.
func nearest(head []placed, c placed) int {
	best, off := 0, 1<<30
	for i, h := range head {
		d := min(abs(h.from-c.from), abs((h.from+h.to)/2-(c.from+c.to)/2))
		if d < off {
			best, off = i, d
		}
	}
	return best
}

func abs(n int) int { return max(n, -n) }

// downwards finds columns that a copy wrote one below the other, each under its label, and
// writes them as rows.
func downwards(lines []line) []line {
	type column struct {
		role       role
		start, end int
	}
	var found []column
	for i, l := range lines {
		r := labels[strings.ToLower(strings.Trim(strings.TrimSpace(l.text), `:`))]
		if r == noRole {
			continue
		}
		if n := len(found); n > 0 && found[n-1].end == 0 {
			found[n-1].end = i
		}
		found = append(found, column{r, i + 1, 0})
	}
	if len(found) < 2 || found[0].role != slotRole {
		return lines
	}
	n := found[0].end - found[0].start
	last := &found[len(found)-1]
	last.end = min(last.start+n, len(lines))
	for _, c := range found {
		if c.end-c.start != n || n < 2 {
			return lines
		}
	}
	var roles []role
	for _, c := range found {
		roles = append(roles, c.role)
	}
	out := slices.Clone(lines[:found[0].start-1])
	for k := range n {
		var cells []string
		for _, c := range found {
			cells = append(cells, strings.TrimSpace(lines[c.start+k].text))
		}
		out = append(out, line{lines[found[0].start+k].number, written(cells, roles, nil)})
	}
	return append(out, lines[last.end:]...)
}
