package plate

import (
	"bytes"
	"encoding/base64"
	"fmt"
	"image"
	"image/png"
)

// Sketch is a plate that can become SVG or pixels: shapes in the order that
// they are drawn, coordinates in pixels from the top left.
type Sketch struct {
	width, height float64
	title         string
	shapes        []shape
}

// shape is one thing drawn: a polygon, a line, a text or a picture.
type shape struct {
	points        [][2]float64
	closed        bool
	fill, stroke  string // "#rrggbb" or ""
	width         float64
	opacity       float64 // of the fill; 0 means 1
	dash          []float64
	text          string
	size          float64
	bold          bool
	anchor        anchor
	turned        bool // text that runs up
	halo          bool // a white edge about the text, to be read on anything
	picture       *image.RGBA
	right, bottom float64 // of the picture
}

func (s *Sketch) add(v shape) { s.shapes = append(s.shapes, v) }

func (s *Sketch) line(x1, y1, x2, y2 float64, stroke string, width float64) {
	s.add(shape{points: [][2]float64{{x1, y1}, {x2, y2}}, stroke: stroke, width: width})
}

func (s *Sketch) label(x, y float64, at anchor, fill, text string) {
	s.add(shape{points: [][2]float64{{x, y}}, text: text, size: 13, anchor: at, fill: fill})
}

func (s *Sketch) heading(x, y float64, text string) {
	s.add(shape{points: [][2]float64{{x, y}}, text: text, size: 16, bold: true, anchor: left, fill: ink})
}

func (s *Sketch) box(x, y, w, h float64, fill, stroke string) {
	s.add(shape{points: [][2]float64{{x, y}, {x + w, y}, {x + w, y + h}, {x, y + h}}, closed: true, fill: fill, stroke: stroke, width: 1})
}

// SVG writes the sketch as SVG 1.1; pictures are inside it as PNG.
func (s *Sketch) SVG() ([]byte, error) {
	d := begin(s.width, s.height, s.title)
	for i := range s.shapes {
		if err := d.shape(&s.shapes[i]); err != nil {
			return nil, err
		}
	}
	return d.end(), nil
}

func (d *drawing) shape(v *shape) error {
	switch {
	case v.picture != nil:
		var b bytes.Buffer
		if err := png.Encode(&b, v.picture); err != nil {
			return fmt.Errorf("draw picture: %w", err)
		}
		p := v.points[0]
		d.add(`<image x="%s" y="%s" width="%s" height="%s" href="data:image/png;base64,%s"/>`,
			num(p[0]), num(p[1]), num(v.right-p[0]), num(v.bottom-p[1]), base64.StdEncoding.EncodeToString(b.Bytes()))
	case v.text != "":
		d.words(v)
	default:
		d.path(v.points, v.closed, v.style())
	}
	return nil
}

func (d *drawing) words(v *shape) {
	more := ""
	if v.size != 13 {
		more += fmt.Sprintf(` font-size="%s"`, num(v.size))
	}
	if v.bold {
		more += ` font-weight="bold"`
	}
	if v.halo {
		more += ` stroke="#ffffff" stroke-width="3" paint-order="stroke" stroke-linejoin="round"`
	}
	p := v.points[0]
	if v.turned {
		d.add(`<text transform="translate(%s %s) rotate(-90)" text-anchor="%s" fill="%s"%s>%s</text>`, num(p[0]), num(p[1]), v.anchor, v.fill, more, escape(v.text))
		return
	}
	d.add(`<text x="%s" y="%s" text-anchor="%s" fill="%s"%s>%s</text>`, num(p[0]), num(p[1]), v.anchor, v.fill, more, escape(v.text))
}

func (v *shape) style() string {
	fill, stroke := v.fill, v.stroke
	if fill == "" {
		fill = "none"
	}
	if stroke == "" {
		stroke = "none"
	}
	text := fmt.Sprintf(`fill="%s" stroke="%s"`, fill, stroke)
	if v.opacity > 0 {
		text += fmt.Sprintf(` fill-opacity="%s"`, num(v.opacity))
	}
	if v.stroke != "" {
		text += fmt.Sprintf(` stroke-width="%s" stroke-linejoin="round"`, num(v.width))
	}
	if len(v.dash) > 0 {
		text += ` stroke-dasharray="`
		for i, n := range v.dash {
			if i > 0 {
				text += " "
			}
			text += num(n)
		}
		text += `"`
	}
	return text
}
