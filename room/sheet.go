package room

import "lampblack/light"

// sheet is a flat rectangle in the room.
type sheet struct {
	corner vec // where both edges begin
	u, v   vec // directions of its edges, at right angles, of length 1
	w, h   float64
	n      vec // u × v, the side that it shows
}

// placed returns a sheet about a centre that faces n, with its width level.
func (sheet) placed(centre, n vec, w, h float64) sheet {
	n = n.unit()
	u := levelAcross(n)
	s := sheet{u: u, v: n.cross(u), w: w, h: h, n: n}
	s.corner = centre.minus(s.u.times(w / 2)).minus(s.v.times(h / 2))
	return s
}

// flipped returns the other side of s.
func (s sheet) flipped() sheet {
	return sheet{corner: s.corner.plus(s.u.times(s.w)), u: s.u.times(-1), v: s.v, w: s.w, h: s.h, n: s.n.times(-1)}
}

// at returns the point at shares a and b of its width and height.
func (s *sheet) at(a, b float64) vec {
	return s.corner.plus(s.u.times(a * s.w)).plus(s.v.times(b * s.h))
}

// corners go round the sheet, against the clock for who sees its front.
func (s *sheet) corners() [4]vec {
	return [4]vec{s.at(0, 0), s.at(1, 0), s.at(1, 1), s.at(0, 1)}
}

func (s *sheet) area() float64 { return s.w * s.h }

// part returns cell (col, row) of a grid over s.
func (s *sheet) part(col, row, cols, rows int) sheet {
	p := *s
	p.w, p.h = s.w/float64(cols), s.h/float64(rows)
	p.corner = s.corner.plus(s.u.times(float64(col) * p.w)).plus(s.v.times(float64(row) * p.h))
	return p
}

// local returns where p stands over s: along u and v in metres from the
// corner, and how far in front.
func (s *sheet) local(p vec) (x, y, front float64) {
	d := p.minus(s.corner)
	return d.dot(s.u), d.dot(s.v), d.dot(s.n)
}

// flush is how close before another surface a thing counts as lying on it.
const flush = .02

// Panel is one side of a flat thing, a rectangle of which an outline may be filled, cut into a grid of patches. Its places
// stand in a row from First, along U first.
type Panel struct {
	Name          string
	Kind          Kind
	Back          bool // the side of a surface or object that does not face where it says
	Corner        Point
	U, V, Normal  Point // directions
	Width, Height float64
	Cols, Rows    int
	First         int

	sheet
	whole    sheet   // of which the panel is a piece
	outline  []vec   // of what it fills of its rectangle, convex; nil for all
	covered  []cover // by what lies on it, and what it does not fill
	gap      float64 // how near the other side of a slot is; 0 when it is none
	finish   int     // index of its finish
	rank     int     // of two in one plane, the one that covers the other
	thing    int     // all sides of one thing share it
	elemCols int     // the coarse grid of inter-reflection
	elemRows int
	elem     int  // index of its first element
	loose    bool // it only receives light; see Room.Loosen
	strip    strip
}

// strip tells which share of what opens a panel is.
type strip struct {
	number int  // from 1; 0 of what does not open
	away   bool // in this setting
}

// finish is what a panel's surface does with light.
type finish struct {
	name        string
	reflectance light.Spectrum // of what is scattered
	gloss       light.Gloss
	paint       *light.Paint // nil when it does not glow
}
