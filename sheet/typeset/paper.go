package typeset

import (
	"fmt"
	"slices"
	"strings"
)

// Paper is a size of paper, upright, in pixels.
type Paper struct {
	Name          string
	Width, Height float64
}

const (
	inch = 96.
	mm   = inch / 25.4
)

// The sizes: A4 by ISO 216, Letter by ANSI/ASME Y14.1 (its size A).
var (
	A4     = Paper{"A4", 210 * mm, 297 * mm}
	Letter = Paper{"Letter", 8.5 * inch, 11 * inch}
)

// Papers lists the sizes.
var Papers = []Paper{A4, Letter}

// PaperOf is the size of a name, in either case.
func PaperOf(name string) (Paper, error) {
	i := slices.IndexFunc(Papers, func(p Paper) bool { return strings.EqualFold(p.Name, name) })
	if i < 0 {
		return Paper{}, fmt.Errorf("there is no paper %q: there is A4, and Letter", name)
	}
	return Papers[i], nil
}

// Margins. The left one is wide enough to be punched, and holds the bars of what has changed.
const (
	marginLeft  = 18 * mm
	marginRight = 11 * mm
	marginTop   = 11 * mm
	marginFoot  = 9 * mm
)

// Sizes of letters, in pixels: 14 is 10.5 pt, which is read at arm's length.
const (
	Smallest = 9.4 // 7 pt; no table becomes smaller
	Usual    = 14.
	Large    = 18. // 13.5 pt: read in dim light
	footSize = 10.7
	leading  = 1.3 // of the size, from line to line
)

// Room is how wide and high a figure may be that is alone below a title of one line.
func (p Paper) Room(landscape bool) (width, height float64) {
	w, h := p.Width, p.Height
	if landscape {
		w, h = h, w
	}
	return w - marginLeft - marginRight, h - marginTop - marginFoot - 150
}
