package typeset

import (
	"encoding/csv"
	"fmt"
	"io"
	"strings"
)

// CSV writes the tables of documents for spreadsheets (RFC 4180): one alone as it is, of several
// each below its name. Labels are tables too, and what is to do.
func CSV(w io.Writer, docs ...Document) error {
	c := csv.NewWriter(w)
	c.UseCRLF = true
	tables := tablesOf(docs)
	for i, t := range tables {
		if i > 0 {
			c.Flush()
			if _, err := io.WriteString(w, "\r\n"); err != nil {
				return fmt.Errorf("write CSV: %w", err)
			}
		}
		if len(tables) > 1 {
			_ = c.Write([]string{safe(t.Name)})
		}
		_ = c.Write(safely(t.heads(), len(t.Columns)))
		for r := range t.Rows {
			_ = c.Write(safely(t.Rows[r].Cells, len(t.Columns)))
		}
	}
	c.Flush()
	if err := c.Error(); err != nil {
		return fmt.Errorf("write CSV: %w", err)
	}
	return nil
}

// tablesOf gathers what is a table, each named by its document where it has no name.
func tablesOf(docs []Document) []*Table {
	var out []*Table
	for i := range docs {
		for _, b := range docs[i].Blocks {
			var t *Table
			switch b := b.(type) {
			case *Table:
				copied := *b
				t = &copied
			case *Labels:
				t = b.table()
			case *Tasks:
				t = b.table()
			default:
				continue
			}
			t.Name = strings.TrimSuffix(docs[i].Title+", "+t.Name, ", ")
			out = append(out, t)
		}
	}
	return out
}

func (l *Labels) table() *Table {
	t := &Table{Columns: []Column{{Head: "name"}, {Head: "lines"}}}
	for _, one := range l.List {
		t.Rows = append(t.Rows, Row{Cells: []string{one.Big, strings.Join(one.Lines, "\n")}})
	}
	return t
}

func (t *Tasks) table() *Table {
	out := &Table{Columns: []Column{{Head: "to do"}, {Head: "done"}}}
	for _, one := range t.List {
		out.Rows = append(out.Rows, Row{Cells: []string{one.Text}})
	}
	return out
}

func safely(cells []string, n int) []string {
	out := make([]string, n)
	for i := range min(n, len(cells)) {
		out[i] = safe(cells[i])
	}
	return out
}

// safe keeps a spreadsheet from taking a name for a formula, which would run: an apostrophe before it
// makes it text (common practice, no source). Numbers stay numbers.
func safe(cell string) string {
	cell = strings.ReplaceAll(cell, mark, "")
	if cell != "" && strings.ContainsRune("=+-@\t\r", rune(cell[0])) && strings.Trim(cell, "+-0123456789.,") != "" {
		return "'" + cell
	}
	return cell
}
