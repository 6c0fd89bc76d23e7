package light

import "math"

// Gloss is what a surface mirrors beside the light that it scatters: a smooth clear coat by its
// refractive index, or bare metal by a share. The zero value is matt. What blurs a mirror, waves and
// brushes, is not in it, and nor is colour: clear coats and aluminium have next to none.
type Gloss struct {
	Index float64 // of the coat; 0 for none
	Metal float64 // share that bare metal mirrors, whatever the angle
}

// Glosses are the words for what mirrors, with how much. Indexes and shares are from memory:
// polyurethane and acrylic varnish about 1.5, water 1.333 at 20 °C; the bright side of aluminium foil sends
// back 88 %, about a tenth of which is scattered; a silvered glass sends back 90 %.
var Glosses = map[string]Gloss{
	"varnish": {Index: 1.5},
	"water":   {Index: 1.333},
	"foil":    {Metal: .78},
	"mirror":  {Metal: .9},
}

// Share is the part of unpolarised light that is mirrored when it comes at cosine c to the normal,
// by Fresnel's equations for an index n:
//
//	sin t = sin i / n,  rs = (cos i - n cos t)/(cos i + n cos t),  rp = (n cos i - cos t)/(n cos i + cos t),
//	share = (rs² + rp²)/2
func (g Gloss) Share(c float64) float64 {
	if g.Index == 0 {
		return g.Metal
	}
	c = min(max(c, 0), 1)
	t := math.Sqrt(1 - (1-c*c)/(g.Index*g.Index))
	s, p := (c-g.Index*t)/(c+g.Index*t), (g.Index*c-t)/(g.Index*c+t)
	return (s*s + p*p) / 2
}

// Mean is the share of light that comes evenly from all sides: ∫ 2 c Share(c) dc.
func (g Gloss) Mean() float64 {
	if g.Index == 0 {
		return g.Metal
	}
	const steps = 1000
	sum := 0.0
	for i := range steps {
		c := (float64(i) + .5) / steps
		sum += 2 * c * g.Share(c) / steps
	}
	return sum
}

// Mirrors tells whether there is any gloss.
func (g Gloss) Mirrors() bool { return g != Gloss{} }
