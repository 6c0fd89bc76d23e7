package room

import (
	"math"
	"sort"
)

// A panel is cut along what touches it or comes close before it: what lies on one side of a
// drape may be bright and what lies on the other dark, and no patch or element shall be
// both. Cuts go straight across, so only what runs along a panel's own edges cuts it.
const (
	touching   = .05  // m, how near an edge comes
	closely    = .3   // m, how far apart the sides of a narrow slot are at the most
	shading    = 1.   // m, the same as touching for what is parallel and large for its distance, behind which it is dark
	leastPiece = .002 // m
	mostCuts   = 16   // of one panel
	mostPanels = 600  // beyond which nothing more is cut
)

// line is where a panel might be cut: across x or y (axis 0 or 1), seen from low to high
// along the other.
type line struct {
	axis      int
	at        float64
	low, high float64
}

// divide cuts all panels: the room's faces first, which divide most.
func (s *shell) divide() {
	var out []Panel
	var clip clipper
	left := mostPanels - len(s.panels)
	for i := range s.panels {
		p := &s.panels[i]
		p.whole = p.sheet
		pieces := []region{{0, 0, p.w, p.h}}
		if left > 0 && !p.loose {
			pieces = pieces[0].cut(s.lines(p), min(mostCuts, left))
			left -= len(pieces) - 1
		}
		for _, r := range pieces {
			q := p.piece(r)
			if len(pieces) > 1 {
				if area, _, _ := q.uncovered(&q.sheet, &clip); area == 0 {
					continue // of no use, and there are others of its name
				}
			}
			q.gap = s.gap(&q)
			out = append(out, q)
		}
	}
	s.panels = out
}

// piece is a part of a panel as a panel.
func (p *Panel) piece(r region) Panel {
	q := *p
	q.sheet.corner = p.corner.plus(p.u.times(r.x0)).plus(p.v.times(r.y0))
	q.sheet.w, q.sheet.h = r.x1-r.x0, r.y1-r.y0
	q.Corner, q.Width, q.Height = q.sheet.corner.point(), q.sheet.w, q.sheet.h
	return q
}

// Light that comes into a slot from its edges falls off within about the slot's gap. So deep, in
// gaps, a narrow slot is followed closely, a wide one only as far as elements are to spare.
const slot = 8

// Bounds of the coarse grid in slots and strips.
const (
	finest   = .2  // m
	coarser  = .5  // m, in wide slots
	hairline = .03 // m, strips narrower than which send too little to be cut along
	spare    = 12  // the share of all elements that one side of a wide slot gets at most is 1 in so many
)

// grid is how many elements a panel has along its sides when they are about size long and
// count in all. In a slot light falls off over its gap, in a narrow strip between two cuts along it.
func (p *Panel) grid(size float64, count int) (cols, rows int) {
	x, y := size, size
	across, along := &x, &y
	if p.w > p.h {
		across, along = &y, &x
	}
	short := min(p.w, p.h)
	switch {
	case p.gap > 0 && p.gap <= closely && short <= slot*p.gap:
		*across = min(*across, max(p.gap, finest/2))
	case p.gap > 0:
		fine := max(1.5*p.gap, coarser, math.Sqrt(p.area()*spare/float64(count)))
		x, y = min(x, fine), min(y, fine)
	}
	if short < closely && short > hairline && p.sheet != p.whole {
		*along = min(*along, max(1.5*short, finest))
	}
	return steps(p.w, x), steps(p.h, y)
}

// gap is the distance of what is parallel, before all of a panel and close; 0 for none.
func (s *shell) gap(p *Panel) float64 {
	least := s.faceGap(p)
	for i := range s.seams {
		q := &s.seams[i]
		if q.thing == p.thing || math.Abs(q.n.dot(p.n)) < .999 {
			continue
		}
		gap := q.middle.minus(p.corner).dot(p.n)
		if gap > flush && gap <= shading && (least == 0 || gap < least) && q.before(p) {
			least = gap
		}
	}
	return least
}

