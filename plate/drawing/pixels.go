package drawing

import (
	"fmt"
	"image"
	"image/draw"
	"math"
	"slices"

	xdraw "golang.org/x/image/draw"
	"golang.org/x/image/font"
	"golang.org/x/image/vector"
)

// mostPixels bounds each side of a picture.
const mostPixels = 20000

// image paints the drawing at so many pixels to one of its own.
func (d *Drawing) image(scale float64) (*image.RGBA, error) {
	if !(scale > 0 && scale*d.Width <= mostPixels && scale*d.Height <= mostPixels) {
		return nil, fmt.Errorf("a scale of %v is out of reach", scale)
	}
	c := &canvas{image: image.NewRGBA(image.Rect(0, 0, int(math.Ceil(d.Width*scale)), int(math.Ceil(d.Height*scale)))), scale: scale, faces: map[faceKey]font.Face{}}
	draw.Draw(c.image, c.image.Bounds(), image.NewUniform(d.Ground), image.Point{}, draw.Src)
	return c.image, d.paint(c)
}

// canvas is a picture that marks are painted on.
type canvas struct {
	image *image.RGBA
	scale float64
	faces map[faceKey]font.Face
	fill  vector.Rasterizer
}

func (g *Group) paint(c *canvas) error {
	for _, m := range g.marks {
		if err := m.pixels(c); err != nil {
			return err
		}
	}
	return nil
}

// pixels paints what is clipped on a layer of its own, of which the outline's
// inside is laid over the picture.
func (g *Group) pixels(c *canvas) error {
	if len(g.Clip) == 0 {
		return g.paint(c)
	}
	// The layer is transparent where nothing is painted, and lies where it will be
	// laid, so that marks need no other places on it.
	layer := &canvas{image: image.NewRGBA(c.box(g.Clip)), scale: c.scale, faces: c.faces}
	if err := g.paint(layer); err != nil {
		return err
	}
	c.polygon(g.Clip, layer.image)
	return nil
}

func (p *Picture) pixels(c *canvas) error {
	to := image.Rect(c.at(p.Left), c.at(p.Top), c.at(p.Right), c.at(p.Bottom))
	xdraw.ApproxBiLinear.Scale(c.image, to, p.Pixels, p.Pixels.Bounds(), draw.Src, nil)
	return nil
}

func (p *Path) pixels(c *canvas) error {
	if p.Fill.A > 0 && len(p.Points) > 2 {
		c.polygon(p.Points, image.NewUniform(p.Fill))
	}
	if p.Stroke.A > 0 && len(p.Points) > 0 {
		c.outline(p)
	}
	return nil
}

func (c *canvas) at(v float64) int { return int(math.Round(v * c.scale)) }

// polygon fills an outline with paint that lies at its place in the picture.
// The rasteriser works over the outline's own box: a page has thousands of
// short lines, and one over the whole page for each of them took nine tenths of
// the time.
func (c *canvas) polygon(points []Point, paint image.Image) {
	box := c.box(points)
	if box.Empty() {
		return
	}
	c.fill.Reset(box.Dx(), box.Dy())
	for i, p := range points {
		x, y := c.within(p, box)
		if i == 0 {
			c.fill.MoveTo(x, y)
		} else {
			c.fill.LineTo(x, y)
		}
	}
	c.fill.ClosePath()
	c.fill.Draw(c.image, box, paint, box.Min)
}

// box is the part of the picture that the points can reach, in whole pixels.
func (c *canvas) box(points []Point) image.Rectangle {
	low, high := Point{math.Inf(1), math.Inf(1)}, Point{math.Inf(-1), math.Inf(-1)}
	for _, p := range points {
		for k, v := range p {
			v = held(v * c.scale)
			low[k], high[k] = min(low[k], v), max(high[k], v)
		}
	}
	if !(low[0] <= high[0] && low[1] <= high[1]) {
		return image.Rectangle{}
	}
	r := image.Rect(int(math.Floor(low[0])), int(math.Floor(low[1])), int(math.Ceil(high[0])), int(math.Ceil(high[1])))
	return r.Intersect(c.image.Bounds())
}

// within is a point in the pixels of the box.
func (c *canvas) within(p Point, box image.Rectangle) (x, y float32) {
	return float32(held(p[0]*c.scale) - float64(box.Min.X)), float32(held(p[1]*c.scale) - float64(box.Min.Y))
}

// held keeps coordinates where the rasteriser is exact.
func held(v float64) float64 { return min(max(v, -30000), 30000) }

// outline draws every piece of a line, or of its dashes, as a thin rectangle
// with a little over at the ends.
func (c *canvas) outline(p *Path) {
	paint := image.NewUniform(p.Stroke)
	points := p.Points
	if p.Closed {
		points = append(append([]Point(nil), points...), points[0])
	}
	for _, piece := range dashed(points, p.Dash) {
		for i := 1; i < len(piece); i++ {
			c.segment(piece[i-1], piece[i], p.Width, paint)
		}
	}
}

func (c *canvas) segment(a, b Point, width float64, paint image.Image) {
	dx, dy := b[0]-a[0], b[1]-a[1]
	l := math.Hypot(dx, dy)
	if l == 0 {
		return
	}
	// Half the width to either side, and a quarter of it beyond the ends, so that
	// the corners of a line of pieces have no notch.
	nx, ny := -dy/l*width/2, dx/l*width/2
	ox, oy := dx/l*width/4, dy/l*width/4
	c.polygon([]Point{
		{a[0] - ox + nx, a[1] - oy + ny}, {b[0] + ox + nx, b[1] + oy + ny},
		{b[0] + ox - nx, b[1] + oy - ny}, {a[0] - ox - nx, a[1] - oy - ny},
	}, paint)
}

// mostDashes bounds the pieces of one line: more than any picture has pixels.
const mostDashes = 1e5

// dashed cuts a line into the pieces that are drawn; dashes that do not go
// forward, or not within reason, leave it whole.
func dashed(points []Point, dash []float64) [][]Point {
	if len(dash) == 0 || !(slices.Min(dash)*mostDashes > length(points)) {
		return [][]Point{points}
	}
	var out [][]Point
	piece := []Point{points[0]}
	k, rest := 0, dash[0]
	for i := 1; i < len(points); i++ {
		a, b := points[i-1], points[i]
		l := math.Hypot(b[0]-a[0], b[1]-a[1])
		for done := 0.0; done < l; {
			take := min(rest, l-done)
			done += take
			rest -= take
			p := Point{a[0] + (b[0]-a[0])*done/l, a[1] + (b[1]-a[1])*done/l}
			if k%2 == 0 {
				piece = append(piece, p)
			}
			if rest > 0 {
				continue
			}
			if k%2 == 0 {
				out = append(out, piece)
			}
			k++
			rest = dash[k%len(dash)]
			piece = []Point{p}
		}
	}
	if len(piece) > 1 { // it ends in a dash: what is left out has no second point
		out = append(out, piece)
	}
	return out
}

// length is that of a line through points.
func length(points []Point) float64 {
	sum := 0.0
	for i := 1; i < len(points); i++ {
		sum += math.Hypot(points[i][0]-points[i-1][0], points[i][1]-points[i-1][1])
	}
	return sum
}
