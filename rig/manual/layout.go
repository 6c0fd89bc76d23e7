package manual

import (
	"strconv"
	"strings"
)

// row is a line with its cells.
type row struct {
	line
	cells []string
}

// layout brings tables of every build into one: a line for each row, the slot first, then the
// values, then the words.
func layout(lines []line) []line {
	lines = downwards(lines)
	var all [][]row // by way of splitting
	for _, split := range []func(string) []string{tabbed, piped, spread(";"), spread(",")} {
		rows := make([]row, len(lines))
		for i, l := range lines {
			rows[i] = row{l, split(l.text)}
		}
		all = append(all, rows)
	}
	var out []line
	for i := 0; i < len(lines); {
		rows := block(lines[i:], all, i)
		if len(rows) < 2 {
			out = append(out, lines[i])
			i++
			continue
		}
		out = append(out, table(rows)...)
		i += len(rows)
	}
	return out
}

// block is the rows of a table at the beginning of lines, which are those from one on: as many lines as have cells.
func block(lines []line, all [][]row, from int) []row {
	for _, split := range all {
		end := from
		for end < len(split) && len(split[end].cells) >= 2 {
			end++
		}
		if rows := split[from:end:end]; len(rows) >= 2 && isTable(rows) {
			return rows
		}
	}
	return aligned(lines)
}

// isTable tells whether rows have the head of a table, or slot numbers in their first cells.
func isTable(rows []row) bool {
	heads := 0
	for i := range min(3, len(rows)) {
		heads = max(heads, known(rows[i].cells))
	}
	if heads >= 2 || sideways(rows) {
		return true
	}
	numbers := 0
	for _, r := range rows {
		if c := strings.TrimSpace(r.cells[0]); c == "" || c[0] < '0' || c[0] > '9' {
			continue
		} else if _, err := strconv.Atoi(c); err == nil {
			numbers++
		}
	}
	return numbers >= 2 && numbers*2 >= len(rows)
}

func tabbed(s string) []string {
	if !strings.Contains(s, "\t") {
		return nil
	}
	return trimmed(strings.Split(s, "\t"))
}

func piped(s string) []string {
	if !strings.Contains(s, "|") {
		return nil
	}
	t := strings.TrimSpace(s)
	if strings.HasPrefix(t, "|") && strings.HasSuffix(t, "|") && len(t) > 1 {
		t = t[1 : len(t)-1]
	}
	return trimmed(strings.Split(strings.NewReplacer("<br>", " ; ", "<br/>", " ; ", "<br />", " ; ").Replace(t), "|"))
}

func trimmed(cells []string) []string {
	for i := range cells {
		cells[i] = strings.Trim(strings.TrimSpace(cells[i]), `"`)
	}
	return cells
}

// spread splits at a sign, but not inside quotes.
func spread(sign string) func(string) []string {
	return func(s string) []string {
		if !strings.Contains(s, sign) {
			return nil
		}
		var cells []string
		var cell strings.Builder
		within := false
		for _, r := range s {
			switch {
			case r == '"':
				within = !within
			case string(r) == sign && !within:
				cells = append(cells, cell.String())
				cell.Reset()
			default:
				cell.WriteRune(r)
			}
		}
		return trimmed(append(cells, cell.String()))
	}
}
