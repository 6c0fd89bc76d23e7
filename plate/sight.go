package plate

import (
	"context"
	"fmt"
	"math"

	"lampblack/room"
)

// Sight is the room from one place, made ready: what each pixel shows, and the points at which
// light is worked out. That takes a second or two; then any levels make a picture of it in
// milliseconds (Paint). Things that come, go or move are not in it: they are laid over it.
//
// Where one surface fills a block of pixels and its light goes evenly, four corners are
// enough; where a shadow or the edge of a beam runs through, of any lamp, the block is
// quartered, down to two pixels. Along the edges of things four rays a pixel say how much of each is seen.
type Sight struct {
	Width, Height int

	transport *room.Transport
	camera    camera
	own       int       // the eye that sees, or -1
	panels    []int16   // by pixel, -1 for nothing
	far       []float32 // by pixel, m
	points    []point
	rays      []room.Ray // of all points
	cells     []cell
	holes     bool // some of it no cell and no edge paints
	edges     []edge
	known     outlines // of things that are laid over it

	mirrors  []*mirror
	mirrored []mirrored // of points
	in       *mirror    // that this is the sight in; nil straight
	beyond   []float32  // by pixel of a mirror: the whole way to what it shows, m
	whereIs  []int32    // by pixel; see where

	lit    []bool     // by column, in the last picture
	bright []room.Ray // the rays of points that are lit, and from where on those of each
	fromIn []int32

	groups  []group // of points and cells that are near one another
	shadows shadows
}

// point is where light is worked out.
type point struct {
	panel    int32
	from, to int32 // in rays
	places   [4]int32
	weights  [4]float32
	pixels   float32 // that it stands for
	mirror   int32   // in mirrored, or -1
	at       room.Point
}

// cell is a block of pixels from x0, y0 up to x1, y1 (not in it) that goes evenly between four
// points: its corners, those of the right and the lower side in the first pixels of its neighbours.
type cell struct {
	x0, y0, x1, y1 int32
	corner         [4]int32
}

// edge is a pixel at the edge of something, as the mean of four points.
type edge struct {
	at    int32
	point [4]int32
}

const (
	blockSide = 16 // pixels of the largest block
	finest    = 2  // of the smallest that one surface fills
	atEdges   = 4  // of the smallest that the edge of something goes through
	even      = .05
	evenDark  = .02 // of what a lamp gives at most: differences below do not count
	// MostPixels bounds a picture.
	MostPixels = 4 << 20
)

// NewSight makes one. Only the units wanted are asked for direct light, nil for all, and only panels that are
// not dull.
func NewSight(ctx context.Context, t *room.Transport, c *Camera, width, height int, wanted, dull []bool) (*Sight, error) {
	if width < 2 || height < 2 || width*height > MostPixels {
		return nil, fmt.Errorf("draw view: %d × %d pixels lie outside 2 × 2 to %d in all", width, height, MostPixels)
	}
	set, err := c.set(t)
	if err != nil {
		return nil, err
	}
	s := &Sight{
		Width: width, Height: height, transport: t, camera: set, own: c.Eye,
		panels: make([]int16, width*height), far: make([]float32, width*height),
	}
	s.known = newOutlines()
	b := newBuilder(s, wanted, dull)
	b.look()
	b.lookIn()
	if err := b.coarse(ctx); err != nil {
		return nil, fmt.Errorf("draw view: %w", err)
	}
	b.refine(ctx)
	s.group()
	painted := len(s.edges)
	for i := range s.cells {
		painted += int((s.cells[i].x1 - s.cells[i].x0) * (s.cells[i].y1 - s.cells[i].y0))
	}
	s.holes = painted < width*height
	if err := ctx.Err(); err != nil {
		return nil, fmt.Errorf("draw view: %w", err)
	}
	return s, nil
}

// Size tells how much there is to it: points at which light is worked out, and rays to them.
func (s *Sight) Size() (points, rays int) { return len(s.points), len(s.rays) }

// direction is the ray through a point of the picture, in pixels.
func (s *Sight) direction(x, y float64) room.Point {
	half := float64(s.Width) / 2
	return s.camera.ray((x-half)/half, (float64(s.Height)/2-y)/half)
}

// pixel is where a point of the room is in the picture; ok is false behind the eye.
func (s *Sight) pixel(p room.Point) (x, y float64, ok bool) {
	x, y, ok = s.camera.onto(p)
	half := float64(s.Width) / 2
	return half * (1 + x), float64(s.Height)/2 - y*half, ok
}

