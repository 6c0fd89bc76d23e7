package room

import (
	"lampblack/rig"
	"lampblack/si"
)

// What a room is guessed to be where nobody said: a small hall with a stage at one end
// (a choice, no source).
var (
	guessedSize  = Point{8, 10, 3.5} // width, depth, height, m
	guessedFront = si.Length(6)      // m
)

// What is guessed of units: they hang side by side from one bar over the audience, at
// lamp height, and each points at the middle of the stage, at chest height (a choice, no
// source).
const (
	barBefore = 2.0 // m before the stage's edge
	barHeight = 3.0 // m, or half a metre under a lower ceiling
	barShare  = .8  // of the room's width
	aimBehind = 1.5 // m behind the stage's edge
	aimHeight = 1.2 // m
	around    = .3  // m that a guessed room has around what is known to be in it
)

// Guess is what of a room was not written but guessed.
type Guess uint8

// What may be guessed of a room.
const (
	GuessedSize  Guess = 1 << iota // width, depth and height
	GuessedFront                   // the stage's edge
)

// Guessed tells whether a value of the room, or one of several, is a guess.
func (r *Room) Guessed(what Guess) bool { return r.guessed&what != 0 }

// Unsaid is a room of which nobody has said anything.
func Unsaid() *Room {
	r := &Room{}
	r.guessSize()
	for _, m := range []*string{&r.Walls.Name, &r.Floor.Name, &r.Ceiling.Name} {
		*m = DefaultWall
	}
	return r
}

// Seen is where the room is looked at from when nobody's eyes are known, and a point that
// is looked at: from among the audience to the middle of the stage.
func (r *Room) Seen() (from, toward Point) {
	return r.audienceMiddle().point(), r.stageMiddle().point()
}

// guessSize puts a guess in the place of the sizes that are not written. The room is large
// enough for all that is known to be in it.
func (r *Room) guessSize() {
	if r.Sized == nil {
		r.guessed |= GuessedSize
		r.Size = guessedSize
	} else {
		r.Size = *r.Sized
	}
	if r.Edge == nil {
		r.guessed |= GuessedFront
		r.Front = guessedFront
		if r.Sized != nil { // where a hall is not the usual one, its stage takes two fifths
			r.Front = .6 * r.Size[1]
		}
	} else {
		r.Front = *r.Edge
		r.Size[1] = r.depthFor(r.Front)
	}
	for _, p := range r.known() {
		r.reach(p)
	}
}

// depthFor is the depth of a room whose stage begins at front: as written, or a guess that
// leaves a stage behind it.
func (r *Room) depthFor(front si.Length) si.Length {
	if r.Sized != nil {
		return r.Size[1]
	}
	return max(r.Size[1], front+guessedSize[1]-guessedFront)
}

// known lists points of all that the room's text puts into it.
func (r *Room) known() []Point {
	var out []Point
	rectangle := func(centre, faces Point, width, height si.Length) {
		if n := faces.vec(); n.length() > 1e-6 {
			s := sheet{}.placed(centre.vec(), n, float64(width), float64(height))
			for _, c := range s.corners() {
				out = append(out, c.point())
			}
		}
	}
	for i := range r.Surfaces {
		s := &r.Surfaces[i].Value
		rectangle(s.Centre, s.Faces, s.Width, s.Height)
	}
	for i := range r.Objects {
		o := &r.Objects[i].Value
		rectangle(o.Centre, o.Faces, o.Width, o.Height)
	}
	for i := range r.Boxes {
		low, high := r.Boxes[i].Value.corners()
		out = append(out, low.point(), high.point())
	}
	for _, eyes := range [][]Eye{r.Seats, r.People} {
		for i := range eyes {
			out = append(out, eyes[i].At)
		}
	}
	for i := range r.Paths {
		out = append(out, r.Paths[i].Value.Points...)
	}
	return out
}

// reach widens what is guessed of the room until it holds a point with some air around
// it. A point farther off than a room may be long is left to be told as outside.
func (r *Room) reach(p Point) {
	for i := range p {
		if !(p[i] > -longest/2 && p[i] < longest/2) { // also what is no number
			return
		}
	}
	if r.Guessed(GuessedSize) {
		r.Size[0] = max(r.Size[0], 2*(p[0]+around), 2*(around-p[0]))
		r.Size[2] = max(r.Size[2], p[2]+around)
		r.Size[1] = max(r.Size[1], p[1]+around+r.Front)
	}
	if r.Guessed(GuessedFront) && -p[1]+around > r.Front {
		more := -p[1] + around - r.Front
		if r.Guessed(GuessedSize) {
			r.Size[1] += more
			r.Front += more
		} else if p[1] < 0 {
			r.Front = min(-p[1]+min(around, (r.Size[1]+p[1])/2), r.Size[1])
		}
	}
	if r.Guessed(GuessedFront) && !r.Guessed(GuessedSize) && p[1] > r.Size[1]-r.Front {
		r.Front = max(r.Size[1]-p[1]-around, 0)
	}
}

// Suppose puts guesses in the place of what nobody said: it widens a guessed room to hold
// the units whose places are known, and hangs the others in it. What is guessed is marked.
func (r *Room) Suppose(rg *rig.Rig) {
	var bare []*rig.Unit
	for i := range rg.Units {
		u := &rg.Units[i]
		at, aim := u.Says()
		if at {
			r.reach(u.At)
		} else {
			bare = append(bare, u)
		}
		if aim {
			r.reach(u.Aim)
		}
	}
	height := max(min(barHeight, r.Size[2]-.5), r.Size[2]/2)
	for i, u := range bare {
		x := r.Size[0] * barShare * si.Length((float64(i)+.5)/float64(len(bare))-.5)
		u.Hang([3]si.Length{x, max(-barBefore, -r.Front/2), height})
	}
	for i := range rg.Units {
		u := &rg.Units[i]
		if _, aim := u.Says(); !aim {
			u.Point([3]si.Length{u.At[0] / 2, min(aimBehind, (r.Size[1]-r.Front)/2), min(aimHeight, r.Size[2]/2)})
		}
		if u.At == u.Aim { // one of the two is a guess, as the rig has told of the others
			u.Hang([3]si.Length{u.At[0], u.At[1], u.At[2] + .1})
		}
	}
}
