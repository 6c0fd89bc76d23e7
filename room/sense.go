package room

import "lampblack/light"

// Sense is a way to weigh light by wavelength: what a meter, an eye or a limit
// takes of an irradiance.
type Sense int

// The senses, with the unit of their readings.
const (
	Radiant   Sense = iota // all wavelengths of the grid, W/m2
	Photopic               // illuminance, lx, by V of CIE 018:2019
	Scotopic               // for the dark-adapted eye, scotopic lx
	Seen                   // as the eye takes violet, lx, by VM of CIE 086:1990
	UVA                    // 315 nm to 400 nm, W/m2
	BlueLight              // weighted by B of IEC 62471, W/m2
	Actinic                // weighted by S of Directive 2006/25/EC from 300 nm, W/m2
	senses
)

// String names the sense as reports do.
func (s Sense) String() string {
	return [senses]string{"irradiance", "illuminance", "scotopic illuminance", "illuminance with violet", "UV-A", "blue light", "actinic UV"}[s]
}

// Unit is the unit of the sense's readings.
func (s Sense) Unit() string {
	switch s {
	case Photopic, Seen:
		return "lx"
	case Scotopic:
		return "scotopic lx"
	}
	return "W/m²"
}

// Of returns the reading of a spectrum in W/nm or W/m2/nm: its integral with the sense's
// weight, over 300 nm to 780 nm. What lies outside is not seen by any sense.
func (s Sense) Of(x *light.Spectrum) float64 {
	switch s {
	case Photopic:
		return float64(x.LuminousFlux())
	case Scotopic:
		return float64(x.Scotopic())
	case Seen:
		return float64(x.Seen())
	case UVA:
		return float64(x.UVA())
	case BlueLight:
		w := light.BlueLight()
		return x.Weighted(&w)
	case Actinic:
		w := light.ActinicUV()
		return x.Weighted(&w)
	}
	return float64(x.Power())
}
