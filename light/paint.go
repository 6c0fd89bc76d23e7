package light

import (
	"fmt"
	"math"

	"lampblack/si"
)

// Paint is a surface: it reflects, and it may fluoresce.
type Paint struct {
	Name         string
	Reflectance  Spectrum    // diffuse, 0 to 1, without what fluoresces
	Fluorescence *Bispectral // nil for a plain material
	Gloss        Gloss       // what it mirrors beside that
	Factor       float64     // the true glow is believed within 1/Factor to Factor times
	Source       string
}

// Check reports what no surface can be: a reflectance outside 0 to 1, a table that is none,
// and more photons out than in. A photon may come back at another wavelength, but never as two.
func (p *Paint) Check() error {
	for i, r := range p.Reflectance {
		if !(r >= 0 && r <= 1) {
			return fmt.Errorf("paint %q at %d nm: reflects %v, want 0 to 1", p.Name, First+i, r)
		}
	}
	if p.Fluorescence == nil {
		return nil
	}
	if err := p.Fluorescence.Check(); err != nil {
		return fmt.Errorf("paint %q: %w", p.Name, err)
	}
	for i, w := range p.Fluorescence.Excitation {
		row := p.Fluorescence.row(p.Fluorescence.Factors[i])
		back := row.photons() / float64(w)
		if r := p.Reflectance.At(w); r+back > 1+1e-6 {
			return fmt.Errorf("paint %q at %v: reflects %.3g and gives back %.3g photons for each that falls on it, together more than 1", p.Name, w, r, back)
		}
	}
	return nil
}

// photons is the number of photons in s, times the nanometres that one of a watt-second has.
func (s *Spectrum) photons() float64 {
	sum := 0.0
	for i, v := range s {
		sum += v * float64(First+i)
	}
	return sum
}

// Glow returns the radiant exitance by fluorescence, in W/m²/nm, under an
// irradiance in W/m²/nm.
func (p *Paint) Glow(irradiance *Spectrum) Spectrum {
	if p.Fluorescence == nil {
		return Spectrum{}
	}
	return p.Fluorescence.glow(irradiance)
}

// Yield is how many photons come out by fluorescence for each that is not reflected.
func (p *Paint) Yield(irradiance *Spectrum) float64 {
	glow, back := p.Glow(irradiance), p.Reflected(irradiance)
	taken := irradiance.photons() - back.photons()
	if !(taken > 0) {
		return 0
	}
	return glow.photons() / taken
}

// Whole is all that comes back, reflected and by fluorescence, in W/m²/nm.
func (p *Paint) Whole(irradiance *Spectrum) Spectrum {
	s := p.Reflected(irradiance)
	glow := p.Glow(irradiance)
	return *s.Add(&glow, 1)
}

// GlowLuminance is what a light meter reads on the glow: 683/π ∫ F V.
func (p *Paint) GlowLuminance(irradiance *Spectrum) si.Luminance {
	s := p.Glow(irradiance)
	return Luminance(&s)
}

// Reflected returns the radiant exitance by reflection, in W/m²/nm.
func (p *Paint) Reflected(irradiance *Spectrum) Spectrum {
	s := *irradiance
	s.Multiply(&p.Reflectance)
	return s
}

// Luminance is that of a matt surface that sends out s (W/m²/nm): 683/π ∫ s V.
func Luminance(s *Spectrum) si.Luminance { return si.Luminance(float64(s.LuminousFlux()) / math.Pi) }
