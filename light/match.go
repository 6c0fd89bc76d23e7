package light

import (
	"fmt"
	"math"
)

// Match is one colour mixed by several unlike fixture types.
type Match struct {
	Colour XYZ         // what every type aims at
	Miss   float64     // CIEDE2000 of Colour from the target
	Spread float64     // greatest CIEDE2000 between any two types
	Drives [][]float64 // by type, then emitter
	Got    []Mixture   // by type; Miss is from Colour
	Shared bool        // a chromaticity exists that all types reach
}

// CommonGamut returns the chromaticities that all types reach; it is empty
// when there are none.
func CommonGamut(types []*Mixer) Gamut {
	if len(types) == 0 {
		return nil
	}
	common := types[0].gamut
	for _, m := range types[1:] {
		common = common.Intersect(m.gamut)
	}
	return common
}

// Together mixes one colour on several unlike types at equal luminance. The
// emitters of all types must be in one unit, such as lux where the light
// lands. A target out of the common gamut moves to the nearest colour in it;
// its luminance is the target's, or for Brightest the greatest, that the
// weakest type can give. Exact is taken as Hue: a match gives up light first.
// Types without a common chromaticity each come as near to a middle as they
// can, and Shared is false.
func Together(types []*Mixer, target XYZ, goal Goal) (Match, error) {
	if len(types) == 0 {
		return Match{}, fmt.Errorf("match: no fixture types")
	}
	if !target.visible() {
		return Match{}, fmt.Errorf("match: target %v is no colour of light", target)
	}
	wanted := target.UV()
	common := CommonGamut(types)
	match := Match{Shared: len(common) > 0}
	if match.Shared {
		wanted, _ = common.Nearest(wanted)
	} else {
		wanted = between(types, wanted)
	}
	y := target.Y
	if goal == Brightest {
		y = math.Inf(1)
	}
	for _, m := range types {
		near, _ := m.gamut.Nearest(wanted)
		y = min(y, (1-headroom)*m.Most(near))
	}
	match.Colour = wanted.XY().XYZ(y)
	for _, m := range types {
		drives := make([]float64, m.n)
		match.Got = append(match.Got, m.Mix(drives, match.Colour, Hue))
		match.Drives = append(match.Drives, drives)
	}
	match.measure(target, goal)
	return match, nil
}

func (match *Match) measure(target XYZ, goal Goal) {
	if goal == Brightest {
		match.Miss = DeltaE2000(labOf(match.Colour.UV()), labOf(target.UV()))
	} else {
		match.Miss = difference(match.Colour, target)
	}
	if match.Colour.Y <= 0 {
		return
	}
	white := WhiteD65.XYZ(match.Colour.Y)
	for i, a := range match.Got {
		for _, b := range match.Got[:i] {
			match.Spread = max(match.Spread, DeltaE2000(a.Colour.Lab(white), b.Colour.Lab(white)))
		}
	}
}

// between pulls a chromaticity to and fro between gamuts that do not meet: it
// ends in the middle of what is nearest in each.
func between(types []*Mixer, c UV) UV {
	for range 50 {
		var sum UV
		for _, m := range types {
			p := m.gamut.closest(c)
			sum.U += p.U / float64(len(types))
			sum.V += p.V / float64(len(types))
		}
		c = sum
	}
	return c
}
