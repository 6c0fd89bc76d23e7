package typeset

import (
	"strings"

	"lampblack/plate/drawing"
)

// grid is how a table is set: the size of its letters, and how wide its columns are, with
// the gap behind each.
type grid struct {
	size   float64
	widths []float64
}

// gap is what lies between two columns, as a share of the size.
const gap = .75

// wants is what a column would have, for letters of size 1.
type wants struct{ all, least float64 }

// longestWhole is the longest word, in sizes of letters, that is not broken to make room.
const longestWhole = 14.

// wants measures a column: its widest cell, and its widest word.
func (t *Table) wants(c int) wants {
	w := wants{all: drawing.Wide(t.Columns[c].Head, 1, true), least: widestWord(t.Columns[c].Head, true)}
	if least := t.Columns[c].Least * drawing.Wide("0", 1, false); least > 0 {
		w = wants{max(w.all, least), max(w.least, least)}
	}
	for i := range t.Rows {
		r := &t.Rows[i]
		if r.Head || c >= len(r.Cells) || r.Cells[c] == "" {
			continue
		}
		bold := r.Bold || t.Columns[c].Bold || strings.Contains(r.Cells[c], mark) // all of it: a little wide is no fault
		for part := range strings.SplitSeq(plain(clean(r.Cells[c])), "\n") {
			w.all = max(w.all, drawing.Wide(part, 1, bold))
		}
		w.least = max(w.least, widestWord(plain(clean(r.Cells[c])), bold))
	}
	if w.all == drawing.Wide(t.Columns[c].Head, 1, true) && t.empty(c) {
		w.least = max(w.least, writtenIn)
	}
	if t.Columns[c].Bold { // a name stays on one line where that is short
		w.least = max(w.least, min(w.all, wholeName))
	}
	w.least = min(w.least, max(longestWhole, t.Columns[c].Least))
	w.all = max(w.all, w.least)
	return w
}

const (
	writtenIn = 4.5 // the width, in sizes of letters, of a column in which nothing stands: people write there
	wholeName = 7.5 // of a name that is not broken between its words
)

// empty tells whether nothing stands in a column.
func (t *Table) empty(c int) bool {
	for i := range t.Rows {
		if r := &t.Rows[i]; !r.Head && c < len(r.Cells) && r.Cells[c] != "" {
			return false
		}
	}
	return len(t.Rows) > 0 && t.Columns[c].Head != ""
}

func widestWord(text string, bold bool) float64 {
	most := 0.0
	for word := range strings.FieldsSeq(text) {
		most = max(most, drawing.Wide(word, 1, bold))
	}
	return most
}

// grid finds the size and the widths that go into width: first all cells on one line, then
// lines broken between words, then smaller letters, then broken words.
func (t *Table) grid(width float64) grid {
	size := t.Size
	if size == 0 {
		size = Usual
	}
	list := make([]wants, len(t.Columns))
	all, least := 0.0, 0.0
	for c := range list {
		list[c] = t.wants(c)
		list[c].all += gap
		list[c].least += gap
		all, least = all+list[c].all, least+list[c].least
	}
	if least*size > width {
		size = max(width/least, min(size, Smallest))
	}
	room := width / size
	g := grid{size: size, widths: make([]float64, len(list))}
	switch {
	case all <= room:
		t.spread(&g, list, room-all)
	default:
		if least > room { // even the smallest letters need words to be broken, those of the widest columns first
			for c := range list {
				list[c].all, list[c].least = list[c].least, gap+1.2
			}
		}
		for c, w := range t.share(list, room) {
			g.widths[c] = w * size
		}
	}
	return g
}

// widest is what may be added to a column, in sizes of letters, so that the eye finds its way along a row.
const widest = 2.5

// spread gives every column all it wants, and those that grow what is left; where none does, each
// gets some of it.
func (t *Table) spread(g *grid, list []wants, left float64) {
	n := 0
	for c := range t.Columns {
		if t.Columns[c].Grow {
			n++
		}
	}
	for c, w := range list {
		g.widths[c] = w.all * g.size
		switch {
		case t.Columns[c].Grow:
			g.widths[c] += left / float64(n) * g.size
		case n == 0:
			g.widths[c] += min(left/float64(len(list)), widest) * g.size
		}
	}
}

// sampled is how many rows are looked at to share out the room: more tell no more.
const sampled = 160

// share gives every column its least, and the rest of the room, step by step, to whichever column makes the
// table shortest: that is mostly the one with the most words.
func (t *Table) share(list []wants, room float64) []float64 {
	out := make([]float64, len(list))
	for c, w := range list {
		out[c] = w.least
		room -= w.least
	}
	long := t.long()
	step := max(room/80, .4)
	for room > 1e-9 {
		best, gain := -1, 0.
		for c, w := range list {
			if out[c] >= w.all-1e-9 {
				continue
			}
			if g := shorter(long, out, c, min(step, room, w.all-out[c])) / min(step, room, w.all-out[c]); best < 0 || g > gain {
				best, gain = c, g
			}
		}
		if best < 0 {
			break
		}
		add := min(step, room, list[best].all-out[best])
		out[best] += add
		room -= add
	}
	return out
}

// long is how long the text of each cell is, of some of the rows, in sizes of letters.
func (t *Table) long() [][]float64 {
	var out [][]float64
	every := max(len(t.Rows)/sampled, 1)
	for i := 0; i < len(t.Rows); i += every {
		r := &t.Rows[i]
		if r.Head {
			continue
		}
		row := make([]float64, len(t.Columns))
		for c := range min(len(t.Columns), len(r.Cells)) {
			row[c] = drawing.Wide(plain(r.Cells[c]), 1, t.Columns[c].Bold)
		}
		out = append(out, row)
	}
	return out
}

// shorter is by how many lines a table becomes shorter when a column gets more room; of rows whose height other
// columns decide a little counts, so that several columns grow together.
func shorter(long [][]float64, widths []float64, column int, more float64) float64 {
	sum := 0.0
	for _, row := range long {
		mine := row[column] / (widths[column] - gap)
		with := row[column] / (widths[column] + more - gap)
		others := 1.0
		for c, l := range row {
			if c != column {
				others = max(others, l/(widths[c]-gap))
			}
		}
		sum += max(mine, others) - max(with, others) + .1*(max(mine, 1)-max(with, 1))
	}
	return sum
}
