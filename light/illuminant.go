package light

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"sync"

	"lampblack/si"
)

var illuminants = sync.OnceValue(func() map[string]Spectrum {
	t := mustTable("illuminants.csv")
	all := map[string]Spectrum{"A": illuminantA(), "E": Grey(1)}
	for name := range t.columns {
		all[name] = t.spectrum(name)
	}
	return all
})

// illuminantA is CIE illuminant A by its defining formula (CIE 015:2018),
// a Planckian of 2848 K with c2 = 1.435e-2 m·K, 100 at 560 nm.
func illuminantA() Spectrum {
	var s Spectrum
	for i := range s {
		s[i] = 100 * planckian(float64(First+i), 2848*1.4388/1.435)
	}
	return s
}

// Illuminant returns one watt of a CIE standard illuminant: A, D65, E, or one
// of the LED illuminants of CIE 015:2018: LED-B1 to LED-B5 (blue-pumped, 2733
// to 6598 K), LED-BH1, LED-RGB1, LED-V1 and LED-V2 (violet-pumped: these
// excite paints).
func Illuminant(name string) (Spectrum, error) {
	s, ok := illuminants()[strings.ToUpper(strings.TrimSpace(name))]
	if !ok {
		names := slices.Sorted(maps.Keys(illuminants()))
		return s, fmt.Errorf("%q is no CIE illuminant known here: use %s", name, strings.Join(names, ", "))
	}
	s.Normalise()
	return s, nil
}

// BlackBody returns one watt, on the grid, of an incandescent source.
func BlackBody(kelvin float64) (Spectrum, error) {
	var s Spectrum
	if _, err := Planckian(kelvin); err != nil {
		return s, err
	}
	for i := range s {
		s[i] = planckian(float64(First+i), kelvin)
	}
	s.Normalise()
	return s, nil
}

// Like returns one watt of the source that a fixture file names:
// "phosphor 4000 K", "black body 3200 K", or "CIE LED-V1".
func Like(text string) (Spectrum, error) {
	text = strings.TrimSpace(text)
	for _, kind := range []struct {
		prefix string
		of     func(float64) (Spectrum, error)
	}{{"phosphor ", Phosphor}, {"black body ", BlackBody}} {
		if rest, ok := strings.CutPrefix(text, kind.prefix); ok {
			var t si.Temperature
			if err := t.UnmarshalText([]byte(rest)); err != nil {
				return Spectrum{}, err
			}
			return kind.of(float64(t))
		}
	}
	if name, ok := strings.CutPrefix(text, "CIE "); ok {
		return Illuminant(name)
	}
	return Spectrum{}, fmt.Errorf("source %q: write %q, %q or %q", text, "phosphor 4000 K", "black body 3200 K", "CIE LED-V1")
}
