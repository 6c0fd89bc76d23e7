package plate

import (
	"fmt"
	"image/color"

	"lampblack/light"
	"lampblack/plate/drawing"
	"lampblack/si"
)

// Swatches is a plate of paints: as they are in daylight, and as they look under black light
// of four kinds.
type Swatches struct {
	Title  string
	Paints []light.Paint // of those that fluoresce
}

// BlackLights are the LEDs that paints are shown and told under, by peak, and as wide as measured
// ones are.
var BlackLights = []struct{ Peak, Width si.Wavelength }{{365, 10}, {385, 13}, {395, 14}, {405, 14}}

// Draw draws the plate. Each colour is shown as bright as a screen can show it, as daylight
// makes some brighter than white and black light all too dim to be seen beside it. What it
// is in truth stands below: its share of daylight (CIE D65), or its luminance.
func (s *Swatches) Draw() (*drawing.Drawing, error) {
	const left, top, wide, high, tall = 210., 84., 172., 58., 40.
	d := drawing.New(left+wide*float64(1+len(BlackLights))+24, top+high*float64(len(s.Paints))+44, s.Title)
	d.Heading(24, 30, s.Title)
	day, err := light.Illuminant("D65")
	if err != nil {
		return nil, err
	}
	lights := []light.Spectrum{day}
	d.Label(left, top-14, drawing.Left, drawing.Ink, "daylight")
	for i, b := range BlackLights {
		led, err := light.LED(b.Peak, b.Width)
		if err != nil {
			return nil, err
		}
		lights = append(lights, led)
		d.Label(left+wide*float64(i+1), top-14, drawing.Left, drawing.Ink, b.Peak.String())
	}
	white := float64(day.LuminousFlux())
	for row := range s.Paints {
		p := &s.Paints[row]
		y := top + high*float64(row)
		d.Label(24, y+tall/2+5, drawing.Left, drawing.Ink, short(p.Name))
		for i := range lights {
			x, whole := left+wide*float64(i), p.Whole(&lights[i])
			c := whole.XYZ()
			words := si.Say(100*c.Y/white, "%") + " of white"
			if i > 0 {
				words = si.Say(float64(p.GlowLuminance(&lights[i])), "cd/m²")
			}
			rgb := c.Vivid()
			d.Box(x, y, wide-12, tall, color.NRGBA{rgb.R, rgb.G, rgb.B, 255}, none)
			d.Label(x, y+tall+13, drawing.Left, soft, fmt.Sprintf("%s  x %.2f y %.2f", words, c.XY().X, c.XY().Y))
		}
	}
	d.Label(24, d.Height-14, drawing.Left, soft, "Under black light of 1 W/m²: the luminance of the glow alone. Each colour is shown as bright as a screen can; the purest look paler here than in the room.")
	return d, nil
}
