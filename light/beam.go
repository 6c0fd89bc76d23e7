package light

import (
	"fmt"
	"math"

	"lampblack/si"
)

// Shape is how intensity falls off from the axis of a beam.
type Shape string

// The shapes. The choice moves the peak by up to 45 % at the same beam angle.
const (
	Cosine   Shape = "cosine"   // cosⁿθ
	Gaussian Shape = "gaussian" // exp(-ln2 (θ/h)²), h half the beam angle
	Flat     Shape = "flat"     // even to the beam angle, dark outside
	Soft     Shape = "soft"     // exp(-ln2 (θ/h)ᵖ), p such that the tenth fits
)

// Beam is the round beam of one emitter or cell, as a fixture file gives it.
// Half and Tenth are full angles, where intensity is 50 % (beam angle) and
// 10 % (field angle) of the peak. An empty Shape is Soft when Tenth is given
// and Cosine otherwise. Candela, if any, is a measured table and outranks the
// rest; only its shape counts, as flux comes from the emitter. Around, if any, outranks that: tables in half
// planes through the axis, at even turns about it from 0 on, with the same angles off the axis.
type Beam struct {
	Half, Tenth si.Angle
	Shape       Shape
	Candela     []Ray
	Around      [][]Ray
}

// Ray is one row of a measured intensity table: Off is the angle from the
// axis.
type Ray struct {
	Off     si.Angle
	Candela si.LuminousIntensity
}

// Distribution is a Beam made ready: intensity in any direction for one unit
// of flux (1/sr): W/sr for a watt, cd for a lumen.
type Distribution struct {
	shape    Shape
	peak     float64
	half     float64 // half of the beam angle, radians
	exponent float64
	rays     []Ray
	around   [][]Ray // rays is their mean
}

// Distribution checks b and scales it to one unit of flux into the forward
// half space. Half is above 0 and below 180°; a tabulated beam may reach 180°
// off axis.
//
// The beam angle alone does not say how the light falls off, so a shape fills in the
// rest. Each has one number to fit: the cosine's power n = ln ½ / ln cos h puts half of the
// peak at h, and its flux 2π/(n+1) is known; of a soft beam p = ln(ln 10/ln 2)/ln(t/h) puts a
// tenth at t too. What has no closed form is integrated with a peak of 1 first.
func (b Beam) Distribution() (*Distribution, error) {
	if len(b.Around) > 0 {
		return turned(b.Around)
	}
	if len(b.Candela) > 0 {
		return tabulated(b.Candela)
	}
	if err := b.checkAngles(); err != nil {
		return nil, err
	}
	d := &Distribution{shape: b.Shape, half: float64(b.Half) / 2}
	if d.shape == "" {
		d.shape = Cosine
		if b.Tenth != 0 {
			d.shape = Soft
		}
	}
	switch d.shape {
	case Cosine:
		d.exponent = math.Log(.5) / math.Log(math.Cos(d.half))
		d.peak = (d.exponent + 1) / (2 * math.Pi)
	case Gaussian:
		d.exponent = 2
	case Flat:
		d.peak = 1 / (2 * math.Pi * (1 - math.Cos(d.half)))
	case Soft:
		if b.Tenth == 0 {
			return nil, fmt.Errorf("a soft beam needs its field angle (10 %%) beside the beam angle %v", b.Half)
		}
		d.exponent = math.Log(math.Ln10/math.Ln2) / math.Log(float64(b.Tenth/b.Half))
	default:
		return nil, fmt.Errorf("beam shape %q: use cosine, gaussian, flat or soft", b.Shape)
	}
	// Gaussian and Soft.
	if d.peak == 0 {
		d.peak = 1
		d.peak = 1 / d.flux()
	}
	return d, nil
}

// checkAngles refuses angles that no beam of one number has. Below 0.1° the flux is in so
// small a cone that the formulas lose their digits; from 180° on cos h is 0 or less.
func (b Beam) checkAngles() error {
	if !(b.Half >= .1*math.Pi/180 && b.Half < math.Pi) {
		return fmt.Errorf("beam angle %v: want 0.1° to less than 180°, the full angle at half intensity", b.Half)
	}
	if b.Tenth != 0 && !(b.Tenth > b.Half && b.Tenth < math.Pi) {
		return fmt.Errorf("field angle %v: want more than the beam angle %v and less than 180°", b.Tenth, b.Half)
	}
	return nil
}

