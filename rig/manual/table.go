package manual

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
)

// turned makes rows of columns.
func turned(rows []row) []row {
	most := 0
	for _, r := range rows {
		most = max(most, len(r.cells))
	}
	out := make([]row, most)
	for i := range out {
		out[i].line = rows[0].line
		for _, r := range rows {
			c := ""
			if i < len(r.cells) {
				c = r.cells[i]
			}
			out[i].cells = append(out[i].cells, c)
		}
	}
	return out
}

// table writes the rows of a table as lines.
func table(rows []row) []line {
	if sideways(rows) {
		rows = turned(rows)
		if roleOf(rows[0].cells[0]) == noRole { // labels at the side may be missing
			rows[0].cells[0] = "slot"
		}
	}
	var out []line
	var roles []role
	var above []string
	var head []string
	part, cell := "", ""
	for i, r := range rows {
		switch {
		case i+1 < len(rows) && onlyModes(r.cells) && countRole(rows[i+1].cells, slotRole) >= 2:
			above = r.cells
		case i == 0 && len(rows) > 1 && onlyModes(r.cells) && len(nonEmpty(r.cells)) > 1 && numbered(strings.Join(nonEmpty(rows[1].cells), "   "), len(nonEmpty(r.cells))):
			return stacked(rows)
		case known(r.cells) >= 2 && (roles == nil || !hasSlot(r.cells)):
			roles, head = rolesOf(r.cells), r.cells
			if parts := beside(r.cells, roles, above); parts != nil {
				return append(out, parts(rows[i+1:])...)
			}
			if modes := byMode(r.cells, roles, rows[i+1:]); modes != nil {
				return append(out, modes...)
			}
			if j := slices.Index(roles, slotRole); j < 0 && len(roles) > 1 {
				roles = nil
				out = append(out, line{r.number, strings.Join(r.cells, "  ")})
			}
		case roles == nil:
			above = r.cells
			out = append(out, line{r.number, strings.Join(nonEmpty(r.cells), "  ")})
		default:
			if j := slices.Index(roles, partRole); j >= 0 && j < len(r.cells) && r.cells[j] != "" && r.cells[j] != part {
				part = r.cells[j]
				out = append(out, line{r.number, "Mode " + part})
			}
			if j := slices.Index(roles, cellRole); j >= 0 && j < len(r.cells) {
				cell = cellOf(r.cells, j, roles, cell)
				r.cells = slices.Clone(r.cells)
				r.cells[j] = cell
			}
			out = append(out, line{r.number, written(r.cells, roles, head)})
		}
	}
	return out
}

// cellOf is the part of the lamp that a row's slot is of, as words that say so: what its column says, or, where
// that is empty beside a kind of light, what it said above.
func cellOf(cells []string, at int, roles []role, before string) string {
	c := strings.TrimSpace(cells[at])
	if c == "" {
		for i, text := range cells {
			if i < len(roles) && roles[i] == textRole && kindOfPiece(has(scan(text))) == driving {
				return before
			}
		}
		return ""
	}
	if m := cellNumber.FindStringSubmatch(c); m != nil {
		return "section " + m[1]
	}
	if len(c) == 1 && c[0] >= 'A' && c[0] <= 'H' {
		return fmt.Sprintf("section %d", c[0]-'A'+1)
	}
	if slices.ContainsFunc(sideWords, func(side *regexp.Regexp) bool { return side.MatchString(c) }) {
		return c
	}
	return ""
}

var cellNumber = regexp.MustCompile(`^(?:\p{L}{1,10}\.? ?|#)?(\d{1,3})$`)

// stacked writes columns that hold a mode each, slots and all, one after another.
func stacked(rows []row) (out []line) {
	for k, name := range rows[0].cells {
		if name == "" {
			continue
		}
		out = append(out, line{rows[0].number, name})
		for _, r := range rows[1:] {
			if k < len(r.cells) && r.cells[k] != "" {
				out = append(out, line{r.number, r.cells[k]})
			}
		}
	}
	return out
}

