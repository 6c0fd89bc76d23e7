package sheet

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"lampblack/sheet/typeset"
	"lampblack/source"
)

// RecordFile holds, in a show's folder, what was on the papers that were handed out last.
const RecordFile = "handed-out.json"

// Record is what stood on papers when they were handed out, line by line: enough to tell what has
// changed, and what is gone.
type Record struct {
	Papers map[string]Handed `json:"papers"` // by title
}

// Handed is one paper as it was handed out.
type Handed struct {
	On      string      `json:"on"` // the date
	Version string      `json:"version"`
	Lines   [][2]string `json:"lines"` // a sum of what stands there, and what it is called
}

// ReadRecord reads a record; none where data is nil.
func ReadRecord(data []byte) (*Record, error) {
	r := &Record{}
	if data != nil {
		if err := json.Unmarshal(data, r); err != nil {
			return nil, fmt.Errorf("read %s: %w", RecordFile, err)
		}
	}
	if r.Papers == nil {
		r.Papers = map[string]Handed{}
	}
	return r, nil
}

// Bytes is the record as a file.
func (r *Record) Bytes() ([]byte, error) {
	data, err := json.MarshalIndent(r, "", " ")
	return append(data, '\n'), err
}

// HandOut is the record with these papers handed out as they are, in place of what was noted of them.
func (r *Record) HandOut(docs []typeset.Document, version string, today time.Time) *Record {
	out := &Record{Papers: map[string]Handed{}}
	maps.Copy(out.Papers, r.Papers)
	for i := range docs {
		h := Handed{On: today.Format(time.DateOnly), Version: version, Lines: [][2]string{}}
		eachLine(&docs[i], func(sum, name string, _ *bool) { h.Lines = append(h.Lines, [2]string{sum, name}) })
		out.Papers[docs[i].Title] = h
	}
	return out
}

// Mark marks what is on papers and was not when they were handed out, and says in a line what is gone
// since. A paper that never was handed out has no marks.
func (r *Record) Mark(docs []typeset.Document) {
	for i := range docs {
		d := &docs[i]
		if was, ok := r.Papers[d.Title]; ok {
			n, gone := was.against(d, true)
			d.Blocks = append([]typeset.Block{since(&was, n, gone)}, d.Blocks...)
		}
	}
}

// Changed lists, by title, the papers on which something stands that did not when they were handed out, or
// no longer does. A paper that never was handed out is not among them.
func (r *Record) Changed(docs []typeset.Document) (titles []string) {
	for i := range docs {
		was, ok := r.Papers[docs[i].Title]
		if !ok {
			continue
		}
		if n, gone := was.against(&docs[i], false); n > 0 || len(gone) > 0 {
			titles = append(titles, docs[i].Title)
		}
	}
	return titles
}

// against counts the lines of a paper that are new since, marking them where that is asked for, and
// names what is gone.
func (h *Handed) against(d *typeset.Document, mark bool) (changed int, gone []string) {
	left := map[string]int{}
	for _, l := range h.Lines {
		left[l[0]]++
	}
	names := map[string]bool{}
	eachLine(d, func(sum, name string, new *bool) {
		names[name] = true
		if left[sum] > 0 {
			left[sum]--
			return
		}
		*new = *new || mark
		changed++
	})
	return changed, goneOf(h, left, names)
}

// goneOf names what stood there and no longer does.
func goneOf(was *Handed, left map[string]int, names map[string]bool) []string {
	var gone []string
	for _, l := range was.Lines {
		if left[l[0]] > 0 && l[1] != "" && !names[l[1]] && !slices.Contains(gone, l[1]) {
			gone = append(gone, l[1])
		}
	}
	return gone
}

// since says since when marks count.
func since(was *Handed, changed int, gone []string) *typeset.Words {
	text := strong("Since "+was.On) + ": "
	switch {
	case changed == 0 && len(gone) == 0:
		text += "nothing has changed."
	case changed == 0:
		text += "nothing is new."
	default:
		text += "a bar in the margin marks what is new or another."
	}
	if len(gone) > 0 {
		text += " Gone: " + source.First(gone, 12) + "."
	}
	return words(text)
}

// eachLine goes through what a reader takes for a line: rows, paragraphs, tasks, figures.
func eachLine(d *typeset.Document, f func(sum, name string, changed *bool)) {
	for _, b := range d.Blocks {
		switch b := b.(type) {
		case *typeset.Words:
			f(sumOf(b.Text), "", &b.Changed)
		case *typeset.Tasks:
			for i := range b.List {
				f(sumOf(b.List[i].Text), "", &b.List[i].Changed)
			}
		case *typeset.Figure:
			f(sumOf(b.Key), "", &b.Changed)
		case *typeset.Table:
			for i := range b.Rows {
				r := &b.Rows[i]
				f(sumOf(b.Name+"\x01"+strings.Join(r.Cells, "\x00")), nameOf(b, r), &r.Changed)
			}
		case *typeset.Labels:
			for i := range b.List {
				l := &b.List[i]
				f(sumOf(l.Big+"\x00"+strings.Join(l.Lines, "\x00")), l.Big, new(bool))
			}
		}
	}
}

// nameOf is what a row is called. Sums and rows over others have no name.
func nameOf(t *typeset.Table, r *typeset.Row) string {
	c := slices.IndexFunc(t.Columns, func(c typeset.Column) bool { return c.Names })
	if c < 0 {
		c = slices.IndexFunc(t.Columns, func(c typeset.Column) bool { return c.Bold })
	}
	if r.Bold || r.Head || c < 0 || c >= len(r.Cells) {
		return ""
	}
	return r.Cells[c]
}

func sumOf(text string) string {
	sum := sha256.Sum256([]byte(text))
	return hex.EncodeToString(sum[:6])
}