// flux integrates an exponential beam by Simpson's rule, out to where it has
// fallen below e⁻⁴⁰ or to the edge of the half space.
func (d *Distribution) flux() float64 {
	const steps = 4000
	end := min(math.Pi/2, d.half*math.Pow(40/math.Ln2, 1/d.exponent))
	h := end / steps
	sum := 0.0
	for i := range steps + 1 {
		weight := 2.0
		if i%2 == 1 {
			weight = 4
		}
		if i == 0 || i == steps {
			weight = 1
		}
		theta := float64(i) * h
		sum += weight * d.Intensity(si.Angle(theta)) * math.Sin(theta)
	}
	return 2 * math.Pi * sum * h / 3
}

// tabulated checks a measured table and divides it by its own flux: candelas of any lamp
// with the same optics will do.
func tabulated(rays []Ray) (*Distribution, error) {
	for i, r := range rays {
		if !(r.Off >= 0 && r.Off <= math.Pi) || !finite(float64(r.Candela)) || r.Candela < 0 {
			return nil, fmt.Errorf("intensity table, row %d (%v, %v): want 0° to 180° and zero or more", i+1, r.Off, r.Candela)
		}
		if i > 0 && r.Off <= rays[i-1].Off {
			return nil, fmt.Errorf("intensity table, row %d: %v does not come after %v", i+1, r.Off, rays[i-1].Off)
		}
	}
	if len(rays) < 2 || rays[0].Off != 0 {
		return nil, fmt.Errorf("intensity table: want at least two rows, the first at 0°")
	}
	flux := Flux(rays)
	if flux <= 0 {
		return nil, fmt.Errorf("intensity table: all rows are dark")
	}
	d := &Distribution{rays: append([]Ray(nil), rays...)}
	for i := range d.rays {
		d.rays[i].Candela /= si.LuminousIntensity(flux)
		d.peak = max(d.peak, float64(d.rays[i].Candela))
	}
	return d, nil
}

// turned checks tables about the axis and divides them by the flux of all.
func turned(around [][]Ray) (*Distribution, error) {
	mean := append([]Ray(nil), around[0]...)
	for k, rays := range around[1:] {
		if len(rays) != len(mean) {
			return nil, fmt.Errorf("intensity table, half plane %d: %d rows, and the first has %d", k+2, len(rays), len(mean))
		}
		for i, r := range rays {
			if r.Off != mean[i].Off || r.Candela < 0 {
				return nil, fmt.Errorf("intensity table, half plane %d, row %d: %v at %v, want zero or more at %v", k+2, i+1, r.Candela, r.Off, mean[i].Off)
			}
			mean[i].Candela += r.Candela
		}
	}
	for i := range mean {
		mean[i].Candela /= si.LuminousIntensity(len(around))
	}
	d, err := tabulated(mean)
	if err != nil {
		return nil, err
	}
	if len(around) == 1 {
		return d, nil // round
	}
	flux := si.LuminousIntensity(Flux(mean))
	for _, rays := range around {
		own := append([]Ray(nil), rays...)
		for i := range own {
			own[i].Candela /= flux
			d.peak = max(d.peak, float64(own[i].Candela))
		}
		d.around = append(d.around, own)
	}
	return d, nil
}

// Round tells whether the intensity is the same all around the axis.
func (d *Distribution) Round() bool { return d.around == nil }

// Tabulated tells whether the beam is a measured one, which may be brightest off its axis.
func (d *Distribution) Tabulated() bool { return d.rays != nil }

// Toward is Intensity at a turn about the axis, from the half plane 0 of the tables to that of a quarter: between
// two half planes it is linear. Round beams have the same at every turn.
func (d *Distribution) Toward(off, turn si.Angle) float64 {
	n := len(d.around)
	if n == 0 {
		return d.Intensity(off)
	}
	x := float64(turn) / (2 * math.Pi)
	x = (x - math.Floor(x)) * float64(n)
	i := int(x) % n
	share := x - math.Floor(x)
	theta := math.Abs(float64(off))
	return lookUp(d.around[i], theta)*(1-share) + lookUp(d.around[(i+1)%n], theta)*share
}

