package plate

import (
	"math"

	"lampblack/room"
)

// Figures stand for people: plain outlines, drawn for this, as wide as a person is and as tall as
// their eyes are high. They are lit as what they wear, hide what is behind them in the picture, and cast the shadow of
// that outline, turned to each lamp. In the room that is computed people stand in nobody's light.

// somebody is somebody in the picture.
type somebody struct {
	place   int // in Transport.Places
	eye     int
	name    string
	at      room.Point // between the eyes
	foot    float64    // height of what they stand or sit over, m
	sitting bool
	child   bool
}

// Parts of a body by their height, with the height of the eyes over the floor as 1, and half of
// their width, of the same. Eyes are at 0.936 of a person's height (DIN 33402-2, from memory); a face
// is about a seventh of a person long. The outlines are our own.
var (
	headHalf = [][2]float64{{.9, .0}, {.903, .022}, {.935, .04}, {.97, .049}, {1.01, .053}, {1.05, .046}, {1.075, .026}, {1.079, 0}}
	// standing, arms a little off the body: down one side, and up between the legs.
	standingHalf = [][2]float64{{.925, 0}, {.925, .03}, {.893, .034}, {.884, .075}, {.872, .118}, {.84, .134}, {.74, .146}, {.62, .16}, {.5, .17}, {.43, .168}, {.435, .142}, {.52, .132}, {.66, .112}, {.58, .104}, {.46, .106}, {.3, .09}, {.14, .072}, {.04, .062}, {0, .085}, {-.004, .018}, {.1, .012}, {.3, .01}, {.44, .0}}
	// sitting: the trunk over a seat, thighs toward who looks, lower legs.
	sittingHalf = [][2]float64{{.925, 0}, {.925, .03}, {.905, .04}, {.89, .1}, {.86, .15}, {.8, .17}, {.66, .18}, {.54, .178}, {.46, .17}, {.38, .155}, {.33, .145}, {.2, .12}, {.05, .105}, {0, .125}, {0, .02}, {.2, .014}, {.3, 0}}
)

// sits is the height of eyes, in m, below which a person is not drawn as standing: few adults are
// that small, and who sits on a chair has eyes at about 1.2 m.
const sits = 1.3

// childHead is what a child's head is wider by, for its height.
const childHead = 1.25

// rounded cuts the corners of a closed outline, so often that it looks smooth (G. Chaikin, An
// algorithm for high-speed curve generation, 1974, from memory).
func rounded(outline [][2]float64) [][2]float64 {
	for range 3 {
		var out [][2]float64
		for i, a := range outline {
			b := outline[(i+1)%len(outline)]
			out = append(out, [2]float64{.75*a[0] + .25*b[0], .75*a[1] + .25*b[1]}, [2]float64{.25*a[0] + .75*b[0], .25*a[1] + .75*b[1]})
		}
		outline = out
	}
	return outline
}

// outline is a body's part from in front, in m: across from the middle, and up from the foot.
func (p *somebody) outline(half [][2]float64) [][2]float64 {
	tall := float64(p.at[2]) - p.foot
	wide := tall
	if p.sitting {
		// Who sits is as wide as if they stood: their eyes are at three quarters of that height.
		wide = tall / .75
	}
	head := &half[0] == &headHalf[0]
	if head && p.child {
		wide *= childHead
	}
	out := make([][2]float64, 0, 2*len(half))
	for _, h := range half {
		up := tall * h[0]
		if head { // a head keeps its height as well as its width
			up = tall + wide*(h[0]-1)
		}
		out = append(out, [2]float64{wide * h[1], up})
	}
	for i := len(half) - 1; i >= 0; i-- {
		if out[i][0] > 0 { // the middle is there once
			out = append(out, [2]float64{-out[i][0], out[i][1]})
		}
	}
	return rounded(out)
}

// body is a person with the direct light on them, which stays while they do.
type body struct {
	parts [2]*silhouette // trunk, head
	rays  [][]room.Ray   // by node
	right [3]float64     // across the picture, level
	low   [2]float64     // of both outlines together
	high  [2]float64
	cover thing // its pixels
}

