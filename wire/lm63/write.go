package lm63

import (
	"fmt"
	"strconv"
)

// widest is how long a line of numbers becomes; the standard lets lines of numbers be 132 and more
// long (from memory).
const widest = 78

// Append appends the file, by its edition, to b. It returns what Check finds.
func (f *File) Append(b []byte) ([]byte, error) {
	if err := f.Check(); err != nil {
		return nil, err
	}
	line := func(format string, args ...any) { b = append(fmt.Appendf(b, format, args...), "\r\n"...) }
	if m := magic[f.Edition]; m != "" {
		line("%s", m)
	}
	for _, k := range f.Keywords {
		if k.Name == "" {
			line("%s", k.Text)
		} else {
			line("[%s] %s", k.Name, k.Text)
		}
	}
	switch {
	case f.Tilt.Included:
		line("TILT=INCLUDE")
		line("%d", f.Tilt.Lies)
		line("%d", len(f.Tilt.Angles))
		b = list(list(b, f.Tilt.Angles), f.Tilt.Factors)
	case f.Tilt.File != "":
		line("TILT=%s", f.Tilt.File)
	default:
		line("TILT=NONE")
	}
	units := 2
	if f.Feet {
		units = 1
	}
	b = list(b, append([]float64{float64(f.Lamps), f.Lumens, f.Multiplier, float64(len(f.Vertical)), float64(len(f.Horizontal)), float64(f.Type), float64(units)}, f.Size[:]...))
	b = list(b, []float64{f.Ballast, f.Third, f.Watts})
	b = list(list(b, f.Vertical), f.Horizontal)
	for _, col := range f.Table {
		b = list(b, col)
	}
	return b, nil
}

// list writes numbers with blanks between, wrapped.
func list(b []byte, values []float64) []byte {
	start := len(b)
	for i, v := range values {
		text := strconv.FormatFloat(v+0, 'f', -1, 64)
		switch {
		case i == 0:
		case len(b)-start+1+len(text) > widest:
			b = append(b, "\r\n"...)
			start = len(b)
		default:
			b = append(b, ' ')
		}
		b = append(b, text...)
	}
	return append(b, "\r\n"...)
}
