package drawing

import (
	"bytes"
	"fmt"
	"image"
	"image/png"
	"path/filepath"
	"strings"
)

// sharp is how many pixels of a PNG there are to one of the drawing: enough for
// a screen and for print.
const sharp = 2

// File returns what a file of this name holds: its ending, .svg or .png, says
// which form.
func (d *Drawing) File(name string) ([]byte, error) {
	switch ext := filepath.Ext(name); strings.ToLower(ext) {
	case ".svg":
		return d.SVG()
	case ".png":
		return d.png(sharp)
	default:
		return nil, fmt.Errorf("picture %s: ending %q is neither .svg nor .png", name, ext)
	}
}

// Pixels is the drawing as a picture, one pixel to one of its own.
func (d *Drawing) Pixels() (*image.RGBA, error) {
	img, err := d.image(1)
	if err != nil {
		return nil, fmt.Errorf("draw %s: %w", d.Title, err)
	}
	return img, nil
}

func (d *Drawing) png(scale float64) ([]byte, error) {
	img, err := d.image(scale)
	if err != nil {
		return nil, fmt.Errorf("draw %s: %w", d.Title, err)
	}
	var b bytes.Buffer
	if err := png.Encode(&b, img); err != nil {
		return nil, fmt.Errorf("draw %s: %w", d.Title, err)
	}
	return b.Bytes(), nil
}
