package typeset

import (
	"fmt"
	"io"
	"strings"
	"time"

	"lampblack/plate/drawing"
)

// Foot is what stands at the foot of every page, beside its number.
type Foot struct {
	Left string    // the show, its version, the date
	Made time.Time // the date that a PDF bears
}

// Pages is documents that were set.
type Pages struct {
	List  []*drawing.Drawing // in their order; the title of each is that of its document
	title string
	made  time.Time

	placed []placed
}

// placed is words on a page, and the box that they were to stay in: left, top, right, bottom.
type placed struct {
	page      int
	words     string
	text, box [4]float64
}

// Set sets documents on paper, each from a new page on, with one count of pages for all.
func Set(paper Paper, foot Foot, docs ...Document) *Pages {
	s := &setter{paper: paper, foot: foot}
	for i := range docs {
		s.document(&docs[i])
	}
	s.numbers()
	p := &Pages{List: s.pages, made: foot.Made, placed: s.placed}
	if len(docs) > 0 {
		p.title = docs[0].Title
	}
	if title, _, ok := strings.Cut(foot.Left, ","); ok {
		p.title += ", " + title
	}
	return p
}

// setter is where the next block goes.
type setter struct {
	paper  Paper
	foot   Foot
	pages  []*drawing.Drawing
	bare   map[*drawing.Drawing]bool // pages without a foot
	placed []placed

	doc                      *Document
	page                     *drawing.Drawing
	y                        float64
	left, right, top, bottom float64
	again                    func() // what a table repeats on every page
}

func (s *setter) document(d *Document) {
	s.doc, s.again, s.page = d, nil, nil
	for i, b := range d.Blocks {
		if _, alone := b.(*Labels); !alone && i == 0 {
			s.next()
			s.title()
		}
		b.set(s)
	}
	if len(d.Blocks) == 0 {
		s.next()
		s.title()
	}
}

// next begins a page.
func (s *setter) next() {
	first := s.page == nil
	w, h := s.paper.Width, s.paper.Height
	if s.doc.Landscape {
		w, h = h, w
	}
	s.page = drawing.New(w, h, clean(s.doc.Title))
	s.pages = append(s.pages, s.page)
	s.left, s.right, s.top = marginLeft, w-marginRight, marginTop
	s.bottom = h - marginFoot - float64(len(s.footLines()))*footSize*leading - 10
	s.y = s.top
	if first {
		return
	}
	s.lines(wrap(clean(s.doc.Title)+", continued", s.right-s.left, footSize, false), s.left, s.right, footSize, drawing.Left)
	s.y += 4
	if s.again != nil {
		s.again()
	}
}

// title sets what the paper is.
func (s *setter) title() {
	const size = 24.
	s.lines(wrap(clean(s.doc.Title), s.right-s.left, size, true), s.left, s.right, size, drawing.Left)
	s.y += 5
	s.page.Line(s.left, s.y, s.right, s.y, drawing.Ink, 2)
	s.y += 10
}

// lines sets lines one below another between two edges, and goes below them.
func (s *setter) lines(list []line, left, right, size float64, at drawing.Anchor) {
	for _, l := range list {
		base := s.y + size // leading is over and under the letters
		x := left
		switch wide := l.wide(size); at {
		case drawing.Right:
			x = right - wide
		case drawing.Centre:
			x = left + (right-left-wide)/2
		}
		for _, r := range l {
			if r.words == "" {
				continue
			}
			if r.words == Box {
				s.box(x, s.y+.2*size, .85*size)
				continue
			}
			wide := drawing.Wide(r.words, size, r.bold)
			s.page.Add(&drawing.Text{At: drawing.Point{x, base}, Words: r.words, Size: size, Bold: r.bold, Anchor: drawing.Left, Fill: ink, Fits: true})
			s.placed = append(s.placed, placed{len(s.pages), r.words, [4]float64{x, base - size*drawing.Above, x + wide, base + size*drawing.Below}, [4]float64{left, s.y, right, s.y + size*leading}})
			x += wide
		}
		s.y += size * leading
	}
}

// box draws a box to tick.
func (s *setter) box(x, y, side float64) {
	s.page.Add(&drawing.Path{Points: corners(x, y, x+side, y+side), Closed: true, Style: drawing.Style{Stroke: ink, Width: 1.3}})
}

// ink is black: papers are copied.
var ink = drawing.Hex(0)

// changed draws the bar of what has changed from a height to where the next thing goes.
func (s *setter) changed(is bool, from float64) {
	if is {
		s.page.Line(s.left-12, from+1, s.left-12, s.y-1, ink, 3.5)
	}
}

// footLines is the foot without the number, for which room is left.
func (s *setter) footLines() []line {
	return wrap(clean(s.foot.Left), s.paper.Width-marginLeft-marginRight-90, footSize, false)
}

// numbers puts the feet on all pages, once it is known how many there are.
func (s *setter) numbers() {
	for i, page := range s.pages {
		if s.bare[page] {
			continue
		}
		s.page = page
		lines := s.footLines()
		s.y = page.Height - marginFoot - float64(len(lines))*footSize*leading
		s.left, s.right = marginLeft, page.Width-marginRight
		page.Line(s.left, s.y-4, s.right, s.y-4, rule, .6)
		y, all := s.y, s.pages
		s.pages = all[:i+1] // where the words stand
		s.lines(lines, s.left, s.right-90, footSize, drawing.Left)
		s.y = y
		s.lines([]line{{{fmt.Sprintf("%d of %d", i+1, len(all)), true}}}, s.right-90, s.right, footSize, drawing.Right)
		s.pages = all
	}
}

// PDF writes the pages as one document.
func (p *Pages) PDF(w io.Writer) error { return drawing.PDF(w, p.title, p.made, p.List) }

// SVG writes the pages as one picture, one below another.
func (p *Pages) SVG(w io.Writer) error {
	const between = 24.
	wide, high := 0.0, -between
	for _, page := range p.List {
		wide, high = max(wide, page.Width), high+page.Height+between
	}
	all := drawing.New(wide, max(high, 0), p.title)
	y := 0.0
	for _, page := range p.List {
		all.Add(page.Moved(0, y, 1))
		y += page.Height + between
		if y < high {
			all.Line(0, y-between/2, wide, y-between/2, rule, 1)
		}
	}
	data, err := all.SVG()
	if err != nil {
		return err
	}
	_, err = w.Write(data)
	return err
}
