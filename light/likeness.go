package light

import (
	"math"

	"lampblack/si"
)

// Like is a paint that is made as p is, and of which something was measured: its reflectance
// without glow and the shape of its glow, each nil where p's is taken, and how many times as
// strong as p's its glow is, with the interval. A glow that would give back more photons than
// are taken up is held to those.
func (p *Paint) Like(name string, reflectance, emission *Spectrum, times si.Estimate[si.Ratio]) Paint {
	out := Paint{Name: name, Reflectance: p.Reflectance, Factor: p.Factor, Source: "measured, like " + p.Name}
	if times.Best > 0 {
		out.Factor = math.Max(float64(times.High/times.Best), float64(times.Best)/math.Max(float64(times.Low), 1e-9))
	} else {
		times.Best = 1
	}
	if reflectance != nil {
		out.Reflectance = *reflectance
	}
	if p.Fluorescence == nil {
		return out
	}
	out.Fluorescence = p.Fluorescence.like(&out.Reflectance, emission, float64(times.Best))
	return out
}

// like scales a table and gives its rows another shape, with as many photons as they have.
func (b *Bispectral) like(reflectance, emission *Spectrum, times float64) *Bispectral {
	out := &Bispectral{Excitation: b.Excitation, Emission: b.Emission}
	var shape []float64
	if emission != nil {
		for _, w := range b.Emission {
			shape = append(shape, emission.At(w))
		}
	}
	for i, w := range b.Excitation {
		row := b.Factors[i]
		own := b.row(row)
		photons, scale := own.photons(), times
		if shape != nil {
			row = shape
			other := b.row(shape)
			scale *= photons / math.Max(other.photons(), 1e-300)
		}
		if most := float64(w) * (1 - reflectance.At(w)) * (1 - 1e-9); photons*times > most {
			scale *= most / (photons * times)
		}
		scaled := make([]float64, len(row))
		for j, v := range row {
			scaled[j] = v * scale
		}
		out.Factors = append(out.Factors, scaled)
	}
	return out
}