// written is a row as a line that reads like one that was typed: slot, name, values, words.
func written(cells []string, roles []role, labelsOf []string) string {
	var slot, from, to, value string
	var texts, ranges []string
	for i, c := range cells {
		r := textRole
		if i < len(roles) {
			r = roles[i]
		}
		switch r {
		case slotRole:
			slot = c
		case fromRole:
			from = c
		case toRole:
			to = c
		case valueRole:
			value = c
		case partRole:
		case noteRole:
			if told := scan(c); valuesIn(told) || slices.ContainsFunc(told, func(t token) bool { return t.kind == isRate }) || hasSense(told, "slow") && hasSense(told, "fast") {
				texts = append(texts, c)
			}
		case cellRole:
			if c != "" {
				texts = append([]string{c}, texts...)
			}
		case rangeRole:
			if c != "" {
				ranges = append(ranges, labelsOf[i]+" : "+c)
			}
		default:
			if c != "" {
				texts = append(texts, c)
			}
		}
	}
	if len(ranges) > 0 && len(ranges) < 2 { // words over the first range alone are the name
		_, name, _ := strings.Cut(ranges[0], " : ")
		texts, ranges = append(texts, name), nil
	}
	texts = append(texts, strings.Join(ranges, ", "))
	texts = nonEmpty(texts)
	if from != "" && to != "" {
		value = from + "-" + to
	} else if from != "" && to == "" && slices.Contains(roles, toRole) {
		value = from + "+"
	} else if from != "" {
		value = from
	}
	var b strings.Builder
	if n := slotCell(slot); n > 0 {
		fmt.Fprintf(&b, "CH%d  ", n)
	} else if slot != "" {
		b.WriteString("CH" + strings.TrimPrefix(slot, "CH") + "  ")
	}
	if ranged(texts) && (value == "" || whole(value)) {
		value = "" // the words have their own
	}
	switch {
	case value == "":
		b.WriteString(strings.Join(texts, "  "))
	case len(texts) > 1 && slot != "" || len(texts) > 1 && !whole(value):
		b.WriteString(texts[0] + "  " + value + " : " + strings.Join(texts[1:], " "))
	default:
		b.WriteString(value + " : " + strings.Join(texts, " "))
	}
	return b.String()
}

// valuesIn tells whether a remark tells what values do: two ranges of them, the first from 0.
func valuesIn(toks []token) bool {
	var all []token
	for _, t := range toks {
		if t.kind == isRange {
			all = append(all, t)
		}
	}
	return len(all) > 1 && all[0].from == 0 && all[1].from > all[0].to
}

// ranged tells whether words hold ranges of values.
func ranged(texts []string) bool {
	for _, s := range texts {
		for _, t := range scan(s) {
			if t.kind == isRange {
				return true
			}
		}
	}
	return false
}

var wholeRange = regexp.MustCompile(`^0*(?:0 ?(?:-|to|bis|\.\.) ?)255$`)

func whole(value string) bool { return wholeRange.MatchString(strings.TrimSpace(value)) }

// beside splits a table in which several stand beside each other.
func beside(cells []string, roles []role, above []string) func([]row) []line {
	var starts []int
	for i, r := range roles {
		if r == slotRole {
			starts = append(starts, i)
		}
	}
	if len(starts) < 2 {
		return nil
	}
	names := nonEmpty(above)
	if len(names) == len(starts) { // each over its own, wherever a copy put them
		above = make([]string, len(cells))
		for k, from := range starts {
			above[from] = names[k]
		}
	}
	return func(rows []row) (out []line) {
		for k, from := range starts {
			to := len(cells)
			if k+1 < len(starts) {
				to = starts[k+1]
			}
			for i := from; i < min(to, len(above)); i++ {
				if above[i] != "" {
					out = append(out, line{rows0(rows), above[i]})
				}
			}
			if k > 0 && len(nonEmpty(above[min(from, len(above)):min(to, len(above))])) == 0 {
				out = append(out, line{rows0(rows), fmt.Sprintf("mode %d", k+1)})
			}
			for _, r := range rows {
				part := make([]string, to-from)
				for i := range part {
					if from+i < len(r.cells) {
						part[i] = r.cells[from+i]
					}
				}
				if len(nonEmpty(part)) > 0 {
					out = append(out, line{r.number, written(part, roles[from:to], nil)})
				}
			}
		}
		return out
	}
}

func rows0(rows []row) int {
	if len(rows) == 0 {
		return 1
	}
	return rows[0].number
}
