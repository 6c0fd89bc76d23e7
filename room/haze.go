package room

import (
	"math"

	"lampblack/light"
	"lampblack/si"
	"lampblack/source"
)

// Haze is thin haze, as even in the whole room as fog machines' makers wish, by how much of a beam is left over
// some way: two readings of a light meter in one beam, without haze and with it.
//
// It dims what comes straight from lamps, by the law of Beer and Lambert, exp(-σd) over d metres, and sends
// what it scatters once to eyes (Airlight). What is scattered twice is left out, which is why the haze must be thin,
// and so is what scattered light adds to surfaces, and the haze between them. What may harm
// eyes is taken as in clear air.
type Haze struct {
	source.Pos
	Leaves si.Ratio  `key:"leaves,required"`
	Over   si.Length `key:"over,required"`
}

// forward is how much droplets of haze scatter onward: the g of Henyey and Greenstein, .7 to .85 for
// droplets of 1 µm to 2 µm (from memory).
const forward = .75

// thickest is the most that a haze may take over the length of the room, as an exponent: beyond,
// much of its light has been scattered more than once.
const thickest = 1.

// Extinction is σ in 1/m; 0 in clear air.
func (r *Room) Extinction() float64 {
	if r.Haze == nil {
		return 0
	}
	return -math.Log(float64(r.Haze.Leaves)) / float64(r.Haze.Over)
}

// haze checks that it is thin.
func (c *checking) haze() {
	h := c.room.Haze
	if h == nil {
		return
	}
	longest := c.room.high().minus(c.room.low()).length()
	if !(h.Leaves > 0 && h.Leaves < 1) || !(h.Over > 0 && h.Over <= 200) {
		c.faults.Add(h.Pos, "leaves: 85 %, over: 8 m", "haze that leaves %s over %v: it leaves some of a beam and not all, over some metres", percent(h.Leaves), h.Over)
		c.room.Haze = nil
	} else if depth := c.room.Extinction() * longest; depth > thickest {
		c.faults.Add(h.Pos, "less haze: thin haze leaves 90 % over 8 m, for one", "this is no thin haze: it leaves %.2g %% over the length of the room, and what is computed of it holds down to %.2g %%", 100*math.Exp(-depth), 100*math.Exp(-thickest))
		c.room.Haze = nil
	}
}

// phase is the share of scattered light that leaves in a direction at cosine c to that it came in,
// per sr (L. G. Henyey and J. L. Greenstein, Astrophysical Journal 93, 1941):
//
//	(1 - g²) / (4π (1 + g² - 2gc)^1.5)
func phase(g, c float64) float64 {
	return (1 - g*g) / (4 * math.Pi * math.Pow(1+g*g-2*g*c, 1.5))
}

// sight is a line of sight.
type sight struct {
	from, toward vec // toward is a direction of length 1
	far          float64
}

// airSteps is how many points of a line of sight stand for it.
const airSteps = 48

// glare is what a source of some intensity, W/sr by the direction that it leaves in, sends along a line of sight by one
// scattering, W/(m² sr): the integral over the line of
//
//	σ exp(-σ(t+r)) phase I / r² dt,  r the way from the source,
//
// by even steps of the angle under which the source sees the line, which takes up 1/r² (C. Kulla and M. Fajardo,
// Importance sampling techniques for path tracing in participating media, 2012, from memory).
func (l *sight) glare(sigma, g float64, source vec, intensity func(way vec) float64) float64 {
	d := source.minus(l.from)
	along := d.dot(l.toward)
	h := math.Max(d.minus(l.toward.times(along)).length(), 1e-3)
	first, last := math.Atan(-along/h), math.Atan((l.far-along)/h)
	sum := 0.0
	for i := range airSteps {
		t := along + h*math.Tan(first+(last-first)*(float64(i)+.5)/airSteps)
		way := l.from.plus(l.toward.times(t)).minus(source)
		r := way.length()
		sum += math.Exp(-sigma*(t+r)) * phase(g, -way.dot(l.toward)/r) * intensity(way)
	}
	return sigma / h * sum * (last - first) / airSteps
}

