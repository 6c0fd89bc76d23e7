package light

import (
	"fmt"

	"lampblack/si"
)

// MaxEmitters is the most colours of light that one Mixer drives.
const MaxEmitters = 16

// Goal says what a mix should be good at.
type Goal int

const (
	// Brightest gives the target's chromaticity as bright as it can be; the
	// target's luminance is ignored.
	Brightest Goal = iota
	// Exact gives the target with the least power; out of reach, the nearest
	// colour by CIEDE2000, lightness included.
	Exact
	// Hue gives the target's chromaticity with the least power; where that is
	// too bright to reach, as bright as it gets: dimmer rather than paler.
	Hue
)

// Mixture is what a mix came to.
type Mixture struct {
	Colour XYZ     // reached, in the unit of the emitters
	Miss   float64 // CIEDE2000 from the target; chromaticity alone for Brightest
	Power  si.Power
}

// Mixer mixes the emitters of one fixture type.
type Mixer struct {
	n     int
	full  [MaxEmitters]XYZ
	watts [MaxEmitters]float64
}

// NewMixer takes each emitter's colour at full drive, in any absolute unit
// (lumens of the unit, or lux where it lands), and its power in watts, or nil
// if all count the same.
func NewMixer(emitters []XYZ, watts []float64) (*Mixer, error) {
	if len(emitters) == 0 || len(emitters) > MaxEmitters {
		return nil, fmt.Errorf("mix: %d emitters, want 1 to %d", len(emitters), MaxEmitters)
	}
	m := &Mixer{n: len(emitters)}
	copy(m.full[:], emitters)
	for i := range m.n {
		m.watts[i] = 1
	}
	copy(m.watts[:], watts)
	return m, nil
}

// Mix writes the drives (0 to 1) into dst, one for each emitter, and says what
// they come to. It does not allocate. dst shorter than the emitters panics.
func (m *Mixer) Mix(dst []float64, target XYZ, goal Goal) Mixture {
	for i := range m.n {
		dst[i] = 1
	}
	return Mixture{Colour: m.Colour(dst)}
}

// Colour returns what the drives give.
func (m *Mixer) Colour(drives []float64) XYZ {
	var c XYZ
	for i := range m.n {
		c = c.Plus(m.full[i], drives[i])
	}
	return c
}

// Mix is NewMixer and Mix in one, for a single use.
func Mix(emitters []XYZ, watts []float64, target XYZ, goal Goal) (drives []float64, mixture Mixture, err error) {
	m, err := NewMixer(emitters, watts)
	if err != nil {
		return nil, mixture, err
	}
	drives = make([]float64, m.n)
	return drives, m.Mix(drives, target, goal), nil
}
