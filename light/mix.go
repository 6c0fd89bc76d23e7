package light

import (
	"fmt"
	"math"

	"lampblack/si"
)

// MaxEmitters is the most colours of light that one Mixer drives.
const MaxEmitters = 16

// Goal says what a mix should be good at.
type Goal int

const (
	// Brightest gives the target's chromaticity as bright as it can be; the
	// target's luminance is ignored. See Nearest for one that is out of reach.
	Brightest Goal = iota
	// Exact gives the target with the least power; out of reach, the nearest
	// colour by CIEDE2000, lightness included.
	Exact
	// Hue gives the target's chromaticity, or where that is too bright to
	// reach, as bright as it gets less the headroom: dimmer rather than paler.
	// This is the goal for a target that moves: it shares the work out among
	// the emitters, for 4 % more power than the least on average.
	Hue
)

// headroom is what Hue stays below the brightest mix. At the very top only one
// recipe is left and a moving colour makes it race; 2 % of light (0.7 in L*)
// below, the steepest of 200 random paths turned drives ten times more slowly.
const headroom = .02

// beyond is more than any lamp gives, in lumens, lux or watts; its inverse is
// darkness.
const beyond = 1e12

// Mixture is what a mix came to.
type Mixture struct {
	Colour XYZ      // reached, in the unit of the emitters
	Miss   float64  // CIEDE2000 from the target; as Nearest has it for Brightest
	Power  si.Power // of the emitters that are on
}

// Mixer mixes the emitters of one fixture type. It is read-only once made.
//
// An ultraviolet emitter that is passed in is a violet primary like any other,
// if a dim one: leave it out where it serves another purpose.
type Mixer struct {
	n     int
	full  [MaxEmitters]XYZ
	watts [MaxEmitters]float64
	scale float64 // longest column to 1
	white float64 // luminance of all emitters together
	base  recipe
	faces []face
	gamut Gamut
}

// NewMixer takes each emitter's colour at full drive, in any absolute unit
// (lumens of the unit, or lux where it lands), and its power in watts, or nil
// if all count the same.
//
// It refuses numbers that would make the solver meaningless rather than wrong inputs
// alone: negative or not finite, beyond any lamp, or of so little luminance for their X and
// Z that the colour is no light's. An emitter that is dark stays in, and is never used.
func NewMixer(emitters []XYZ, watts []float64) (*Mixer, error) {
	if len(emitters) == 0 || len(emitters) > MaxEmitters {
		return nil, fmt.Errorf("mix: %d emitters, want 1 to %d", len(emitters), MaxEmitters)
	}
	if watts != nil && len(watts) != len(emitters) {
		return nil, fmt.Errorf("mix: %d powers for %d emitters", len(watts), len(emitters))
	}
	m := &Mixer{n: len(emitters)}
	longest, strongest := 0.0, 0.0
	for i, c := range emitters {
		m.full[i], m.watts[i] = c, 1
		if watts != nil {
			m.watts[i] = watts[i]
		}
		if err := checkEmitter(c, m.watts[i]); err != nil {
			return nil, fmt.Errorf("mix: emitter %d has %w", i+1, err)
		}
		m.white += c.Y
		longest = max(longest, math.Sqrt(c.X*c.X+c.Y*c.Y+c.Z*c.Z))
		strongest = max(strongest, m.watts[i])
	}
	if longest < 1/beyond {
		return nil, fmt.Errorf("mix: all emitters are dark")
	}
	m.scale = 1 / longest
	m.prepare(strongest)
	return m, nil
}

// checkEmitter refuses a colour or a power that no emitter has. The comparisons are
// written so that a NaN fails them.
func checkEmitter(c XYZ, watts float64) error {
	switch {
	case !(c.X >= 0 && c.Y >= 0 && c.Z >= 0 && max(c.X, c.Y, c.Z) < beyond):
		return fmt.Errorf("the colour %v: want values from zero to %g", c, beyond)
	case c.Y < 1e-6*(c.X+c.Z):
		return fmt.Errorf("the colour %v: no light has so little luminance for its X and Z", c)
	case !(watts >= 0 && watts < beyond):
		return fmt.Errorf("%v W: want zero to %g", watts, beyond)
	}
	return nil
}

