package light

import "fmt"

// phosphorCoolest and phosphorHottest bound Phosphor: CIE LED-B1 and LED-B5 lie
// at 2733 K and 6598 K; a little outside them the pump is taken down or up.
const (
	phosphorCoolest = 2000.0
	phosphorHottest = 12000.0
)

// Phosphor returns one watt from a white LED of blue pump and phosphor at a
// correlated colour temperature of 2000 to 12000 K. It blends the two
// neighbours among CIE LED-B1 to LED-B5 (CIE 015:2018), and beyond them adds
// a pump (460 nm, 20 nm wide) to B5 or a red phosphor (618 nm, 98 nm wide, as
// phosphor amber LEDs have) to B1, until the temperature is met.
func Phosphor(kelvin float64) (Spectrum, error) {
	if !(kelvin >= phosphorCoolest && kelvin <= phosphorHottest) {
		return Spectrum{}, fmt.Errorf("phosphor white of %v K: want %v to %v K", kelvin, phosphorCoolest, phosphorHottest)
	}
	red, err := LED(618, 98)
	if err != nil {
		return Spectrum{}, err
	}
	pump, err := LED(460, 20)
	if err != nil {
		return Spectrum{}, err
	}
	ladder := []Spectrum{red}
	for _, name := range []string{"LED-B1", "LED-B2", "LED-B3", "LED-B4", "LED-B5"} {
		s, err := Illuminant(name)
		if err != nil {
			return Spectrum{}, err
		}
		ladder = append(ladder, s)
	}
	ladder = append(ladder, pump)
	step := 0
	for step < len(ladder)-2 && step < 5 && temperature(&ladder[step+1]) < kelvin {
		step++
	}
	return blend(&ladder[step], &ladder[step+1], kelvin), nil
}

func temperature(s *Spectrum) float64 {
	k, _, err := CCT(s.XYZ().XY())
	if err != nil {
		panic("light: phosphor without colour: " + err.Error())
	}
	return k
}

// blend mixes a warm and a cold source to the temperature asked.
func blend(warm, cold *Spectrum, kelvin float64) Spectrum {
	low, high := 0.0, 1.0
	var s Spectrum
	for range 40 {
		share := (low + high) / 2
		s = *warm
		s.Scale(1-share).Add(cold, share)
		if temperature(&s) < kelvin {
			low = share
		} else {
			high = share
		}
	}
	s.Normalise()
	return s
}