// airOn is the airlight of every bundle, for one watt, along a line of sight.
func (s *solving) airOn(l *sight) []float32 {
	out := make([]float32, len(s.t.bundles))
	sigma := s.room.Extinction()
	if sigma == 0 {
		return out
	}
	wide := make([]float64, s.sources.count)
	for i := range s.sources.lamps {
		lamp := &s.sources.lamps[i]
		for c, at := range lamp.cells {
			for b, f := range lamp.beams {
				wide[s.sources.first[i]+c*len(lamp.beams)+b] = l.glare(sigma, forward, at, func(way vec) float64 {
					r := way.length()
					off := way.dot(lamp.axis) / r
					if off <= 0 || way[2] > lamp.sinMask*r {
						return 0
					}
					strong := lamp.sends(f, way, off)
					if strong == 0 || !s.shell.free(at, at.plus(way)) {
						return 0
					}
					return strong
				})
			}
		}
	}
	s.toBundles(out, wide)
	return out
}

// veil is the haze before an object, from the middle of the audience.
type veil struct {
	air   []float32 // by bundle: the radiance of the haze for one watt
	clear float64   // share of what the object sends that is left
}

// veilBefore works out the veil before a thing that has its middle at a point; the zero veil in clear air.
func (s *solving) veilBefore(at vec) *veil {
	sigma := s.room.Extinction()
	if sigma == 0 {
		return nil
	}
	eye := s.room.audienceMiddle()
	to := at.minus(eye)
	l := sight{eye, to.unit(), to.length()}
	return &veil{s.airOn(&l), math.Exp(-sigma * l.far)}
}

// veils finds those of all objects where the room's text has them.
func (s *solving) veils() {
	s.t.veils = map[string]*veil{}
	for i := range s.room.Objects {
		o := &s.room.Objects[i]
		s.t.veils[o.Name] = s.veilBefore(o.Value.Centre.vec())
	}
}

// airSeen is how haze of a radiance of 1 W/(m² sr) looks in a light.
func (t *Transport) airSeen(k int) seen {
	s := t.Lights[k].Spectrum
	out := seenOf(&s)
	return seen{out.colour.Times(math.Pi), out.scotopic * math.Pi, out.violet * math.Pi}
}

// over adds the haze of a veil at some levels; and dims what is seen through it.
func (v *veil) over(t *Transport, looks *seen, levels []float32) {
	if v == nil {
		return
	}
	dimmed := seen{}
	dimmed.add(looks, v.clear)
	for d, k := range t.Light {
		if levels[d] != 0 {
			air := t.airSeen(k)
			dimmed.add(&air, t.watts[d]*float64(levels[d])*float64(v.air[t.bundle[d]]))
		}
	}
	*looks = dimmed
}

// dim is the share that a veil leaves.
func (v *veil) dim() float64 {
	if v == nil {
		return 1
	}
	return v.clear
}

// rows adds a veil to luminances by drive; and dims these.
func (v *veil) rows(t *Transport, row []float64, to func(*seen) float64) {
	if v == nil {
		return
	}
	for d, k := range t.Light {
		air := t.airSeen(k)
		row[d] = row[d]*v.clear + t.watts[d]*float64(v.air[t.bundle[d]])*to(&air)
	}
}

// Airlight is the luminance of haze along a line of sight, as colour, with the drives at these levels; black in clear
// air. Each call goes over all lamps and what stands before them.
func (t *Transport) Airlight(from, direction Point, far si.Length, levels []float32) light.XYZ {
	s := &solving{room: t.room, rig: t.rig, shell: t.shell, sources: t.sources, t: t}
	l := sight{from.vec(), direction.vec().unit(), float64(far)}
	v := veil{s.airOn(&l), 1}
	var out seen
	v.over(t, &out, levels)
	return out.colour
}
