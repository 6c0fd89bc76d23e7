package typeset

import (
	"fmt"
	"math"

	"lampblack/plate/drawing"
)

// scales are those at which plans are usually drawn (ISO 5455 has 1:20, 1:50, 1:100 and so on; 1:25
// and 1:75 are common practice).
var scales = []float64{10, 20, 25, 50, 75, 100, 150, 200, 250, 500, 1000, 2000, 5000}

// set puts the drawing below what is there if it is not to be less than a third of its largest then,
// else on a page of its own.
func (f *Figure) set(s *setter) {
	d := f.Drawing
	if !(d.Width > 0 && d.Height > 0) {
		return
	}
	note := wrap(clean(f.Note), s.right-s.left, footSize+1, false)
	below := float64(len(note))*(footSize+1)*leading + 6
	if f.Metre > 0 {
		below += 34
	}
	least := .62
	if f.Metre <= 0 {
		least = .85 // its words must stay to be read
	}
	if f.fit(s, s.y, below) < least*min(f.fit(s, s.top+footSize*leading+4, below), 1) {
		s.next()
	}
	k := f.fit(s, s.y, below)
	if k <= 0 {
		return
	}
	from := s.y
	s.page.Add(d.Moved(s.left, s.y, k))
	s.y += d.Height*k + 4
	if f.Metre > 0 {
		f.bar(s, k)
	}
	s.lines(note, s.left, s.right, footSize+1, drawing.Left)
	s.changed(f.Changed, from)
	s.y += 8
}

// fit is how many times as large the drawing becomes between a height and the bottom.
func (f *Figure) fit(s *setter, y, below float64) float64 {
	k := min((s.right-s.left)/f.Drawing.Width, (s.bottom-y-below)/f.Drawing.Height)
	if f.Metre <= 0 {
		return min(k, 1.6)
	}
	for _, n := range scales {
		if at := 1000 * mm / n / f.Metre; at <= k+1e-9 {
			return at
		}
	}
	return k
}

// bar draws the scale as a ruler of metres, and says it.
func (f *Figure) bar(s *setter, k float64) {
	metre := f.Metre * k
	n := math.Max(math.Min(math.Floor(200/metre), 10), 1)
	y := s.y + 8
	for i := 0.0; i < n; i++ {
		fill := ink
		if int(i)%2 == 1 {
			fill = drawing.White
		}
		s.page.Box(s.left+i*metre, y, metre, 5, fill, ink)
	}
	of := math.Round(1000 * mm / metre)
	s.y = y + 5
	words := fmt.Sprintf("%g m.  Scale 1:%g on %s, if it is printed at 100 %%: measure the bar.", n, of, s.paper.Name)
	s.lines(wrap(words, s.right-s.left, footSize+1, false), s.left, s.right, footSize+1, drawing.Left)
}
