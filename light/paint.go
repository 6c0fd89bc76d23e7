package light

import (
	"fmt"
	"math"

	"lampblack/si"
)

// Paint is a surface: it reflects, and it may fluoresce. A plain material has
// Yield 0.
type Paint struct {
	Name        string
	Reflectance Spectrum    // diffuse, 0 to 1
	Absorptance Spectrum    // by the fluorescent part, 0 to 1
	Emission    Spectrum    // shape of the glow, of unit area
	Yield       float64     // photons out of the dye per photon absorbed, 0 to 1
	Escape      float64     // share of those that leave the surface, 0 to 1
	Measured    *Bispectral // outranks the four above
	Factor      float64     // the true glow is believed within 1/Factor to Factor times
	Source      string
}

// Check reports what no surface can be: values outside 0 to 1, more light out
// than in, an emission without area. A photon that comes back is of longer wavelength and
// less energy than the one that was absorbed; with a mean emission below the absorption, as
// of a mistyped table, a yield of 1 would make power, and is refused wavelength by wavelength.
func (p *Paint) Check() error {
	for i := range N {
		r, a := p.Reflectance[i], p.Absorptance[i]
		if !(r >= 0 && a >= 0 && r+a <= 1+1e-9) {
			return fmt.Errorf("paint %q at %d nm: reflects %v and absorbs %v, want neither negative and together at most 1", p.Name, First+i, r, a)
		}
	}
	if p.Measured != nil {
		return p.Measured.Check()
	}
	return p.checkGlow()
}

// checkGlow is the part of Check that is about fluorescence told by single numbers.
func (p *Paint) checkGlow() error {
	if !(p.Yield >= 0 && p.Yield <= 1 && p.Escape >= 0 && p.Escape <= 1) {
		return fmt.Errorf("paint %q: yield %v and escape %v, want 0 to 1", p.Name, p.Yield, p.Escape)
	}
	if p.Yield == 0 {
		return nil
	}
	if err := p.Emission.Check(); err != nil {
		return fmt.Errorf("paint %q: emission %w", p.Name, err)
	}
	if area := p.Emission.Power(); math.Abs(float64(area)-1) > 1e-6 {
		return fmt.Errorf("paint %q: emission has the area %v, want 1", p.Name, float64(area))
	}
	out := p.Excitation()
	for i, v := range out {
		if v > p.Absorptance[i]*(1+1e-9) {
			return fmt.Errorf("paint %q at %d nm: gives back more power than it absorbs", p.Name, First+i)
		}
	}
	return nil
}

// Glow returns the radiant exitance by fluorescence, in W/m²/nm, under an
// irradiance in W/m²/nm.
func (p *Paint) Glow(irradiance *Spectrum) Spectrum {
	if p.Measured != nil {
		return p.Measured.glow(irradiance)
	}
	s := p.Emission
	w := p.Excitation()
	s.Scale(irradiance.Weighted(&w))
	return s
}

// Excitation is the share of the power at each wavelength that leaves as glow:
// a φ κ μ/λ̄. Irradiance weighted with it is the glow in W/m².
func (p *Paint) Excitation() Spectrum {
	if p.Measured != nil {
		return p.Measured.excitation()
	}
	var w Spectrum
	mean := float64(p.Emission.Mean())
	if mean == 0 {
		return w
	}
	for i := range w {
		w[i] = p.Absorptance[i] * p.Yield * p.Escape * float64(First+i) / mean
	}
	return w
}

// GlowShape is the Emission, or for a measured paint what it emits under an
// even irradiance, of unit area; dark for a plain material.
func (p *Paint) GlowShape() Spectrum {
	if p.Measured == nil {
		return p.Emission
	}
	even := Grey(1)
	s := p.Measured.glow(&even)
	return *s.Normalise()
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