// prepare fills what every mix needs: scaled columns, faces and gamut. Columns are scaled
// so that the longest is 1 and prices so that the dearest is 1: then one softness and one
// evenness serve lamps of any size.
func (m *Mixer) prepare(strongest float64) {
	var points []UV
	m.base.n, m.base.evenness = m.n, thrifty
	for i := range m.n {
		m.base.columns[i] = m.scaled(m.full[i])
		m.base.prices[i] = 1
		if strongest > 0 {
			m.base.prices[i] = m.watts[i] / strongest
		}
		if m.full[i] != (XYZ{}) {
			points = append(points, m.full[i].UV())
		}
	}
	m.gamut = GamutOf(points)
	m.faces = facesOf(m.base.columns[:m.n])
}

// scaled is a colour in the recipe's own unit.
func (m *Mixer) scaled(c XYZ) [3]float64 {
	return [3]float64{c.X * m.scale, c.Y * m.scale, c.Z * m.scale}
}

// Gamut returns the chromaticities that the emitters reach.
func (m *Mixer) Gamut() Gamut { return m.gamut }

// Most returns the greatest luminance at a chromaticity, 0 outside the gamut.
func (m *Mixer) Most(c UV) float64 {
	on := m.gamut.closest(c)
	if !(on.Distance(c) <= same) {
		return 0
	}
	at := on.XY().XYZ(1)
	return limit(m.faces, m.scaled(at))
}

// Mix writes the drives (0 to 1) into dst, one for each emitter, and says what
// they come to. A target that is not a colour of light counts as black. It
// does not allocate, and panics when dst is shorter than the emitters.
func (m *Mixer) Mix(dst []float64, target XYZ, goal Goal) Mixture {
	dst = dst[:m.n]
	if !target.visible() {
		clear(dst)
		return m.mixture(dst, XYZ{}, 0)
	}
	types := [1]*Mixer{m}
	level := math.Inf(1)
	if goal != Brightest {
		level = target.Y
	}
	reached, miss := nearest(types[:], m.gamut, target.UV(), level)
	y := m.Most(reached)
	switch goal {
	case Exact:
		if miss > 0 || y < target.Y {
			return m.nearest(dst, target)
		}
		y = target.Y
	case Hue:
		y = min(target.Y, (1-headroom)*y)
	}
	r := m.base
	if goal == Hue {
		r.evenness = smooth
	}
	r.target = m.scaled(reached.XY().XYZ(y))
	r.solve(dst)
	if goal == Hue {
		miss = difference(m.Colour(dst), target)
	}
	return m.mixture(dst, m.Colour(dst), miss)
}

// visible reports whether c is a colour of light that is not black.
func (c XYZ) visible() bool {
	return c.X >= 0 && c.X < beyond && c.Y > 1/beyond && c.Y < beyond && c.Z >= 0 && c.Z < beyond
}

// solve is the thrifty recipe for a colour that can be reached.
func (m *Mixer) solve(dst []float64, target XYZ) {
	r := m.base
	r.target = m.scaled(target)
	r.solve(dst)
}

// mixture adds up the power of the drives.
func (m *Mixer) mixture(drives []float64, colour XYZ, miss float64) Mixture {
	watts := 0.0
	for i := range m.n {
		watts += m.watts[i] * drives[i]
	}
	return Mixture{colour, miss, si.Power(watts)}
}

// difference is CIEDE2000 of c from target, where white is D65 as bright as
// the target: the surface that the look lights is the brightest thing in view.
func difference(c, target XYZ) float64 {
	white := WhiteD65.XYZ(target.Y)
	return DeltaE2000(c.Lab(white), target.Lab(white))
}

// Colour returns what the drives give.
func (m *Mixer) Colour(drives []float64) XYZ {
	var c XYZ
	for i := range m.n {
		c = c.Plus(m.full[i], drives[i])
	}
	return c
}
