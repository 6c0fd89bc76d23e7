package plate

import (
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"math"
	"strconv"

	xdraw "golang.org/x/image/draw"
	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"
	"golang.org/x/image/vector"
)

// Image draws the sketch as pixels, scale of them to one of the SVG. Text is in
// the Go fonts, which need not be installed.
func (s *Sketch) Image(scale float64) (*image.RGBA, error) {
	if !(scale > 0 && scale*s.width <= 20000 && scale*s.height <= 20000) {
		return nil, fmt.Errorf("draw %s: a scale of %v is out of reach", s.title, scale)
	}
	c := &raster{image: image.NewRGBA(image.Rect(0, 0, int(math.Ceil(s.width*scale)), int(math.Ceil(s.height*scale)))), scale: scale, faces: map[faceKey]font.Face{}}
	draw.Draw(c.image, c.image.Bounds(), image.White, image.Point{}, draw.Src)
	for i := range s.shapes {
		if err := c.shape(&s.shapes[i]); err != nil {
			return nil, err
		}
	}
	return c.image, nil
}

// raster is a picture that shapes are drawn on.
type raster struct {
	image *image.RGBA
	scale float64
	faces map[faceKey]font.Face
	fill  vector.Rasterizer
}

type faceKey struct {
	size float64
	bold bool
}

func (c *raster) shape(v *shape) error {
	switch {
	case v.picture != nil:
		p := v.points[0]
		to := image.Rect(c.at(p[0]), c.at(p[1]), c.at(v.right), c.at(v.bottom))
		xdraw.ApproxBiLinear.Scale(c.image, to, v.picture, v.picture.Bounds(), draw.Src, nil)
	case v.text != "":
		return c.words(v)
	default:
		if v.fill != "" && len(v.points) > 2 {
			c.polygon(v.points, paintOf(v.fill, v.opacity))
		}
		if v.stroke != "" {
			c.outline(v)
		}
	}
	return nil
}

func (c *raster) at(v float64) int { return int(math.Round(v * c.scale)) }

// paintOf reads "#rrggbb".
func paintOf(text string, opacity float64) *image.Uniform {
	v, _ := strconv.ParseUint(text[1:], 16, 32)
	if opacity == 0 {
		opacity = 1
	}
	return image.NewUniform(color.NRGBA{uint8(v >> 16), uint8(v >> 8), uint8(v), uint8(math.Round(opacity * 255))})
}

// polygon fills a shape. The rasteriser works over the shape's own box: a page
// has thousands of short lines, and one over the whole page for each of them
// took nine tenths of the time.
func (c *raster) polygon(points [][2]float64, paint image.Image) {
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
	c.fill.Draw(c.image, box, paint, image.Point{})
}

