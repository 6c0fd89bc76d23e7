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
	var s Spectrum
	spanned(b.Emission, func(i, low int, share float64) {
		s[i] = (1-share)*values[low] + share*values[low+1]
	})
	return s
}

// spanned calls do for every wavelength of the grid that lies between two of ascending ones:
// with the lower one's index, and how far it is on the way to the next.
func spanned(ws []si.Wavelength, do func(i, low int, share float64)) {
	low := 0
	for i := range N {
		x := si.Wavelength(First + i)
		for low < len(ws)-2 && x >= ws[low+1] {
			low++
		}
		if x >= ws[low] && x <= ws[low+1] {
			do(i, low, float64((x-ws[low])/(ws[low+1]-ws[low])))
		}
	}
}

func floats(ws []si.Wavelength) []float64 {
	xs := make([]float64, len(ws))
	for i, w := range ws {
		xs[i] = float64(w)
	}
	return xs
}

// glow shares the irradiance out among the rows and adds them up. A wavelength between
// two rows counts for both by its nearness.
func (b *Bispectral) glow(irradiance *Spectrum) Spectrum {
	parts := make([]float64, len(b.Excitation))
	spanned(b.Excitation, func(i, low int, share float64) {
		parts[low] += (1 - share) * irradiance[i]
		parts[low+1] += share * irradiance[i]
	})
	sum := make([]float64, len(b.Emission))
	for i, part := range parts {
		if part == 0 {
			continue
		}
		for j, v := range b.Factors[i] {
			sum[j] += part * v
		}
	}
	return b.row(sum)
}
