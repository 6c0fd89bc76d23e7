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
	Reflectance Spectrum // diffuse, 0 to 1
	Absorptance Spectrum // by the fluorescent part, 0 to 1
	Emission    Spectrum // shape of the glow, of unit area
	Yield       float64  // photons out of the dye per photon absorbed
	Escape      float64  // share of those that leave the surface
	Factor      float64  // true glow is believed within 1/Factor to Factor times
	Source      string
	Bispectral  *Bispectral // measured; outranks the four above Factor
}

// Bispectral is a measured Donaldson matrix without its diagonal: Radiance
// [i][j] is the glow per nanometre at Emission[j] for one W/m² at
// Excitation[i], both ascending.
type Bispectral struct {
	Excitation, Emission []si.Wavelength
	Radiance             [][]float64
}

// Glow returns the radiant exitance by fluorescence, in W/m²/nm, under an
// irradiance in W/m²/nm.
func (p *Paint) Glow(irradiance *Spectrum) Spectrum {
	s := p.Emission
	s.Scale(p.GlowPower(irradiance))
	return s
}

// GlowPower is the integral of Glow, in W/m², for a paint of one emission.
func (p *Paint) GlowPower(irradiance *Spectrum) float64 {
	w := p.Excitation()
	return irradiance.Weighted(&w)
}

// Excitation is the share of the power at each wavelength that leaves as
// glow: a φ κ μ/λ̄.
func (p *Paint) Excitation() Spectrum {
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

// Reflected returns the radiant exitance by reflection, in W/m²/nm.
func (p *Paint) Reflected(irradiance *Spectrum) Spectrum {
	s := *irradiance
	s.Multiply(&p.Reflectance)
	return s
}

// Luminance is that of a matt surface that sends out s (W/m²/nm): 683/π ∫ s V.
func Luminance(s *Spectrum) si.Luminance { return si.Luminance(float64(s.LuminousFlux()) / math.Pi) }

// PaintNamed returns a paint of Paints.
func PaintNamed(name string) (Paint, error) {
	for _, p := range Paints() {
		if p.Name == name {
			return p, nil
		}
	}
	return Paint{}, fmt.Errorf("no paint %q", name)
}

// Paints returns the generic paints and materials.
func Paints() []Paint { return []Paint{{Name: "white", Reflectance: Grey(.8)}} }
