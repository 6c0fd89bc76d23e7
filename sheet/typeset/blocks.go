package typeset

import "lampblack/plate/drawing"

// headingSize is that of the letters of a heading.
const headingSize = 16.5

// together begins the next page where this one has no room for so much.
func (s *setter) together(high float64) {
	if s.y+high > s.bottom && s.y > s.top+footSize*leading+5 {
		s.next()
	}
}

func (h *Heading) set(s *setter) {
	const size = headingSize
	lines := wrap(clean(h.Text), s.right-s.left, size, true)
	s.together(float64(len(lines))*size*leading + 5*Usual)
	if s.y > s.top {
		s.y += 8
	}
	s.flow(lines, s.left, s.right, size, drawing.Left, false)
	s.y += 4
}

// flow sets lines over as many pages as they take.
func (s *setter) flow(list []line, left, right, size float64, at drawing.Anchor, changed bool) {
	from := s.y
	for _, l := range list {
		if s.y+size*leading > s.bottom {
			s.changed(changed, from)
			s.next()
			from = s.y
		}
		s.lines([]line{l}, left, right, size, at)
	}
	s.changed(changed, from)
}

func (w *Words) set(s *setter) {
	size := w.Size
	if size == 0 {
		size = Usual
	}
	at := drawing.Left
	if w.Centred {
		at = drawing.Centre
	}
	inset := 0.0
	if w.Boxed {
		inset = .7 * size
	}
	lines := wrap(clean(w.Text), s.right-s.left-2*inset, size, w.Bold)
	high := float64(len(lines))*size*leading + 2*inset
	if s.y+high > s.bottom && (w.Boxed || len(lines) < 4) {
		s.next() // a few lines are not torn apart
	}
	top := s.y
	page := s.page
	s.y += inset
	s.flow(lines, s.left+inset, s.right-inset, size, at, w.Changed)
	s.y += inset
	if w.Boxed && page == s.page {
		page.Add(&drawing.Path{Points: corners(s.left, top, s.right, s.y), Closed: true, Style: drawing.Style{Stroke: ink, Width: 1.5}})
	}
	s.y += .45 * size
}

func corners(left, top, right, bottom float64) []drawing.Point {
	return []drawing.Point{{left, top}, {right, top}, {right, bottom}, {left, bottom}}
}

func (t *Tasks) set(s *setter) {
	size := t.Size
	if size == 0 {
		size = Usual
	}
	in := 1.7 * size
	for _, task := range t.List {
		lines := wrap(clean(task.Text), s.right-s.left-in, size, false)
		high := float64(len(lines)) * size * leading
		if s.y+high > s.bottom {
			s.next()
		}
		if task.Plain {
			s.page.Lines(drawing.Ring(s.left+.45*size, s.y+.7*size, .16*size), true, drawing.Style{Fill: ink})
		} else {
			s.box(s.left, s.y+.25*size, .85*size)
		}
		s.flow(lines, s.left+in, s.right, size, drawing.Left, task.Changed)
		s.y += .38 * size
	}
	s.y += .3 * size
}

func (b *Blank) set(s *setter) {
	const high = 30.
	for range b.Lines {
		if s.y+high > s.bottom {
			s.next()
		}
		s.y += high
		s.page.Line(s.left, s.y, s.right, s.y, rule, .8)
	}
	s.y += 10
}