// outlines keep which pixels things and people cover that have not moved.
type outlines struct {
	bodies map[string]*body
	flats  map[string]*thing
}

func newOutlines() outlines { return outlines{map[string]*body{}, map[string]*thing{}} }

// mostKept bounds how many of each are kept; then all are forgotten.
const mostKept = 200

// Light on a body is worked out at so many nodes across and up.
const (
	bodyAcross = 5
	bodyUp     = 9
)

// silhouette is an outline ready to be asked often: at even heights, where its sides are crossed.
type silhouette struct {
	low, high float64
	rows      [][]float64
}

const silhouetteRows = 600

func silhouetteOf(outline [][2]float64) *silhouette {
	s := &silhouette{low: math.Inf(1), high: math.Inf(-1), rows: make([][]float64, silhouetteRows)}
	for _, v := range outline {
		s.low, s.high = min(s.low, v[1]), max(s.high, v[1])
	}
	for i := range s.rows {
		y := s.low + (s.high-s.low)*(float64(i)+.5)/silhouetteRows
		for k, a := range outline {
			if b := outline[(k+1)%len(outline)]; (a[1] > y) != (b[1] > y) {
				s.rows[i] = append(s.rows[i], a[0]+(y-a[1])/(b[1]-a[1])*(b[0]-a[0]))
			}
		}
	}
	return s
}

// holds tells whether a point is inside: an odd number of sides lies to its right.
func (s *silhouette) holds(x, y float64) bool {
	if !(y >= s.low && y < s.high) {
		return false
	}
	in := false
	for _, side := range s.rows[int((y-s.low)/(s.high-s.low)*silhouetteRows)] {
		if side > x {
			in = !in
		}
	}
	return in
}

// body finds a person's outline as the camera sees it, and the direct light on it: as on a round
// column, whose sides are turned away.
func (s *Sight) body(p *somebody, key string, pointer *room.Pointer) *body {
	if b := s.known.bodies[key]; b != nil {
		return b
	}
	if len(s.known.bodies) >= mostKept {
		clear(s.known.bodies)
	}
	b := &body{}
	trunk := standingHalf
	if p.sitting {
		trunk = sittingHalf
	}
	toX, toY := float64(s.camera.at[0]-p.at[0]), float64(s.camera.at[1]-p.at[1])
	long := math.Hypot(toX, toY)
	if toX, toY = toX/long, toY/long; long < 1e-3 {
		toX, toY = 0, -1 // from straight above or below
	}
	b.right = [3]float64{-toY, toX, 0}
	b.low, b.high = [2]float64{math.Inf(1), math.Inf(1)}, [2]float64{math.Inf(-1), math.Inf(-1)}
	for k, half := range [][][2]float64{trunk, headHalf} {
		part := p.outline(half)
		b.parts[k] = silhouetteOf(part)
		for _, v := range part {
			for i := range v {
				b.low[i], b.high[i] = min(b.low[i], v[i]), max(b.high[i], v[i])
			}
		}
	}
	for j := range bodyUp {
		for i := range bodyAcross {
			turn := (float64(i)/(bodyAcross-1)*2 - 1) * 1.2 // almost to the sides
			sin, cos := math.Sincos(turn)
			n := room.Point{lengthOf(cos*toX + sin*b.right[0]), lengthOf(cos*toY + sin*b.right[1]), 0}
			x, up := sin*b.high[0]*.8, b.low[1]+(b.high[1]-b.low[1])*(float64(j)+.5)/bodyUp
			b.rays = append(b.rays, pointer.Direct(nil, b.point(p, x, up), n, nil))
		}
	}
	s.cover(b, p)
	s.known.bodies[key] = b
	return b
}

// point is a place on the body, across and up.
func (b *body) point(p *somebody, x, up float64) room.Point {
	return room.Point{p.at[0] + lengthOf(x*b.right[0]), p.at[1] + lengthOf(x*b.right[1]), lengthOf(p.foot + up)}
}
