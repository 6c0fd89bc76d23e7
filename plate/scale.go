package plate

import (
	"fmt"
	"image/color"
	"math"
)

// shades runs from dark blue to yellow with even steps of lightness and without
// red against green, so that all kinds of colour vision and a grey print read
// it alike; after cividis (Nuñez, Anderton and Renslow, PLOS ONE 13(7), 2018).
var shades = [...][3]float64{
	{0, 32, 77}, {49, 68, 107}, {102, 105, 112}, {149, 143, 120}, {203, 186, 105}, {255, 234, 70},
}

// shade is the colour for a share from 0 to 1.
func shade(share float64) color.NRGBA {
	x := min(max(share, 0), 1) * float64(len(shades)-1)
	i := min(int(x), len(shades)-2)
	f := x - float64(i)
	var c [3]uint8
	for k := range c {
		c[k] = uint8(math.Round(shades[i][k] + f*(shades[i+1][k]-shades[i][k])))
	}
	return color.NRGBA{c[0], c[1], c[2], 255}
}

// decades is a logarithmic scale from low to high.
type decades struct{ low, high float64 }

// share is where a value lies on the scale, 0 at low and under it, 1 at high; a NaN is 0.
func (d decades) share(v float64) float64 {
	if !(v > d.low) {
		return 0
	}
	return math.Log(v/d.low) / math.Log(d.high/d.low)
}

// steps lists these multiples of powers of ten within the scale.
func (d decades) steps(multiples ...float64) []float64 {
	var out []float64
	for e := math.Floor(math.Log10(d.low)); e <= math.Log10(d.high); e++ {
		for _, m := range multiples {
			if v := m * math.Pow(10, e); v >= d.low*(1-1e-9) && v <= d.high*(1+1e-9) {
				out = append(out, v)
			}
		}
	}
	return out
}

// around makes a scale of three decades whose top is 1, 2 or 5 times a power of ten, the
// first that holds the largest of the values. Where nothing is lit it is 0.1 to 100.
func around(values []float64) decades {
	most := 0.0
	for _, v := range values {
		if v > most && !math.IsInf(v, 1) {
			most = v
		}
	}
	if most <= 0 {
		return decades{.1, 100}
	}
	top := step(most, 1)
	return decades{top / 1000, top}
}

// plain prints a value of a scale without noughts that say nothing.
func plain(v float64) string {
	s := fmt.Sprintf("%.3g", v)
	if v >= 1000 {
		s = fmt.Sprintf("%.0f", v)
	}
	return s
}
