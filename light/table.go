package light

import (
	"embed"
	"fmt"
	"strconv"
	"strings"
)

//go:embed tables/*.csv
var tableFiles embed.FS

// table is a CSV of ours: "#" lines cite the source, the first row names the
// columns, the first column is the wavelength in nanometres, ascending.
type table struct {
	wavelengths []float64
	columns     map[string][]float64
}

// mustTable reads an embedded table. A fault in it is ours, hence the panic.
func mustTable(name string) table {
	data, err := tableFiles.ReadFile("tables/" + name)
	if err != nil {
		panic("light: " + err.Error())
	}
	t, err := parseTable(string(data))
	if err != nil {
		panic(fmt.Sprintf("light: table %s: %v", name, err))
	}
	return t
}

// parseTable reads a table. Every row has a number in every column.
func parseTable(text string) (table, error) {
	t := table{columns: map[string][]float64{}}
	var names []string
	for line := range strings.Lines(text) {
		line = strings.TrimSpace(line)
		if line == "" || strings.HasPrefix(line, "#") {
			continue
		}
		cells := strings.Split(line, ",")
		if names == nil {
			names = cells
			continue
		}
		if len(cells) != len(names) {
			return t, fmt.Errorf("row %q has %d cells, want %d", line, len(cells), len(names))
		}
		for i, cell := range cells {
			v, err := strconv.ParseFloat(cell, 64)
			if err != nil {
				return t, fmt.Errorf("row %q: %w", line, err)
			}
			if i == 0 {
				t.wavelengths = append(t.wavelengths, v)
			} else {
				t.columns[names[i]] = append(t.columns[names[i]], v)
			}
		}
	}
	return t, nil
}

// spectrum samples a column on the grid, zero outside the table: a table says all that there
// is, and is not carried on beyond its ends.
func (t table) spectrum(column string) Spectrum {
	values, ok := t.columns[column]
	if !ok {
		panic("light: no column " + column)
	}
	var s Spectrum
	for i := range s {
		s[i] = interpolate(t.wavelengths, values, float64(First+i))
	}
	return s
}

// interpolate is linear between ascending xs and zero outside them. xs[low] <= x holds
// throughout, and x < xs[high] but at the last.
func interpolate(xs, ys []float64, x float64) float64 {
	n := len(xs)
	if n == 0 || x < xs[0] || x > xs[n-1] {
		return 0
	}
	low, high := 0, n-1
	for high-low > 1 {
		mid := (low + high) / 2
		if xs[mid] <= x {
			low = mid
		} else {
			high = mid
		}
	}
	if high == low {
		return ys[low]
	}
	share := (x - xs[low]) / (xs[high] - xs[low])
	return ys[low]*(1-share) + ys[high]*share
}