// faceGap is that of a face of the room.
func (s *shell) faceGap(p *Panel) float64 {
	for axis, v := range p.n {
		if math.Abs(v) < .999 {
			continue
		}
		gap := s.high[axis] - p.corner[axis]
		if v < 0 {
			gap = p.corner[axis] - s.low[axis]
		}
		if gap > flush && gap <= shading {
			return gap
		}
	}
	return 0
}

// before tells whether a pane of a parallel plane lies before all of a panel.
func (q *pane) before(p *Panel) bool {
	for _, c := range p.corners() {
		c = c.plus(q.n.times(q.off - c.dot(q.n)))
		for k, a := range q.outline {
			b := q.outline[(k+1)%len(q.outline)]
			if b.minus(a).cross(c.minus(a)).dot(q.n) < -1e-3*b.minus(a).length() {
				return false
			}
		}
	}
	return true
}

// lines lists where things meet a panel along its edges, the longest first.
func (s *shell) lines(p *Panel) []line {
	var out []line
	for i := range s.seams {
		if q := &s.seams[i]; q.thing != p.thing {
			out = q.meets(p, out)
		}
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].high-out[i].low > out[j].high-out[j].low })
	return out
}

// meets adds the edges of a pane that are close before a panel, and where it goes through it.
func (q *pane) meets(p *Panel, out []line) []line {
	near := touching
	if math.Abs(q.n.dot(p.n)) > .999 {
		near = min(shading, q.radius/2)
	}
	var through []vec
	for k, a := range q.outline {
		b := q.outline[(k+1)%len(q.outline)]
		ha, hb := a.minus(p.corner).dot(p.n), b.minus(p.corner).dot(p.n)
		if min(ha, hb) >= -1e-6 && max(ha, hb) <= near {
			out = p.along(a, b, out)
		}
		if ha > 1e-6 && hb < -1e-6 || ha < -1e-6 && hb > 1e-6 {
			through = append(through, a.plus(b.minus(a).times(ha/(ha-hb))))
		}
	}
	if len(through) == 2 {
		out = p.along(through[0], through[1], out)
	}
	return out
}

// along adds the line from a to b if it runs along an edge of the panel, over it.
func (p *Panel) along(a, b vec, out []line) []line {
	ax, ay, _ := p.local(a)
	bx, by, _ := p.local(b)
	const straight = 1e-3
	switch {
	case math.Abs(ax-bx) < straight:
		return p.over(line{0, (ax + bx) / 2, min(ay, by), max(ay, by)}, out)
	case math.Abs(ay-by) < straight:
		return p.over(line{1, (ay + by) / 2, min(ax, bx), max(ax, bx)}, out)
	}
	return out
}

func (p *Panel) over(l line, out []line) []line {
	size := [2]float64{p.w, p.h}
	l.low, l.high = max(l.low, 0), min(l.high, size[1-l.axis])
	if l.high-l.low < leastPiece || l.at < leastPiece || l.at > size[l.axis]-leastPiece {
		return out
	}
	return append(out, l)
}

// region is a part of a panel, in metres from its corner.
type region struct{ x0, y0, x1, y1 float64 }

// cut cuts the region along the first line that crosses it, and both parts on, a number of
// times at most.
func (r region) cut(lines []line, most int) []region {
	for i, l := range lines {
		a, b := r.across(l)
		if most <= 0 || a == r {
			continue
		}
		first := a.cut(lines[i+1:], most-1)
		return append(first, b.cut(lines[i+1:], most-len(first))...)
	}
	return []region{r}
}

// across is the region on both sides of a line; the region itself and nothing if it does not
// cross.
func (r region) across(l line) (a, b region) {
	a, b = r, r
	if l.axis == 0 {
		if l.at < r.x0+leastPiece || l.at > r.x1-leastPiece || l.high < r.y0+leastPiece || l.low > r.y1-leastPiece {
			return r, region{}
		}
		a.x1, b.x0 = l.at, l.at
		return a, b
	}
	if l.at < r.y0+leastPiece || l.at > r.y1-leastPiece || l.high < r.x0+leastPiece || l.low > r.x1-leastPiece {
		return r, region{}
	}
	a.y1, b.y0 = l.at, l.at
	return a, b
}
