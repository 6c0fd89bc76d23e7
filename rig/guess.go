package rig

import "lampblack/si"

// Guess says which values of a unit were not written but guessed.
type Guess uint8

// What may be guessed of a unit.
const (
	GuessedPlace Guess = 1 << iota // At
	GuessedAim                     // Aim
	GuessedMode                    // Mode: the first of a built-in type
	GuessedLens                    // what of the front shines: its type does not say
)

// Guessed tells whether a value of the unit, or one of several, is a guess.
func (u *Unit) Guessed(what Guess) bool { return u.guessed&what != 0 }

// What is guessed to shine of each cell where a type has no lens: lenses and naked chips fill from a
// tenth of the front of a cheap unit to all of it (common practice, no source). A front of which
// nobody gave the size is that of a small unit.
const smallFront = .1 // m, each way

var shiningShare = si.Estimate[si.Ratio]{Best: .4, Low: .1, High: 1}

// Shining is the area of one light opening in m²: of the lens, or a guess with its interval. The
// smaller it is the brighter the unit is to look into.
func (t *Type) Shining() (area si.Estimate[si.Ratio], guessed bool) {
	if t.Lens[0] > 0 && t.Lens[1] > 0 {
		a := si.Ratio(t.Lens[0] * t.Lens[1])
		return si.Estimate[si.Ratio]{Best: a, Low: a, High: a}, false
	}
	front := si.Ratio(smallFront * smallFront)
	if t.Size[0] > 0 && t.Size[1] > 0 {
		front = si.Ratio(t.Size[0]) / si.Ratio(t.CellCount()) * si.Ratio(t.Size[1])
	}
	s := shiningShare
	return si.Estimate[si.Ratio]{Best: front * s.Best, Low: front * s.Low, High: front * s.High}, true
}

// Hang puts the unit where it is guessed to hang.
func (u *Unit) Hang(at [3]si.Length) {
	u.At, u.guessed = at, u.guessed|GuessedPlace
}

// Point aims the unit where it is guessed to aim.
func (u *Unit) Point(aim [3]si.Length) {
	u.Aim, u.guessed = aim, u.guessed|GuessedAim
}

// Says tells whether the unit's text has its place, and its aim.
func (u *Unit) Says() (at, aim bool) { return u.Hung != nil, u.Aimed != nil }

// Ultraviolet tells whether the unit can give black light.
func (u *Unit) Ultraviolet() bool {
	if u.Type == nil {
		return false
	}
	for i := range u.Type.Emitters {
		if u.Type.Emitters[i].Value.Light.BlackLight() {
			return true
		}
	}
	return false
}
