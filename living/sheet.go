package living

import "math"

// Sheets: in every cell of sheetCell seconds there may be one, at any instant
// of the cell, of any height up to the highest. It comes and goes as
//
//	(1-u²)²   u from -1 at sheetRise seconds before its top to 1 at sheetFall after it
//
// A brightening this slow is a change of light and no flash: its fall comes
// more than a second after its rise. Rate, times and heights are choices.
const (
	sheetCell    = 14.0 // s
	sheetRise    = 0.9  // s
	sheetFall    = 2.4  // s
	sheetHighest = 1.6
	sheetOften   = 0.7 // share of cells that have one
)

// sheet is what sheets add at s seconds. They are so short that beside those of the cell
// only those of the nearer neighbour can reach it.
func sheet(seed uint64, s float64) float64 {
	x := s / sheetCell
	cell := math.Floor(x)
	place := x - cell
	other := 1.0
	if place < 0.5 {
		other = -1
	}
	return float64(sheetHighest * (oneSheet(seed, cell, place) + oneSheet(seed, cell+other, place-other)))
}

func oneSheet(seed uint64, cell, place float64) float64 {
	h := mixed(seed + uint64(int64(cell))*step)
	height := share(h<<32) / sheetOften
	if height > 1 {
		return 0
	}
	u := sheetCell * (place - share(h))
	if u < 0 {
		u /= sheetRise
	} else {
		u /= sheetFall
	}
	q := max(1-float64(u*u), 0)
	return float64(height * q * q)
}
