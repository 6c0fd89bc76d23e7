package typeset

import "lampblack/plate/drawing"

// pad is over and under the lines of a row, as a share of the size.
const pad = .28

func (t *Table) set(s *setter) {
	g := t.grid(s.right - s.left)
	head := t.cells(&g, &Row{Cells: t.heads(), Bold: true})
	s.together(t.together(&g, head, s.bottom-s.top))
	if t.Name != "" {
		(&Heading{t.Name}).set(s)
	}
	if !t.headless() {
		s.again = func() { t.head(s, &g, head) }
		t.head(s, &g, head)
	}
	for i := range t.Rows {
		r := &t.Rows[i]
		if r.Head {
			below := 2 * leading * g.size
			if i+1 < len(t.Rows) && !t.Rows[i+1].Head {
				below = min(t.cells(&g, &t.Rows[i+1]).height(g.size), (s.bottom-s.top)/2)
			}
			t.over(s, &g, r, below)
			continue
		}
		t.row(s, &g, t.cells(&g, r), r)
	}
	s.again = nil
	if len(t.Rows) == 0 {
		(&Words{Text: "(none)", Size: g.size}).set(s)
	}
	s.y += .6 * g.size
}

// headless tells whether no column has a head.
func (t *Table) headless() bool {
	for i := range t.Columns {
		if t.Columns[i].Head != "" {
			return false
		}
	}
	return true
}

// together is how much of the table is to stand on one page: its heads and two rows, and all of it where that
// is less than half a page.
func (t *Table) together(g *grid, head cells, page float64) float64 {
	high := head.height(g.size)
	if t.Name != "" {
		high += headingSize*leading + 12
	}
	least := high
	for i := range t.Rows {
		high += t.cells(g, &t.Rows[i]).height(g.size)
		if i < 2 {
			least = high
		}
		if high > page/2 {
			return least
		}
	}
	return high
}

func (t *Table) heads() []string {
	out := make([]string, len(t.Columns))
	for c := range t.Columns {
		out[c] = t.Columns[c].Head
	}
	return out
}

// cells is a row as lines, by column.
type cells [][]line

func (t *Table) cells(g *grid, r *Row) cells {
	out := make(cells, len(t.Columns))
	for c := range t.Columns {
		if c < len(r.Cells) && r.Cells[c] != "" {
			out[c] = wrap(clean(r.Cells[c]), g.widths[c]-gap*g.size, g.size, r.Bold || t.Columns[c].Bold)
		}
	}
	return out
}

// most is how many lines the row has.
func (c cells) most() int {
	n := 1
	for _, lines := range c {
		n = max(n, len(lines))
	}
	return n
}

func (c cells) height(size float64) float64 { return (float64(c.most())*leading + 2*pad) * size }

// part is the lines from one to another of every cell.
func (c cells) part(from, to int) cells {
	out := make(cells, len(c))
	for i, lines := range c {
		out[i] = lines[min(from, len(lines)):min(to, len(lines))]
	}
	return out
}

// head sets the heads of the columns, with a strong line under them.
func (t *Table) head(s *setter, g *grid, head cells) {
	t.put(s, g, head)
	s.page.Line(s.left, s.y, s.left+g.wide(), s.y, drawing.Ink, 1.6)
}

func (g *grid) wide() float64 {
	sum := 0.0
	for _, w := range g.widths {
		sum += w
	}
	return sum
}

// over sets a row that stands over others, on the page of the first of them, which is so high.
func (t *Table) over(s *setter, g *grid, r *Row, below float64) {
	text := ""
	if len(r.Cells) > 0 {
		text = r.Cells[0]
	}
	lines := wrap(clean(text), s.right-s.left, g.size, true)
	high := (float64(len(lines))*leading + 3*pad) * g.size
	if s.y+high+below > s.bottom {
		s.next()
	}
	from := s.y
	s.y += 2 * pad * g.size
	s.lines(lines, s.left, s.right, g.size, drawing.Left)
	s.y += pad * g.size
	s.changed(r.Changed, from)
}

// row sets a row, on the next page where this one has no room for it; one that no page holds is cut
// between lines.
func (t *Table) row(s *setter, g *grid, c cells, r *Row) {
	if s.y+c.height(g.size) > s.bottom {
		s.next()
	}
	for from, all := 0, c.most(); from < all; {
		fit := max(int((s.bottom-s.y)/g.size/leading-2*pad/leading+1e-9), 1)
		piece := c.part(from, from+fit)
		y := s.y
		if r.Bold {
			s.page.Line(s.left, s.y, s.left+g.wide(), s.y, drawing.Ink, 1)
		}
		t.put(s, g, piece)
		s.page.Line(s.left, s.y, s.left+g.wide(), s.y, rule, .6)
		s.changed(r.Changed, y)
		if from += fit; from < all {
			s.next()
		}
	}
}

// rule is the colour of thin lines: grey that a copier keeps.
var rule = drawing.Hex(0x999999)

// put sets the lines of a row, and goes below it.
func (t *Table) put(s *setter, g *grid, c cells) {
	top, x := s.y, s.left
	end := top + c.height(g.size)
	for i, lines := range c {
		s.y = top + pad*g.size
		at := drawing.Left
		if t.Columns[i].Right {
			at = drawing.Right
		}
		s.lines(lines, x, x+g.widths[i]-gap*g.size, g.size, at)
		x += g.widths[i]
		if t.Ruled && i < len(c)-1 {
			s.page.Line(x-gap*g.size/2, top, x-gap*g.size/2, end, rule, .6)
		}
	}
	s.y = end
}
