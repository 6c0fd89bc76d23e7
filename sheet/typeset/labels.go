package typeset

import (
	"fmt"
	"slices"

	"lampblack/plate/drawing"
)

// Stock is a sheet of labels that stick, in millimetres.
type Stock struct {
	Name          string
	Paper         Paper
	Columns, Rows int
	Left, Top     float64 // of the first label
	Wide, High    float64 // of each
	Across, Down  float64 // from one to the next
}

// Stocks are common sheets. Their dimensions are from memory: lay a print on ordinary paper over
// the sheet before it goes in.
var Stocks = []Stock{
	{"a4 3x7", A4, 3, 7, 7.25, 15.15, 63.5, 38.1, 66, 38.1},
	{"a4 3x8", A4, 3, 8, 0, 0, 70, 37.125, 70, 37.125},
	{"a4 2x7", A4, 2, 7, 4.65, 15.15, 99.1, 38.1, 101.6, 38.1},
	{"a4 5x13", A4, 5, 13, 4.75, 10.7, 38.1, 21.2, 40.6, 21.2},
	{"letter 3x10", Letter, 3, 10, 4.7625, 12.7, 66.675, 25.4, 69.85, 25.4},
	{"letter 2x5", Letter, 2, 5, 4.7625, 12.7, 101.6, 50.8, 104.775, 50.8},
}

// StockOf is the sheet of a name, or the usual one of a paper where the name is empty.
func StockOf(name string, paper Paper) (Stock, bool) {
	i := slices.IndexFunc(Stocks, func(s Stock) bool { return s.Name == name || name == "" && s.Paper.Name == paper.Name })
	if i < 0 {
		return Stock{}, false
	}
	return Stocks[i], true
}

// StockForm is how the measures of another sheet are written.
const StockForm = "3 x 7 of 63.5 x 38.1 mm, from 7.2 x 15.1 mm, every 66 x 38.1 mm"

// ReadStock reads the measures of a sheet: columns and rows, the size of a label, where the first begins from
// the left and the top, and how far from one to the next.
func ReadStock(text string, paper Paper) (Stock, error) {
	k := Stock{Name: text, Paper: paper}
	n, _ := fmt.Sscanf(text, "%d x %d of %f x %f mm, from %f x %f mm, every %f x %f mm", &k.Columns, &k.Rows, &k.Wide, &k.High, &k.Left, &k.Top, &k.Across, &k.Down)
	if n != 8 {
		return k, fmt.Errorf("there is no sheet of labels %q", text)
	}
	if k.Columns < 1 || k.Rows < 1 || k.Columns*k.Rows > 400 || !(k.Wide >= 15 && k.High >= 8 && k.Left >= 0 && k.Top >= 0 && k.Across >= k.Wide && k.Down >= k.High) ||
		k.Left+float64(k.Columns-1)*k.Across+k.Wide > paper.Width/mm+.5 || k.Top+float64(k.Rows-1)*k.Down+k.High > paper.Height/mm+.5 {
		return k, fmt.Errorf("labels as %q do not go on %s, or are smaller than 15 x 8 mm", text, paper.Name)
	}
	return k, nil
}

// StockNames lists the sheets.
func StockNames() []string {
	out := make([]string, len(Stocks))
	for i := range Stocks {
		out[i] = Stocks[i].Name
	}
	return out
}

// edge is how far words keep from the edge of a label, in pixels: printers feed no sheet truer.
const edge = 2.2 * mm

func (l *Labels) set(s *setter) {
	k := &l.Stock
	each := k.Columns * k.Rows
	for i := range l.List {
		if i%each == 0 {
			s.sheet(k)
		}
		x := (k.Left + float64(i%each%k.Columns)*k.Across) * mm
		y := (k.Top + float64(i%each/k.Columns)*k.Down) * mm
		s.label(&l.List[i], x, y, x+k.Wide*mm, y+k.High*mm)
	}
	if len(l.List) == 0 {
		s.sheet(k)
	}
}

// sheet begins a sheet of labels: nothing but labels may stand on it.
func (s *setter) sheet(k *Stock) {
	s.page = drawing.New(k.Paper.Width, k.Paper.Height, clean(s.doc.Title))
	s.pages = append(s.pages, s.page)
	if s.bare == nil {
		s.bare = map[*drawing.Drawing]bool{}
	}
	s.bare[s.page] = true
}

// label makes the letters smaller until all of it goes in.
func (s *setter) label(l *Label, left, top, right, bottom float64) {
	left, top, right, bottom = left+edge, top+edge, right-edge, bottom-edge
	width, high := right-left, bottom-top
	for share := 1.0; ; share *= .93 {
		big, small := min(.34*high, 40)*share, min(.165*high, 19)*share
		name := wrap(clean(l.Big), width, big, true)
		var first, rest []line
		for i, text := range l.Lines {
			if i == 0 {
				first = wrap(clean(text), width, 1.3*small, true)
			} else {
				rest = append(rest, wrap(clean(text), width, small, false)...)
			}
		}
		if (float64(len(name))*big+(1.3*float64(len(first))+float64(len(rest)))*small)*leading > high && share > .02 {
			continue
		}
		s.y = top
		s.lines(name, left, right, big, drawing.Left)
		s.lines(first, left, right, 1.3*small, drawing.Left)
		s.lines(rest, left, right, small, drawing.Left)
		return
	}
}
