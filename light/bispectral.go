package light

import (
	"fmt"

	"lampblack/si"
)

// Bispectral is a measured Donaldson matrix without its diagonal: Factors[i][j]
// is the glow per nanometre at Emission[j] for each W/m² at Excitation[i].
// Between rows and columns it is linear, outside them it is zero.
type Bispectral struct {
	Excitation, Emission []si.Wavelength
	Factors              [][]float64
}

// Check reports a table of the wrong shape or order, or one that gives back
// more power than falls on it.
func (b *Bispectral) Check() error {
	if err := ascending("excitation", b.Excitation); err != nil {
		return err
	}
	if err := ascending("emission", b.Emission); err != nil {
		return err
	}
	if len(b.Factors) != len(b.Excitation) {
		return fmt.Errorf("bispectral table: %d rows for %d excitation wavelengths", len(b.Factors), len(b.Excitation))
	}
	for i, row := range b.Factors {
		if len(row) != len(b.Emission) {
			return fmt.Errorf("bispectral table, row %d (%v): %d values for %d emission wavelengths", i+1, b.Excitation[i], len(row), len(b.Emission))
		}
		for j, v := range row {
			if !finite(v) || v < 0 {
				return fmt.Errorf("bispectral table, %v to %v: %v, want a finite number, zero or more", b.Excitation[i], b.Emission[j], v)
			}
		}
		if s := b.row(row); s.Power() > 1 {
			return fmt.Errorf("bispectral table, row %d (%v): gives back %.2f times what falls on it", i+1, b.Excitation[i], float64(s.Power()))
		}
	}
	return nil
}

// ascending wants wavelengths in order, not far outside the grid.
func ascending(what string, ws []si.Wavelength) error {
	if len(ws) < 2 {
		return fmt.Errorf("bispectral table: %d %s wavelengths, want at least 2", len(ws), what)
	}
	for i, w := range ws {
		if !(w >= First-100 && w <= Last+100) || i > 0 && w <= ws[i-1] {
			return fmt.Errorf("bispectral table: %s wavelength %d, %v: want 200 nm to 880 nm, ascending", what, i+1, w)
		}
	}
	return nil
}

// row samples one row on the grid.
func (b *Bispectral) row(values []float64) Spectrum {
	xs := floats(b.Emission)
	var s Spectrum
	for i := range s {
		s[i] = interpolate(xs, values, float64(First+i))
	}
	return s
}

func floats(ws []si.Wavelength) []float64 {
	xs := make([]float64, len(ws))
	for i, w := range ws {
		xs[i] = float64(w)
	}
	return xs
}

// glow shares the irradiance out among the rows and adds them up. A wavelength between
// two rows counts for both by its nearness: hat is 1 at its own row and falls to 0 at the
// neighbours.
func (b *Bispectral) glow(irradiance *Spectrum) Spectrum {
	xs := floats(b.Excitation)
	sum := make([]float64, len(b.Emission))
	hat := make([]float64, len(xs))
	for i := range b.Excitation {
		hat[i] = 1
		part := 0.0
		for k, e := range irradiance {
			if e != 0 {
				part += e * interpolate(xs, hat, float64(First+k))
			}
		}
		hat[i] = 0
		for j, v := range b.Factors[i] {
			sum[j] += part * v
		}
	}
	return b.row(sum)
}

// excitation is Paint.Excitation: the power that each row gives back, linear between rows.
func (b *Bispectral) excitation() Spectrum {
	powers := make([]float64, len(b.Excitation))
	for i, row := range b.Factors {
		s := b.row(row)
		powers[i] = float64(s.Power())
	}
	xs := floats(b.Excitation)
	var w Spectrum
	for i := range w {
		w[i] = interpolate(xs, powers, float64(First+i))
	}
	return w
}
