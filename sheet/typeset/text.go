package typeset

import (
	"fmt"
	"io"
	"strings"
)

// texter writes Markdown.
type texter struct{ b strings.Builder }

// Text writes documents as Markdown, for reading in a terminal, for mail, and to be completed by
// hand. Figures are told and not drawn.
func Text(w io.Writer, docs ...Document) error {
	t := &texter{}
	for i := range docs {
		if i > 0 {
			t.b.WriteString("\n")
		}
		fmt.Fprintf(&t.b, "# %s\n", clean(docs[i].Title))
		for _, b := range docs[i].Blocks {
			t.b.WriteString("\n")
			b.text(t)
		}
	}
	_, err := io.WriteString(w, strings.ReplaceAll(t.b.String(), mark, "**"))
	return err
}

func (h *Heading) text(t *texter) { fmt.Fprintf(&t.b, "## %s\n", clean(h.Text)) }
func (b *Blank) text(t *texter) {
	t.b.WriteString(strings.Repeat("\n______________________\n", b.Lines))
}
func (f *Figure) text(t *texter) { fmt.Fprintf(&t.b, "(A drawing: %s)\n", clean(f.Drawing.Title)) }

// since is what has changed since the last print, in text.
func since(changed bool) string {
	if changed {
		return "(changed) "
	}
	return ""
}

func (w *Words) text(t *texter) {
	before := ""
	if w.Boxed {
		before = "> "
	}
	for line := range strings.SplitSeq(since(w.Changed)+clean(w.Text), "\n") {
		t.b.WriteString(before + line + "\n")
	}
}

func (k *Tasks) text(t *texter) {
	for _, one := range k.List {
		box := "[ ] "
		if one.Plain {
			box = ""
		}
		fmt.Fprintf(&t.b, "- %s%s%s\n", box, since(one.Changed), strings.ReplaceAll(clean(one.Text), "\n", " "))
	}
}

func (l *Labels) text(t *texter) {
	for _, one := range l.List {
		fmt.Fprintf(&t.b, "- **%s** %s\n", clean(one.Big), clean(strings.Join(one.Lines, "; ")))
	}
}

func (tb *Table) text(t *texter) {
	if tb.Name != "" {
		fmt.Fprintf(&t.b, "## %s\n\n", clean(tb.Name))
	}
	t.row(tb.heads(), len(tb.Columns), "")
	t.b.WriteString("|" + strings.Repeat("---|", len(tb.Columns)) + "\n")
	for i := range tb.Rows {
		r := &tb.Rows[i]
		cells := r.Cells
		if r.Head || r.Bold {
			cells = nil
			for _, c := range r.Cells {
				if c != "" {
					c = "**" + strings.ReplaceAll(c, mark, "") + "**"
				}
				cells = append(cells, c)
			}
		}
		t.row(cells, len(tb.Columns), since(r.Changed))
	}
}

func (t *texter) row(cells []string, n int, before string) {
	t.b.WriteString("|")
	for i := range n {
		cell := ""
		if i < len(cells) {
			cell = strings.NewReplacer("\n", "<br>", "|", `\|`).Replace(clean(cells[i]))
		}
		fmt.Fprintf(&t.b, " %s%s |", before, cell)
		before = ""
	}
	t.b.WriteString("\n")
}
