package drawing

import (
	"fmt"
	"image"
	"image/draw"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"
)

// faceKey names a font as it is painted.
type faceKey struct {
	size float64
	bold bool
}

// pixels paints the letters into a mask of their own, which is then laid on the picture in
// the text's colour: turned, and several times over for a halo.
func (t *Text) pixels(c *canvas) error {
	face, err := c.face(t.size(), t.Bold)
	if err != nil {
		return err
	}
	wide := font.MeasureString(face, t.Words)
	ascent, descent := face.Metrics().Ascent.Ceil(), face.Metrics().Descent.Ceil()
	mask := image.NewAlpha(image.Rect(0, 0, wide.Ceil()+2, ascent+descent))
	d := font.Drawer{Dst: mask, Src: image.Opaque, Face: face, Dot: fixed.P(1, ascent)}
	d.DrawString(t.Words)
	back := map[Anchor]int{Left: 0, Centre: wide.Ceil() / 2, Right: wide.Ceil()}[t.Anchor]
	x, y := c.at(t.At[0]), c.at(t.At[1])
	to := image.Pt(x-back-1, y-ascent)
	if t.Turned {
		mask = turned(mask)
		to = image.Pt(x-ascent, y-wide.Ceil()+back-1)
	}
	// The edge is the letters in white, moved by every step that is no longer than
	// its width: a square of them, which at this size looks round.
	if t.Halo {
		r := max(1, c.at(1.3))
		for dx := -r; dx <= r; dx++ {
			for dy := -r; dy <= r; dy++ {
				c.stamp(mask, to.Add(image.Pt(dx, dy)), image.White)
			}
		}
	}
	c.stamp(mask, to, image.NewUniform(t.Fill))
	return nil
}

// stamp lays paint on the picture where the mask is, moved to a pixel.
func (c *canvas) stamp(mask *image.Alpha, to image.Point, paint image.Image) {
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

// face is a font at a size, made once for each picture.
func (c *canvas) face(size float64, bold bool) (font.Face, error) {
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
