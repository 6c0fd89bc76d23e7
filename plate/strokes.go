package plate

import "fmt"

// stroke is how one of several lines is told from the others.
type stroke struct {
	colour, dash string
	marker       int
}

// okabeIto are the dark-enough seven of Okabe and Ito's colours.
var okabeIto = [...]string{"#0072b2", "#d55e00", "#009e73", "#cc79a7", "#e69f00", "#56b4e9", "#000000"}

var dashes = [...]string{"", "7 3", "2 3", "9 3 2 3"}

// strokeOf is the i-th line's: 7 colours, and a dash and marker that repeat out
// of step with them, so that the first 28 all differ in two ways.
func strokeOf(i int) stroke {
	return stroke{okabeIto[i%len(okabeIto)], dashes[i%len(dashes)], i % 4}
}

func (s stroke) style(width float64) string {
	text := fmt.Sprintf(`fill="none" stroke="%s" stroke-width="%s" stroke-linejoin="round"`, s.colour, num(width))
	if s.dash != "" {
		text += fmt.Sprintf(` stroke-dasharray="%s"`, s.dash)
	}
	return text
}

// mark draws the stroke's marker: disc, square, diamond or triangle.
func (d *drawing) mark(x, y float64, s stroke) {
	const r = 4.5
	switch s.marker {
	case 0:
		d.add(`<circle cx="%s" cy="%s" r="%s" fill="%s"/>`, num(x), num(y), num(r), s.colour)
	case 1:
		d.add(`<rect x="%s" y="%s" width="%s" height="%s" fill="%s"/>`, num(x-r+.5), num(y-r+.5), num(2*r-1), num(2*r-1), s.colour)
	case 2:
		d.path([][2]float64{{x, y - r - 1}, {x + r + 1, y}, {x, y + r + 1}, {x - r - 1, y}}, true, fmt.Sprintf(`fill="%s"`, s.colour))
	case 3:
		d.path([][2]float64{{x, y - r - 1}, {x + r + .5, y + r - .5}, {x - r - .5, y + r - .5}}, true, fmt.Sprintf(`fill="%s"`, s.colour))
	}
}
