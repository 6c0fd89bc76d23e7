package lm63

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
)

// Edition is the year of the standard.
type Edition int

// Editions lists them.
var Editions = []Edition{1986, 1991, 1995, 2002, 2019}

// magic is the first line of a file of each edition.
var magic = map[Edition]string{1991: "IESNA91", 1995: "IESNA:LM-63-1995", 2002: "IESNA:LM-63-2002", 2019: "IES:LM-63-2019"}

// Photometry is how the angles of the table are measured.
type Photometry int

// Types of photometry, as a file numbers them. In C horizontal angles turn about the photometric
// axis, counter-clockwise as seen from above, and vertical ones are off that axis. In A horizontal angles
// turn about the upright axis and vertical ones are above the level; in B vertical angles turn about
// the axis that lies across, and horizontal ones are off the upright plane (from memory).
const (
	C Photometry = 1 + iota
	B
	A
)

// String is the letter of the type.
func (p Photometry) String() string { return string(" CBA"[max(0, min(int(p), 3))]) }

// Keyword is a line [NAME] text; of a line without a name, or of the free text of 1986, Name is
// empty.
type Keyword struct{ Name, Text string }

// Tilt is how light depends on the way that the lamp lies in a tilted luminaire.
type Tilt struct {
	File     string // the name of another file that has the table, which is not read
	Lies     int    // 1 to 3: how the lamp lies in the luminaire
	Angles   []float64
	Factors  []float64
	Included bool
}

// File is one intensity table.
type File struct {
	Edition    Edition
	Keywords   []Keyword
	Tilt       Tilt
	Lamps      int
	Lumens     float64 // of one lamp; -1 for absolute photometry
	Multiplier float64
	Type       Photometry
	Feet       bool       // sizes are in feet, not in metres
	Size       [3]float64 // width, length, height of the luminous opening; negative for round ones
	Ballast    float64    // factor
	Third      float64    // see [File.Factor]
	Watts      float64
	Vertical   []float64   // degrees, rising
	Horizontal []float64   // degrees, rising
	Table      [][]float64 // by horizontal angle, then vertical

	Notes []string // doubts of reading
}

// Absolute tells whether the candela are those of the luminaire as measured, and not for lamps of so many
// lumens.
func (f *File) Absolute() bool { return f.Lumens < 0 }

// Factor is what the table is multiplied by: multiplier, ballast factor and, until 1995, the third
// number.
func (f *File) Factor() float64 {
	k := f.Multiplier * f.Ballast
	if f.Edition <= 1995 {
		k *= f.Third
	}
	return k
}

// Metres returns the size of the luminous opening in metres.
func (f *File) Metres() [3]float64 {
	out := f.Size
	if f.Feet {
		for i := range out {
			out[i] *= .3048
		}
	}
	return out
}

// mostAngles bounds the angles each way: a table a quarter of a degree fine has 1441.
const mostAngles = 4000

// Check returns all that is wrong with the table, joined: counts, angles that do not rise or that
// the type does not have, negative candela, missing keywords that the edition wants.
func (f *File) Check() error {
	var errs []error
	add := func(format string, args ...any) { errs = append(errs, fmt.Errorf("intensity table: "+format, args...)) }
	if !slices.Contains(Editions, f.Edition) {
		add("edition %d: want one of %v", f.Edition, Editions)
	}
	if f.Type < C || f.Type > A {
		add("photometric type %d: want 1 (C), 2 (B) or 3 (A)", f.Type)
	}
	if !(f.Factor() > 0) || math.IsInf(f.Factor(), 0) {
		add("its factors come to %g, want more than 0", f.Factor())
	}
	if len(f.Table) != len(f.Horizontal) {
		add("%d columns for %d horizontal angles", len(f.Table), len(f.Horizontal))
	}
	for i, col := range f.Table {
		if len(col) != len(f.Vertical) {
			add("column %d: %d values for %d vertical angles", i+1, len(col), len(f.Vertical))
		}
		for _, v := range col {
			if !(v >= 0) || v > 1e12 {
				add("column %d: %g cd", i+1, v)
				break
			}
		}
	}
	vertical, horizontal := [2]float64{0, 180}, [2]float64{0, 360}
	if f.Type != C {
		vertical, horizontal = [2]float64{-90, 90}, [2]float64{-90, 90}
	}
	errs = append(errs, rising("vertical", f.Vertical, vertical), rising("horizontal", f.Horizontal, horizontal))
	return errors.Join(append(errs, f.checkWords())...)
}

// rising holds angles inside their span, in order.
func rising(what string, list []float64, span [2]float64) error {
	if len(list) == 0 || len(list) > mostAngles {
		return fmt.Errorf("intensity table: %d %s angles: want 1 to %d", len(list), what, mostAngles)
	}
	for i, a := range list {
		if !(a >= span[0] && a <= span[1]) {
			return fmt.Errorf("intensity table: %s angle %g° lies outside %g° to %g°", what, a, span[0], span[1])
		}
		if i > 0 && a <= list[i-1] {
			return fmt.Errorf("intensity table: %s angle %g° does not come after %g°", what, a, list[i-1])
		}
	}
	return nil
}

// wanted are the keywords without which an edition is not complete.
func (e Edition) wanted() []string {
	switch {
	case e >= 2002:
		return []string{"TEST", "TESTLAB", "ISSUEDATE", "MANUFAC"}
	case e == 1995, e == 1991:
		return []string{"TEST", "MANUFAC"}
	}
	return nil
}

func (f *File) checkWords() error {
	for _, want := range f.Edition.wanted() {
		if !slices.ContainsFunc(f.Keywords, func(k Keyword) bool { return strings.EqualFold(k.Name, want) }) {
			return fmt.Errorf("intensity table: edition %d wants the keyword %s", f.Edition, want)
		}
	}
	for _, k := range f.Keywords {
		if strings.ContainsAny(k.Name+k.Text, "\r\n[]") || strings.HasPrefix(strings.ToUpper(k.Text), "TILT") {
			return fmt.Errorf("intensity table: keyword %q: %q does not fit a line", k.Name, k.Text)
		}
	}
	return nil
}
