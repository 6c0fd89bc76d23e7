package plate

import (
	"math"

	"lampblack/plate/drawing"
)

// labels keeps texts from lying on each other, and on marks.
type labels struct {
	taken [][4]float64
	frame [4]float64 // left, top, right, bottom, that texts stay inside; none where it is empty
}

// wide is about how many pixels a character of size 11 takes, on the mean over words:
// which font a reader has is not known here.
const wide = 6.4

// area is the box of a text of size 11 about a middle.
func area(x, y float64, text string) [4]float64 {
	half := wide * float64(len([]rune(text))) / 2
	return [4]float64{x - half, y - 8, x + half, y + 8}
}

// free claims the box unless something has it.
func (s *labels) free(box [4]float64) bool {
	for _, t := range s.taken {
		if box[0] < t[2] && t[0] < box[2] && box[1] < t[3] && t[1] < box[3] {
			return false
		}
	}
	s.taken = append(s.taken, box)
	return true
}

// along finds a place for a text on a line, inside the frame, as near to its
// middle as may be: it tries the middle, then places to either side of it in
// turn, until it has been all along.
func (s *labels) along(points [][2]float64, text string, frame [4]float64) (x, y float64, ok bool) {
	const tries = 24
	for i := range tries {
		step := (i + 1) / 2
		if i%2 == 1 {
			step = -step
		}
		p := points[(len(points)/2+step*len(points)/tries+len(points))%len(points)]
		box := area(p[0], p[1], text)
		if box[0] < frame[0] || box[1] < frame[1] || box[2] > frame[2] || box[3] > frame[3] {
			continue
		}
		if s.free(box) {
			return p[0], p[1], true
		}
	}
	return 0, 0, false
}

// take claims a box, whatever has it.
func (s *labels) take(box [4]float64) { s.taken = append(s.taken, box) }

// inside tells whether a box is in the frame.
func (s *labels) inside(b [4]float64) bool {
	return s.frame == [4]float64{} || b[0] >= s.frame[0] && b[1] >= s.frame[1] && b[2] <= s.frame[2] && b[3] <= s.frame[3]
}

// farthest is how far from its mark, in pixels, a text may stand.
const farthest = 150

// beside finds a place for a box of a text as near to a mark as may be: under it, over it, to its
// sides, then farther out all around. It returns the box, and false where none is free.
func (s *labels) beside(mark [4]float64, width, height float64) (box [4]float64, ok bool) {
	midX, midY := (mark[0]+mark[2])/2, (mark[1]+mark[3])/2
	halfX, halfY := (mark[2]-mark[0]+width)/2, (mark[3]-mark[1]+height)/2
	for away := 1.; away <= farthest; away += 7 {
		for _, to := range [...][2]float64{{0, 1}, {0, -1}, {1, 0}, {-1, 0}, {.7, 1}, {-.7, 1}, {.7, -1}, {-.7, -1}, {1, .7}, {-1, .7}, {1, -.7}, {-1, -.7}} {
			x, y := midX+to[0]*(halfX+away), midY+to[1]*(halfY+away)
			box = [4]float64{x - width/2, y - height/2, x + width/2, y + height/2}
			if s.inside(box) && s.free(box) {
				return box, true
			}
		}
	}
	return box, false
}

// name writes lines beside a mark, the first of them large, with a thin line to it from farther off. It
// tells whether there was room.
func (s *labels) name(g *drawing.Group, mark [4]float64, lines ...*drawing.Text) bool {
	width, height := 0., 0.
	for _, l := range lines {
		width, height = max(width, wide*l.Size/11*float64(len([]rune(l.Words)))), height+l.Size+1
	}
	box, ok := s.beside(mark, width, height+2)
	if !ok {
		return false
	}
	x, y := (box[0]+box[2])/2, box[1]
	// From the mark's middle to the nearest point of the box.
	fromX, fromY := (mark[0]+mark[2])/2, (mark[1]+mark[3])/2
	toX, toY := min(max(fromX, box[0]), box[2]), min(max(fromY, box[1]), box[3])
	if math.Hypot(toX-fromX, toY-fromY) > 30 {
		g.Line(fromX, fromY, toX, toY, soft, .7)
	}
	for _, l := range lines {
		y += l.Size + 1
		l.At = drawing.Point{x, y - 1}
		g.Add(l)
	}
	return true
}

// quiet is a name of what is no unit.
func quiet(words string) *drawing.Text {
	return &drawing.Text{Words: short(words), Size: 10, Anchor: drawing.Centre, Fill: soft, Halo: true}
}
