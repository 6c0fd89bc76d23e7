package soundtrack

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"strings"

	"golang.org/x/image/font"
	"golang.org/x/image/font/basicfont"
	"golang.org/x/image/math/fixed"
	"golang.org/x/image/vector"
)

// drawing is a picture as a list of shapes, written as SVG 1.1 or painted.
// Units are pixels, y runs down.
type drawing struct {
	width, height float64
	shapes        []shape
}

// shape is a filled polygon, or text with its baseline's left end (or right
// end) at the first point.
type shape struct {
	points []corner
	fill   color.NRGBA
	text   string
	size   float64
	right  bool
}

type corner struct{ x, y float64 }

func (d *drawing) polygon(fill color.NRGBA, points ...corner) {
	d.shapes = append(d.shapes, shape{points: points, fill: fill})
}

func (d *drawing) rect(x, y, w, h float64, fill color.NRGBA) {
	d.polygon(fill, corner{x, y}, corner{x + w, y}, corner{x + w, y + h}, corner{x, y + h})
}

func (d *drawing) words(x, y, size float64, fill color.NRGBA, right bool, text string) {
	d.shapes = append(d.shapes, shape{points: []corner{{x, y}}, fill: fill, text: text, size: size, right: right})
}

// svg encodes the drawing.
func (d *drawing) svg(title string) []byte {
	var b bytes.Buffer
	fmt.Fprintf(&b, "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"%g\" height=\"%g\" viewBox=\"0 0 %g %g\" font-family=\"sans-serif\">\n",
		d.width, d.height, d.width, d.height)
	fmt.Fprintf(&b, "<title>%s</title>\n", escaped(title))
	for _, s := range d.shapes {
		paint := fmt.Sprintf("fill=\"#%02x%02x%02x\"", s.fill.R, s.fill.G, s.fill.B)
		if s.fill.A < 255 {
			paint += fmt.Sprintf(" fill-opacity=\"%.2f\"", float64(s.fill.A)/255)
		}
		if s.text != "" {
			anchor := ""
			if s.right {
				anchor = " text-anchor=\"end\""
			}
			fmt.Fprintf(&b, "<text x=\"%.1f\" y=\"%.1f\" font-size=\"%g\" %s%s>%s</text>\n",
				s.points[0].x, s.points[0].y, s.size, paint, anchor, escaped(s.text))
			continue
		}
		b.WriteString("<path d=\"M")
		for i, p := range s.points {
			if i > 0 {
				b.WriteByte('L')
			}
			fmt.Fprintf(&b, "%.1f %.1f", p.x, p.y)
		}
		fmt.Fprintf(&b, "z\" %s/>\n", paint)
	}
	b.WriteString("</svg>\n")
	return b.Bytes()
}

func escaped(s string) string {
	var b strings.Builder
	xml.EscapeText(&b, []byte(s))
	return b.String()
}

// png paints the drawing.
func (d *drawing) png() ([]byte, error) {
	img := image.NewRGBA(image.Rect(0, 0, int(d.width), int(d.height)))
	for _, s := range d.shapes {
		if s.text == "" {
			paintPolygon(img, s)
		} else {
			paintText(img, s)
		}
	}
	var b bytes.Buffer
	if err := png.Encode(&b, img); err != nil {
		return nil, fmt.Errorf("picture: %w", err)
	}
	return b.Bytes(), nil
}

// paintPolygon rasterises within the polygon's bounds alone.
func paintPolygon(img *image.RGBA, s shape) {
	box := image.Rectangle{Min: image.Pt(1<<20, 1<<20), Max: image.Pt(-1<<20, -1<<20)}
	for _, p := range s.points {
		box = image.Rect(min(box.Min.X, int(p.x)), min(box.Min.Y, int(p.y)), max(box.Max.X, int(p.x)+1), max(box.Max.Y, int(p.y)+1))
	}
	box = box.Intersect(img.Bounds())
	if box.Empty() {
		return
	}
	r := vector.NewRasterizer(box.Dx(), box.Dy())
	for i, p := range s.points {
		x, y := float32(p.x-float64(box.Min.X)), float32(p.y-float64(box.Min.Y))
		if i == 0 {
			r.MoveTo(x, y)
		} else {
			r.LineTo(x, y)
		}
	}
	r.ClosePath()
	r.DrawOp = draw.Over
	r.Draw(img, box, image.NewUniform(s.fill), image.Point{})
}

// paintText writes in the one size that a bitmap font has.
func paintText(img *image.RGBA, s shape) {
	d := font.Drawer{Dst: img, Src: image.NewUniform(s.fill), Face: basicfont.Face7x13}
	x := fixed.I(int(s.points[0].x))
	if s.right {
		x -= d.MeasureString(s.text)
	}
	d.Dot = fixed.Point26_6{X: x, Y: fixed.I(int(s.points[0].y))}
	d.DrawString(s.text)
}
