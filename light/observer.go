package light

import "lampblack/si"

// Luminous efficacies in lm/W: CIE 018:2019 gives 683 at 540 THz for both
// eyes; the scotopic curve then peaks at 1700.
const (
	Km      = 683.0
	KmPrime = 1700.0
)

// observer holds the colour-matching functions from 360 to 830 nm, beyond the
// grid, as the Planckian locus at low temperatures needs them.
var (
	observer = mustTable("observer.csv")

	barX, barY, barZ = observer.spectrum("x"), observer.spectrum("y"), observer.spectrum("z")
	barScotopic      = observer.spectrum("scotopic")
	barVM            = observer.spectrum("VM")
	barVF            = observer.spectrum("VF")
	actinic          = mustTable("actinic.csv").spectrum("S")
	blueLight        = mustTable("bluelight.csv").spectrum("B")
	uva              = band(UVAFirst, UVALast)
)

// band is 1 within and 0 outside.
func band(from, to int) Spectrum {
	var s Spectrum
	for nm := from; nm <= to; nm++ {
		s[nm-First] = 1
	}
	return s
}

// ActinicUV is S(λ) from 300 nm, Directive 2006/25/EC annex I table 1.2.
func ActinicUV() Spectrum { return actinic }

// BlueLight is B(λ) of IEC 62471:2006 table 4.2, linear between its 5 nm rows.
func BlueLight() Spectrum { return blueLight }

// LuminousFlux returns 683 ∫ s V, in lumens for watts per nanometre.
func (s *Spectrum) LuminousFlux() si.LuminousFlux { return si.LuminousFlux(Km * s.Weighted(&barY)) }

// Scotopic returns 1700 ∫ s V', in scotopic lumens.
func (s *Spectrum) Scotopic() si.LuminousFlux {
	return si.LuminousFlux(KmPrime * s.Weighted(&barScotopic))
}

// Seen returns 683 ∫ s VM: lumens as the eye takes violet (see JuddVos).
func (s *Spectrum) Seen() si.LuminousFlux { return si.LuminousFlux(Km * s.Weighted(&barVM)) }

// UVA returns the watts between 315 and 400 nm.
func (s *Spectrum) UVA() si.Power { return si.Power(s.Weighted(&uva)) }

// Efficacy is lumens per radiant watt (LER), 0 for a dark spectrum.
func (s *Spectrum) Efficacy() float64 {
	p := float64(s.Power())
	if p == 0 {
		return 0
	}
	return float64(s.LuminousFlux()) / p
}

// XYZ returns CIE 1931 tristimulus values with Y in lumens.
func (s *Spectrum) XYZ() XYZ {
	return XYZ{Km * s.Weighted(&barX), Km * s.Weighted(&barY), Km * s.Weighted(&barZ)}
}
