package rig

import (
	"fmt"
	"math"

	"lampblack/light"
	"lampblack/si"
	"lampblack/source"
)

// Light is an emitter's light at full, of the whole unit.
type Light struct {
	Spectrum light.Spectrum // W/nm, best estimate
	Colour   light.XYZ      // of the flux; Y in lm
	Watts    float64        // radiant
	// Low and High are factors of the best estimate that bound the output.
	Low, High float64
}

// darkEfficacy divides light to see by from black light: an emitter that gives
// less than this many lumens per radiant watt is ultraviolet or deep violet,
// and no colour mix drives it. LEDs of 405 nm give under 2 lm/W, those of
// 450 nm some 35 (measured single LEDs; the boundary itself is a design choice).
const darkEfficacy = 10

// BlackLight tells whether the emitter is there to make things glow rather
// than to be seen.
func (l *Light) BlackLight() bool { return l.Spectrum.Efficacy() < darkEfficacy }

// shape returns the spectrum, normalised to 1 W, of what the emitter's text
// describes.
func (e *Emitter) shape() (light.Spectrum, error) {
	switch {
	case len(e.Spectrum) > 0:
		points := make([]light.Point, len(e.Spectrum))
		for i, row := range e.Spectrum {
			points[i] = light.Point{At: row.At, Value: row.Power}
		}
		s, err := light.Table(points)
		if err == nil && s.Power() <= 0 {
			err = fmt.Errorf("the spectrum is empty between 300 nm and 780 nm")
		}
		s.Normalise()
		return s, err
	case e.Like != "":
		return light.Like(e.Like)
	}
	return light.LED(e.Peak, e.Width)
}

// measure fills in the emitter's Light: the shape of its spectrum, 1 W, times its watts,
// or times its lumens over those that 1 W of it gives. Black light gives few lumens for
// its watts, so that a lumen figure of it, rounded or measured beside, would mean any
// power; 10 kW of light is where that is told.
func (e *Emitter) measure(name string, faults *source.Faults) {
	s, err := e.shape()
	if err != nil {
		faults.Add(e.Pos, "", "emitter %s: %v", name, err)
		s = light.Spectrum{}
	}
	e.Light.Low, e.Light.High = e.Output.Radiant.Relative()
	scale := float64(e.Output.Radiant.Best)
	if e.Output.InLumens() {
		e.Light.Low, e.Light.High = e.Output.Luminous.Relative()
		if lumens := float64(s.LuminousFlux()); lumens > 0 {
			scale = float64(e.Output.Luminous.Best) / lumens
		}
		if scale > 10000 {
			faults.Add(e.Pos, "give its radiant output in W", "emitter %s would need %s of light for its lumens: lumens say nothing about ultraviolet", name, si.Say(scale, "W"))
			scale = 0
		}
	}
	s.Scale(scale)
	e.Light.Spectrum, e.Light.Colour, e.Light.Watts = s, s.XYZ(), scale
}

// Model returns the beam as package light computes it.
func (b Beam) Model() light.Beam {
	out := light.Beam{Half: b.Half, Tenth: b.Tenth}
	if b.measured != nil {
		out.Around = b.measured.around
	}
	switch b.Shape {
	case "cosine power":
		out.Shape = light.Cosine
	case "gaussian":
		out.Shape = light.Gaussian
	case "flat":
		out.Shape = light.Flat
	}
	return out
}

// Distribution returns the beam made ready. A beam that no lamp can have is an
// error, and counts as 40° wide.
func (b Beam) Distribution() (*light.Distribution, error) {
	d, err := b.Model().Distribution()
	if err != nil {
		d, _ = light.Beam{Half: 40 * math.Pi / 180}.Distribution()
	}
	return d, err
}

// Peak returns the intensity on the axis of an emitter for one unit of its
// flux, in 1/sr: cd for a lumen, W/sr for a watt. A beam that no lamp can have
// is a fault elsewhere and counts as 40° wide.
func (t *Type) Peak(e *Emitter) float64 {
	b := t.Beam
	if e.Beam != nil {
		b = *e.Beam
	}
	d, _ := b.Distribution()
	return d.Intensity(0)
}
