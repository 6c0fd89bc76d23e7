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
	isotherm := isothermAt(kelvin)
	step := 0
	for step < len(ladder)-2 && !isotherm.colder(ladder[step+1].XYZ()) {
		step++
	}
	return isotherm.blend(&ladder[step], &ladder[step+1]), nil
}

// isotherm is the line in CIE 1960 uv of all colours with one correlated
// temperature: square to the Planckian locus at it.
type isotherm struct{ u, v, du, dv float64 }

func isothermAt(kelvin float64) isotherm {
	const part = 1e-4
	u, v := uv1960(planck(kelvin).UV())
	u1, v1 := uv1960(planck(kelvin * (1 - part)).UV())
	u2, v2 := uv1960(planck(kelvin * (1 + part)).UV())
	return isotherm{u, v, u2 - u1, v2 - v1}
}

// colder reports whether c is on the bluish side.
func (t isotherm) colder(c XYZ) bool {
	u, v := uv1960(c.UV())
	return (u-t.u)*t.du+(v-t.v)*t.dv > 0
}

// blend mixes a warm and a cold source so as to lie on the isotherm.
func (t isotherm) blend(warm, cold *Spectrum) Spectrum {
	w, c := warm.XYZ(), cold.XYZ()
	low, high := 0.0, 1.0
	for range 50 {
		if share := (low + high) / 2; t.colder(w.Times(1-share).Plus(c, share)) {
			high = share
		} else {
			low = share
		}
	}
	s := *warm
	s.Scale(1-low).Add(cold, low)
	return *s.Normalise()
}
