package plate

import (
	"fmt"
	"math"

	"lampblack/room"
)

// Camera is where a picture of the room is seen from: an eye, or any point.
type Camera struct {
	Eye int // index in Transport.Eyes; below 0 it is seen from From
	// From and Toward are where it is seen from when no eye is, and a point in the middle
	// of the picture.
	From, Toward room.Point
	// Across is the width of the picture in degrees; 60 when 0.
	Across float64
	// Then is the room as it is at an instant, where an eye may be elsewhere; nil for the room's own.
	Then *room.Transport
}

// usualAcross is about what a person takes in without turning the head, in degrees.
const usualAcross = 60

func (c *Camera) across() float64 {
	if c.Across == 0 {
		return usualAcross
	}
	return c.Across
}

// camera looks from an eye along its gaze, level to the horizon. forward, right and up
// are of length 1 and at right angles.
type camera struct {
	at                 room.Point
	forward, right, up [3]float64
	across             float64 // tangent of half the width
}

// set checks what was asked for and sets up the eye. Its picture is flat, as a photograph
// is: straight lines stay straight, and things near the edges look wider than they are.
//
//	forward   along the gaze
//	right     level, forward × z; along x for an eye that looks straight up or down
//	up        right × forward
func (c *Camera) set(t *room.Transport) (camera, error) {
	if c.Eye >= len(t.Eyes) || c.Eye < 0 && c.From == c.Toward {
		return camera{}, fmt.Errorf("draw view: there is no eye %d of %d", c.Eye, len(t.Eyes))
	}
	if a := c.across(); !(a >= 5 && a <= 140) {
		return camera{}, fmt.Errorf("draw view: a picture %v° across lies outside 5° to 140°", c.Across)
	}
	if c.Then != nil {
		t = c.Then
	}
	at, gaze := c.gaze(t)
	out := camera{at: at, across: math.Tan(c.across() * math.Pi / 360), forward: gaze}
	// Level, and to the right of the gaze: forward × z.
	out.right = [3]float64{gaze[1], -gaze[0], 0}
	n := math.Hypot(out.right[0], out.right[1])
	if n < 1e-9 {
		out.right, n = [3]float64{1, 0, 0}, 1
	}
	for i := range out.right {
		out.right[i] /= n
	}
	out.up = [3]float64{
		out.right[1]*gaze[2] - out.right[2]*gaze[1],
		out.right[2]*gaze[0] - out.right[0]*gaze[2],
		out.right[0]*gaze[1] - out.right[1]*gaze[0],
	}
	return out, nil
}

// gaze is where the picture is seen from, and the direction of its middle, of length 1.
func (c *Camera) gaze(t *room.Transport) (at room.Point, forward [3]float64) {
	if c.Eye >= 0 {
		p := &t.Places[t.Eyes[c.Eye]]
		for i := range forward {
			forward[i] = float64(p.Normal[i])
		}
		return p.At, forward
	}
	long := 0.0
	for i := range forward {
		forward[i] = float64(c.Toward[i] - c.From[i])
		long = math.Hypot(long, forward[i])
	}
	for i := range forward {
		forward[i] /= long
	}
	return c.From, forward
}

// name is who sees, in words.
func (c *Camera) name(t *room.Transport) string {
	if c.Eye < 0 {
		return "among the audience"
	}
	return t.Places[t.Eyes[c.Eye]].Name
}

// ray is the direction through a point of the picture, from -1 to 1 across and
// in the same measure up. Its length is not 1.
func (c *camera) ray(x, y float64) room.Point {
	var out room.Point
	for i := range out {
		out[i] = lengthOf(c.forward[i] + c.across*(x*c.right[i]+y*c.up[i]))
	}
	return out
}

// onto is where a point of the room lies in the picture, in the measures of ray, also when
// that is beside it; ok is false behind the eye.
func (c *camera) onto(p room.Point) (x, y float64, ok bool) {
	var d [3]float64
	for i := range d {
		d[i] = float64(p[i] - c.at[i])
	}
	dot := func(a [3]float64) float64 { return a[0]*d[0] + a[1]*d[1] + a[2]*d[2] }
	z := dot(c.forward)
	if z <= 1e-6 {
		return 0, 0, false
	}
	return dot(c.right) / (z * c.across), dot(c.up) / (z * c.across), true
}
