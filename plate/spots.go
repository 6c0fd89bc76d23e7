package plate

// spots keeps texts from lying on each other.
type spots struct{ taken [][4]float64 }

// wide is about how many pixels a character of size 11 takes, on the mean over words:
// which font a reader has is not known here.
const wide = 6.4

// area is the box of a text of size 11 about a middle.
func area(x, y float64, text string) [4]float64 {
	half := wide * float64(len([]rune(text))) / 2
	return [4]float64{x - half, y - 8, x + half, y + 8}
}

// free claims the box unless something has it.
func (s *spots) free(box [4]float64) bool {
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
func (s *spots) along(points [][2]float64, text string, frame [4]float64) (x, y float64, ok bool) {
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