// box is the part of the picture that the points can reach, in whole pixels.
func (c *raster) box(points [][2]float64) image.Rectangle {
	low, high := [2]float64{math.Inf(1), math.Inf(1)}, [2]float64{math.Inf(-1), math.Inf(-1)}
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
func (c *raster) within(p [2]float64, box image.Rectangle) (x, y float32) {
	return float32(held(p[0]*c.scale) - float64(box.Min.X)), float32(held(p[1]*c.scale) - float64(box.Min.Y))
}

// held keeps coordinates where the rasteriser is exact.
func held(v float64) float64 { return min(max(v, -30000), 30000) }

// outline draws every piece of a line, or of its dashes, as a thin rectangle
// with a little over at the ends.
func (c *raster) outline(v *shape) {
	paint := paintOf(v.stroke, 0)
	points := v.points
	if v.closed {
		points = append(append([][2]float64(nil), points...), points[0])
	}
	for _, piece := range dashed(points, v.dash) {
		for i := 1; i < len(piece); i++ {
			c.segment(piece[i-1], piece[i], v.width, paint)
		}
	}
}

func (c *raster) segment(a, b [2]float64, width float64, paint image.Image) {
	dx, dy := b[0]-a[0], b[1]-a[1]
	l := math.Hypot(dx, dy)
	if l == 0 {
		return
	}
	nx, ny := -dy/l*width/2, dx/l*width/2
	ox, oy := dx/l*width/4, dy/l*width/4
	c.polygon([][2]float64{
		{a[0] - ox + nx, a[1] - oy + ny}, {b[0] + ox + nx, b[1] + oy + ny},
		{b[0] + ox - nx, b[1] + oy - ny}, {a[0] - ox - nx, a[1] - oy - ny},
	}, paint)
}

// dashed cuts a line into the pieces that are drawn.
func dashed(points [][2]float64, dash []float64) [][][2]float64 {
	if len(dash) == 0 {
		return [][][2]float64{points}
	}
	var out [][][2]float64
	piece := [][2]float64{points[0]}
	k, rest := 0, dash[0]
	for i := 1; i < len(points); i++ {
		a, b := points[i-1], points[i]
		length := math.Hypot(b[0]-a[0], b[1]-a[1])
		for done := 0.0; done < length; {
			take := min(rest, length-done)
			done += take
			rest -= take
			p := [2]float64{a[0] + (b[0]-a[0])*done/length, a[1] + (b[1]-a[1])*done/length}
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
			piece = [][2]float64{p}
		}
	}
	if k%2 == 0 && len(piece) > 1 {
		out = append(out, piece)
	}
	return out
}

func (c *raster) words(v *shape) error {
	face, err := c.face(v.size, v.bold)
	if err != nil {
		return err
	}
	wide := font.MeasureString(face, v.text)
	ascent, descent := face.Metrics().Ascent.Ceil(), face.Metrics().Descent.Ceil()
	mask := image.NewAlpha(image.Rect(0, 0, wide.Ceil()+2, ascent+descent))
	d := font.Drawer{Dst: mask, Src: image.Opaque, Face: face, Dot: fixed.P(1, ascent)}
	d.DrawString(v.text)
	back := map[anchor]int{left: 0, centre: wide.Ceil() / 2, right: wide.Ceil()}[v.anchor]
	x, y := c.at(v.points[0][0]), c.at(v.points[0][1])
	to := image.Pt(x-back-1, y-ascent)
	if v.turned {
		mask = turned(mask)
		to = image.Pt(x-ascent, y-wide.Ceil()+back-1)
	}
	if v.halo {
		r := max(1, c.at(1.3))
		for dx := -r; dx <= r; dx++ {
			for dy := -r; dy <= r; dy++ {
				c.stamp(mask, to.Add(image.Pt(dx, dy)), image.White)
			}
		}
	}
	c.stamp(mask, to, paintOf(v.fill, 0))
	return nil
}

func (c *raster) stamp(mask *image.Alpha, to image.Point, paint image.Image) {
	draw.DrawMask(c.image, mask.Bounds().Add(to), paint, image.Point{}, mask, image.Point{}, draw.Over)
}

// turned is the mask turned a quarter against the clock.
func turned(m *image.Alpha) *image.Alpha {
	w, h := m.Bounds().Dx(), m.Bounds().Dy()
	out := image.NewAlpha(image.Rect(0, 0, h, w))
	for x := range w {
		for y := range h {
			out.SetAlpha(y, w-1-x, m.AlphaAt(x, y))
		}
	}
	return out
}

func (c *raster) face(size float64, bold bool) (font.Face, error) {
	key := faceKey{size, bold}
	if f, ok := c.faces[key]; ok {
		return f, nil
	}
	data := goregular.TTF
	if bold {
		data = gobold.TTF
	}
	parsed, err := opentype.Parse(data)
	if err != nil {
		return nil, fmt.Errorf("read the font: %w", err)
	}
	f, err := opentype.NewFace(parsed, &opentype.FaceOptions{Size: size * c.scale, DPI: 72, Hinting: font.HintingNone})
	if err != nil {
		return nil, fmt.Errorf("read the font: %w", err)
	}
	c.faces[key] = f
	return f, nil
}
