package light

import (
	"fmt"
	"math"
)

// Match is one colour mixed by several unlike fixture types.
type Match struct {
	Colour XYZ         // what every type aims at
	Miss   float64     // CIEDE2000 of Colour from the target; as Nearest has it for Brightest
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

// Nearest returns the chromaticity that looks nearest to c of all that every
// type reaches, where it is mixed at a level, 0 to 1, of the brightest that
// they all have, and its CIEDE2000 from c (see Gamut.Nearest; white is the
// least that a type gives with all its emitters). Where there is none that all
// reach it is a middle.
func Nearest(types []*Mixer, c UV, level float64) (UV, float64) {
	common := CommonGamut(types)
	foot := common.closest(c)
	if len(common) == 0 {
		foot = between(types, c)
	}
	return nearest(types, common, c, min(max(level, 0), 1)*most(types, foot))
}

// nearest is Nearest with the luminance given, or the greatest if that is less.
func nearest(types []*Mixer, common Gamut, c UV, y float64) (UV, float64) {
	foot := common.closest(c)
	if foot.Distance(c) <= same {
		return foot, 0
	}
	if len(common) == 0 {
		foot = between(types, c)
	}
	white := math.Inf(1)
	for _, m := range types {
		white = min(white, m.white)
	}
	// In next to no light all colours are one: what is darker than a thousandth
	// of white is judged at that.
	y = max(min(y, most(types, foot)), 1e-3*white)
	if len(common) == 0 {
		return foot, apart(foot, c, y, white)
	}
	return common.Nearest(c, y, white)
}

// most is the greatest luminance that all types have at a chromaticity.
func most(types []*Mixer, c UV) float64 {
	y := math.Inf(1)
	for _, m := range types {
		y = min(y, m.Most(m.gamut.closest(c)))
	}
	return y
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
	common := CommonGamut(types)
	match := Match{Shared: len(common) > 0}
	y := target.Y
	if goal == Brightest {
		y = math.Inf(1)
	}
	wanted, miss := nearest(types, common, target.UV(), y)
	y = min(y, (1-headroom)*most(types, wanted))
	match.Colour = wanted.XY().XYZ(y)
	for _, m := range types {
		drives := make([]float64, m.n)
		match.Got = append(match.Got, m.Mix(drives, match.Colour, Hue))
		match.Drives = append(match.Drives, drives)
	}
	match.Miss = miss
	if goal != Brightest {
		match.Miss = difference(match.Colour, target)
	}
	match.measure()
	return match, nil
}

// measure fills in the spread.
func (match *Match) measure() {
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
