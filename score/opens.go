package score

import (
	"fmt"

	"lampblack/si"
	"lampblack/source"
)

// Draws are how one curtain opens and closes through the play, in their order. Before the first
// of them it is as the room has it, closed; after each as that left it.
type Draws []Draw

// Draw is one opening or closing: when it begins, how far it is open then, and how long it takes.
type Draw struct {
	source.Pos
	Going
	To Openness `key:"to,required"`
}

// MostDraws bounds the openings of one curtain.
const MostDraws = 200

// Openness is how far a curtain is open: 0 is closed, 1 is gone.
type Openness float64

const opennessForms = "open, closed, or how far: 30 %"

// Units says how the value is written.
func (Openness) Units() string { return opennessForms }

// UnmarshalText reads one of the forms.
func (o *Openness) UnmarshalText(b []byte) error {
	switch string(b) {
	case "open":
		*o = 1
		return nil
	case "closed":
		*o = 0
		return nil
	}
	var r si.Ratio
	if err := r.UnmarshalText(b); err != nil || r < 0 || r > 1 {
		return fmt.Errorf("%q does not say how far it is open: %s", string(b), opennessForms)
	}
	*o = Openness(r)
	return nil
}

// checkDraws holds openings to cues that are there.
func (s *Score) checkDraws(faults *source.Faults) {
	numbers := s.numbers()
	for i := range s.Opens {
		e := &s.Opens[i]
		keepGood(e, MostDraws, "openings", faults, func(d *Draw) bool { return d.Going.check(d.Pos, "an opening of "+e.Name, numbers, faults) })
	}
}
