package rig

import "lampblack/si"

// Guess says which values of a unit were not written but guessed.
type Guess uint8

// What may be guessed of a unit.
const (
	GuessedPlace Guess = 1 << iota // At
	GuessedAim                     // Aim
	GuessedMode                    // Mode: the first of a built-in type
)

// Guessed tells whether a value of the unit, or one of several, is a guess.
func (u *Unit) Guessed(what Guess) bool { return u.guessed&what != 0 }

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
