package plate

import (
	"fmt"
	"math"

	"lampblack/light"
	"lampblack/plate/drawing"
	"lampblack/si"
)

// Spectra is a plate of spectral densities from 300 to 780 nm.
type Spectra struct {
	Title    string
	Quantity string // of the values, with unit; empty: "radiant flux, W/nm"
	Curves   []Curve
}

// Curve is one line of Spectra.
type Curve struct {
	Name     string
	Spectrum light.Spectrum
}

// Draw draws the plate. It fails on a spectrum with a NaN or a negative value. The
// scale begins at nought and is straight, so that areas under the lines are power.
func (s *Spectra) Draw() (*drawing.Drawing, error) {
	top := 0.0
	for _, c := range s.Curves {
		if err := c.Spectrum.Check(); err != nil {
			return nil, fmt.Errorf("%s: %w", c.Name, err)
		}
		for _, v := range c.Spectrum {
			top = max(top, v)
		}
	}
	// Nothing to show, or numbers at the ends of what can be computed with.
	if !(top > 1e-300 && top < 1e300) {
		top = 1
	}
	// A twentieth of room above the highest peak, then up to the next tick.
	up := step(top*1.05, 5)
	a := axes{left: 78, top: 46, width: 560, height: 330, x0: light.First, x1: light.Last, y0: 0, y1: up * math.Ceil(top*1.05/up)}
	key := max(0, float64(len(s.Curves))*22)
	d := drawing.New(960, max(460, a.top+key+60), s.Title)
	d.Heading(a.left, 28, s.Title)
	s.bands(d, &a)
	quantity, exponent := s.Quantity, 0
	if quantity == "" {
		quantity = "radiant flux, W/nm"
	}
	scaled := a
	if up < .001 || up >= 1e5 { // engineering numbers would crowd the axis
		exponent = int(math.Floor(math.Log10(up)))
		quantity = fmt.Sprintf("%s (× 10^%d)", quantity, exponent)
	}
	// Only what is written on the axis is divided; the curves go by the axes as they are.
	power := math.Pow(10, float64(exponent))
	scaled.y1 /= power
	scaled.frame(d, 50, up/power, "wavelength, nm", quantity)
	d.Label(a.x(light.UVAFirst)+4, a.top+16, drawing.Left, drawing.Hex(0x555577), "UV-A")
	for i, c := range s.Curves {
		s.curve(d, &a, i, c)
	}
	return d, nil
}

// bands shades the UV-A band of the eye limit, and lays the colours of the
// spectrum under the axis: a screen's nearest to each wavelength, in steps of 5 nm. Below
// 400 and above 700 nm there is too little colour to show.
func (s *Spectra) bands(d *drawing.Drawing, a *axes) {
	d.Box(a.x(light.UVAFirst), a.top, a.x(light.UVALast)-a.x(light.UVAFirst), a.height, drawing.Hex(0xececf4), none)
	for nm := 400; nm < 700; nm += 5 {
		c, err := light.ParseColour(fmt.Sprintf("%d nm", nm+2))
		if err != nil {
			panic("plate: " + err.Error())
		}
		d.Box(a.x(float64(nm)), a.top+a.height-5, a.x(5)-a.x(0)+.3, 5, tint(c.XY.UV(), 1), none)
	}
}

// curve draws one spectrum, its mark at the peak, and its line of the key. Marks and dashes
// tell the curves apart where colour does not: in print, and for many an eye.
func (s *Spectra) curve(d *drawing.Drawing, a *axes, i int, c Curve) {
	look := strokeOf(i)
	var points []drawing.Point
	peak := 0
	for k, v := range c.Spectrum {
		if v > a.y1/2000 { // the rest lies on the axis
			points = append(points, a.at(float64(light.First+k), v))
		}
		if v > c.Spectrum[peak] {
			peak = k
		}
	}
	d.Lines(points, false, look.style(2))
	look.mark(&d.Group, a.x(float64(light.First+peak)), a.y(c.Spectrum[peak]))
	x, y := a.left+a.width+20, a.top+12+22*float64(i)
	look.key(&d.Group, x, y)
	label := short(c.Name)
	if c.Spectrum[peak] > 0 {
		label += fmt.Sprintf(", peak %s", si.Wavelength(light.First+peak))
	}
	d.Label(x+38, y, drawing.Left, drawing.Ink, label)
}