// corners are those of a panel.
func corners(p *room.Panel) [4]room.Point {
	return [4]room.Point{onPanel(p, 0, 0), onPanel(p, 1, 0), onPanel(p, 1, 1), onPanel(p, 0, 1)}
}

// onPanel is the point at shares of a panel's width and height.
func onPanel(p *room.Panel, x, y float64) room.Point {
	var out room.Point
	for i := range out {
		out[i] = p.Corner[i] + lengthOf(x*p.Width)*p.U[i] + lengthOf(y*p.Height)*p.V[i]
	}
	return out
}

// box is the part of the picture that points of the room can be in, in pixels; all of it where
// one is behind the eye.
func (s *Sight) box(points []room.Point) (x0, y0, x1, y1 int) {
	low, high := [2]float64{math.Inf(1), math.Inf(1)}, [2]float64{math.Inf(-1), math.Inf(-1)}
	behind := 0
	for _, p := range points {
		x, y, ok := s.pixel(p)
		if !ok {
			behind++
			continue
		}
		low, high = [2]float64{min(low[0], x), min(low[1], y)}, [2]float64{max(high[0], x), max(high[1], y)}
	}
	switch {
	case behind == len(points):
		return 0, 0, 0, 0
	case behind > 0:
		return 0, 0, s.Width, s.Height
	}
	in := func(v float64, most int) int { return int(min(max(v, 0), float64(most))) }
	return in(low[0]-1, s.Width), in(low[1]-1, s.Height), in(high[0]+2, s.Width), in(high[1]+2, s.Height)
}

// Seen is what is at a place of the picture.
type Seen struct {
	Name  string // of a surface, an object, a box or a person
	Kind  room.Kind
	Shine room.Shine
}

// At is what an aspect of an instant is at a place of the picture, in pixels; the zero Seen where
// nothing is.
func (s *Sight) At(a room.Aspect, n *Instant, x, y float64) Seen {
	if !(x >= 0 && y >= 0 && x < float64(s.Width) && y < float64(s.Height)) {
		return Seen{}
	}
	t := n.Transport
	if t == nil {
		t = s.transport
	}
	shining := t.Shine(nil, a, n.Levels)
	things := s.over(t, n, a, shining)
	for i := len(things) - 1; i >= 0; i-- {
		if v, ok := things[i].at(int32(int(y)*s.Width + int(x))); ok {
			return Seen{things[i].name, things[i].kind, v}
		}
	}
	panel := int(s.panels[int(y)*s.Width+int(x)])
	if panel < 0 {
		return Seen{}
	}
	p := &s.transport.Panels[panel]
	return Seen{p.Name, p.Kind, s.alone(panel, math.Floor(x)+.5, math.Floor(y)+.5, t, n, a, shining)}
}

// alone is what a place of the picture looks like on a panel, worked out by itself, with shadows, and with things in mirrors.
func (s *Sight) alone(panel int, x, y float64, t *room.Transport, n *Instant, a room.Aspect, shining *room.Shining) room.Shine {
	one := *s
	one.points, one.rays, one.mirrored = nil, nil, nil
	b := newBuilder(&one, nil, nil)
	i := b.point(panel, x, y)
	if i < 0 {
		return room.Shine{}
	}
	p := &one.points[i]
	if len(s.groups) > 0 && ofLooks(a) {
		shades, _ := s.standing(t, n)
		for _, shade := range shades {
			one.darken(s.transport.Shadow(shade()))
		}
	}
	v := shining.At(panel, one.rays[p.from:p.to], &p.places, &p.weights)
	in, share, ok := one.through(p, a, shining)
	if !ok {
		return v
	}
	pixel := int32(int(y)*s.Width + int(x))
	for _, image := range s.imaged(t, n, a, shining) {
		if over, ok := image.at(pixel); ok {
			in = over
		}
	}
	return v.Plus(&in, share)
}

// darken takes what a shade hides out of the rays of all points.
func (s *Sight) darken(by *room.Shadow) {
	o := &hiding{}
	for i := range s.points {
		o.at(s, by, &s.points[i], 0, nil)
	}
	for i := range s.mirrored {
		o.at(s, by, &s.mirrored[i].behind, 0, nil)
	}
	for _, h := range o.rays {
		s.rays[h.ray].PerWatt *= 1 - h.share
	}
}
