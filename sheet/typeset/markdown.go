package typeset

import "strings"

// Markdown reads text with headings, paragraphs, lists, boxes to tick, tables and quotes as blocks: what
// drafts are written in. What it does not know stays as it is written. The first heading of the first level is the
// title.
func Markdown(text string) (title string, out []Block) {
	r := markdown{}
	for line := range strings.SplitSeq(strings.ReplaceAll(text, "**", mark), "\n") {
		r.line(strings.TrimRight(line, " \r"))
	}
	r.end()
	return r.title, r.out
}

// markdown gathers lines until the block ends.
type markdown struct {
	title     string
	out       []Block
	paragraph []string
	quote     []string
	tasks     *Tasks
	table     *Table
}

func (m *markdown) line(l string) {
	quoted := strings.HasPrefix(l, ">")
	list := strings.HasPrefix(l, "- ")
	table := strings.HasPrefix(l, "|")
	if len(m.quote) > 0 && !quoted || m.tasks != nil && !list || m.table != nil && !table || len(m.paragraph) > 0 && (quoted || list || table || l == "" || l[0] == '#') {
		m.end()
	}
	switch {
	case quoted:
		m.quote = append(m.quote, strings.TrimSpace(strings.TrimPrefix(l, ">")))
	case list:
		m.task(l[2:])
	case table:
		m.row(l)
	case strings.HasPrefix(l, "# ") && m.title == "":
		m.title = strings.ReplaceAll(l[2:], mark, "")
	case strings.HasPrefix(l, "#"):
		m.out = append(m.out, &Heading{strings.TrimSpace(strings.TrimLeft(l, "#"))})
	case l != "":
		m.paragraph = append(m.paragraph, l)
	}
}

// task is an entry of a list, with a box or without.
func (m *markdown) task(text string) {
	if m.tasks == nil {
		m.tasks = &Tasks{}
	}
	t := Task{Text: text, Plain: true}
	if rest, ok := strings.CutPrefix(text, "[ ] "); ok {
		t = Task{Text: rest}
	}
	m.tasks.List = append(m.tasks.List, t)
}

func (m *markdown) row(l string) {
	cells := fields(l)
	if m.table == nil {
		m.table = &Table{Ruled: true}
		for _, c := range cells {
			m.table.Columns = append(m.table.Columns, Column{Head: plain(c)})
		}
		return
	}
	if strings.Trim(l, "|-: ") == "" { // the line under the heads
		return
	}
	m.table.Rows = append(m.table.Rows, Row{Cells: cells})
}

// fields takes a row apart at its bars; one behind a backslash is part of a cell.
func fields(l string) []string {
	const hidden = "\x00"
	l = strings.ReplaceAll(strings.Trim(l, " "), `\|`, hidden)
	l = strings.TrimSuffix(strings.TrimPrefix(l, "|"), "|")
	out := strings.Split(l, "|")
	for i := range out {
		out[i] = strings.ReplaceAll(strings.ReplaceAll(strings.TrimSpace(out[i]), hidden, "|"), "<br>", "\n")
	}
	return out
}

// end ends the block that is being gathered.
func (m *markdown) end() {
	switch {
	case len(m.paragraph) > 0:
		m.out = append(m.out, &Words{Text: strings.Join(m.paragraph, " ")})
	case len(m.quote) > 0:
		m.out = append(m.out, &Words{Text: inQuote(m.quote), Boxed: true})
	case m.tasks != nil:
		m.out = append(m.out, m.tasks)
	case m.table != nil:
		m.out = append(m.out, m.table)
	}
	m.paragraph, m.quote, m.tasks, m.table = nil, nil, nil, nil
}

// inQuote is the lines of a quote: headings bold, entries of lists behind a dot.
func inQuote(lines []string) string {
	var out []string
	for _, l := range lines {
		switch {
		case strings.HasPrefix(l, "#"):
			l = Strong(strings.TrimSpace(strings.TrimLeft(l, "#")))
		case strings.HasPrefix(l, "- "):
			l = "• " + l[2:]
		}
		out = append(out, l)
	}
	return strings.Trim(strings.Join(out, "\n"), "\n")
}