// Flux integrates a round intensity table, linear between its rows:
// 2π ∫ I sinθ dθ. A piece of (s·θ + c) sinθ has the integral s (sinθ - θ cosθ) - c cosθ, so
// nothing is approximated.
func Flux(rays []Ray) si.LuminousFlux {
	total := 0.0
	for i := 1; i < len(rays); i++ {
		a, b := float64(rays[i-1].Off), float64(rays[i].Off)
		slope := float64(rays[i].Candela-rays[i-1].Candela) / (b - a)
		start := float64(rays[i-1].Candela) - slope*a
		integral := func(x float64) float64 { return -start*math.Cos(x) + slope*(math.Sin(x)-x*math.Cos(x)) }
		total += integral(b) - integral(a)
	}
	return si.LuminousFlux(2 * math.Pi * total)
}

// Intensity returns the intensity at an angle off the axis, per unit of flux; of a beam that is not round, its
// mean all around.
func (d *Distribution) Intensity(off si.Angle) float64 {
	theta := math.Abs(float64(off))
	if d.rays != nil {
		return lookUp(d.rays, theta)
	}
	if !(theta < math.Pi/2) {
		return 0
	}
	switch d.shape {
	case Cosine:
		return d.peak * math.Pow(math.Cos(theta), d.exponent)
	case Flat:
		if theta > d.half {
			return 0
		}
		return d.peak
	case Gaussian:
		return d.peak * math.Exp(-math.Ln2*(theta/d.half)*(theta/d.half))
	}
	return d.peak * math.Exp(-math.Ln2*math.Pow(theta/d.half, d.exponent))
}

// IntensityCos is Intensity for the cosine of the angle off axis, as a dot
// product of unit vectors gives it.
func (d *Distribution) IntensityCos(cos float64) float64 {
	if d.shape == Cosine && d.rays == nil {
		if cos <= 0 {
			return 0
		}
		return d.peak * math.Pow(min(1, cos), d.exponent)
	}
	return d.Intensity(si.Angle(math.Acos(min(1, max(-1, cos)))))
}

// lookUp is linear between the rows of a table and dark behind the last.
func lookUp(rays []Ray, theta float64) float64 {
	for i := 1; i < len(rays); i++ {
		if b := float64(rays[i].Off); theta <= b {
			a := float64(rays[i-1].Off)
			share := (theta - a) / (b - a)
			return float64(rays[i-1].Candela)*(1-share) + float64(rays[i].Candela)*share
		}
	}
	return 0
}

// Peak is the greatest intensity per unit of flux; times 1000, cd/klm.
func (d *Distribution) Peak() float64 { return d.peak }

// Edge returns the full angle outside which intensity stays below share of
// the peak: Edge(0.1) is the field angle; of a beam that is not round, both of its mean all around. It looks from behind inwards in steps of a tenth
// of a degree, since a table may rise and fall, and halves the step where it first meets
// the share.
func (d *Distribution) Edge(share float64) si.Angle {
	const steps = 1800
	peak := d.peak
	if d.around != nil {
		peak = 0
		for _, r := range d.rays {
			peak = max(peak, float64(r.Candela))
		}
	}
	for i := steps; i > 0; i-- {
		low, high := math.Pi*float64(i-1)/steps, math.Pi*float64(i)/steps
		if d.Intensity(si.Angle(low)) < share*peak {
			continue
		}
		for range 50 {
			mid := (low + high) / 2
			if d.Intensity(si.Angle(mid)) >= share*peak {
				low = mid
			} else {
				high = mid
			}
		}
		return si.Angle(2 * low)
	}
	return 0
}

// PeakEstimate is the peak that the file's shape gives, between those of the
// other shapes with the same beam angle: what not knowing the shape costs. A
// measured table has no such spread.
func (b Beam) PeakEstimate() (si.Estimate[si.Ratio], error) {
	d, err := b.Distribution()
	if err != nil {
		return si.Estimate[si.Ratio]{}, err
	}
	e := si.Exactly(si.Ratio(d.Peak()))
	if d.rays != nil {
		return e, nil
	}
	for _, shape := range []Shape{Cosine, Gaussian, Flat} {
		other, err := Beam{Half: b.Half, Shape: shape}.Distribution()
		if err != nil {
			return e, err
		}
		e.Low = min(e.Low, si.Ratio(other.Peak()))
		e.High = max(e.High, si.Ratio(other.Peak()))
	}
	return e, nil
}
