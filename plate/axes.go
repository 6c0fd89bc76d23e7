package plate

import (
	"fmt"
	"math"
	"strconv"

	"lampblack/plate/drawing"
)

// axes maps values to a box of pixels and draws its frame.
type axes struct {
	left, top, width, height float64 // pixels
	x0, x1, y0, y1           float64 // values
}

// x and y are the pixels of a value. y counts up where pixels count down.
func (a *axes) x(v float64) float64 { return a.left + (v-a.x0)/(a.x1-a.x0)*a.width }
func (a *axes) y(v float64) float64 { return a.top + a.height - (v-a.y0)/(a.y1-a.y0)*a.height }

func (a *axes) at(x, y float64) drawing.Point { return drawing.Point{a.x(x), a.y(y)} }

// frame draws box, grid and numbers at multiples of the steps, and the names of
// both axes with their units.
func (a *axes) frame(d *drawing.Drawing, stepX, stepY float64, nameX, nameY string) {
	bottom := a.top + a.height
	// Multiples are counted, not added up, so that rounding cannot lose the last.
	for i := math.Ceil(a.x0/stepX - 1e-9); i*stepX <= a.x1+stepX*1e-9; i++ {
		x := a.x(i * stepX)
		d.Line(x, a.top, x, bottom, pale, 1)
		d.Label(x, bottom+17, drawing.Centre, drawing.Ink, tick(i*stepX, stepX))
	}
	for i := math.Ceil(a.y0/stepY - 1e-9); i*stepY <= a.y1+stepY*1e-9; i++ {
		y := a.y(i * stepY)
		d.Line(a.left, y, a.left+a.width, y, pale, 1)
		d.Label(a.left-7, y+4.5, drawing.Right, drawing.Ink, tick(i*stepY, stepY))
	}
	d.Box(a.left, a.top, a.width, a.height, none, drawing.Ink)
	d.Label(a.left+a.width/2, bottom+38, drawing.Centre, drawing.Ink, nameX)
	d.Add(&drawing.Text{At: drawing.Point{a.left - 48, a.top + a.height/2}, Words: nameY, Anchor: drawing.Centre, Fill: drawing.Ink, Turned: true})
}

// tick prints a multiple of a step with the digits that the step has. What prints as
// nought has no sign, also when rounding left -1e-17.
func tick(v, step float64) string {
	digits := max(0, int(math.Ceil(-math.Log10(step)-1e-9)))
	if s := fmt.Sprintf("%.*f", digits, math.Abs(v)); v == 0 || s == fmt.Sprintf("%.*f", digits, 0.) {
		return s
	}
	return strconv.FormatFloat(v, 'f', digits, 64)
}

// step is 1, 2 or 5 times a power of ten, such that top takes about count of it.
func step(top float64, count int) float64 {
	raw := top / float64(count)
	power := math.Pow(10, math.Floor(math.Log10(raw)))
	for _, m := range []float64{1, 2, 5} {
		if raw <= m*power*(1+1e-9) {
			return m * power
		}
	}
	return 10 * power
}
