package room

import (
	"lampblack/light"
	"lampblack/si"
	"lampblack/source"
)

// OwnPaint is a paint that was measured (lampblack measure --paint writes it): made as a
// generic one is, with what was measured in the place of what that has.
type OwnPaint struct {
	source.Pos
	Like        source.Ref             `key:"like,required"`
	Glow        *si.Estimate[si.Ratio] `key:"glow"`        // strength over that of the paint it is like
	Reflectance []ReflectanceRow       `key:"reflectance"` // without its glow
	Emission    []EmissionRow          `key:"emission"`    // of its glow, in any unit
}

// EmissionRow is one row of a measured glow.
type EmissionRow struct {
	At    si.Wavelength `key:"at,required"`
	Power float64       `key:"power,required"`
}

// NamesFor is Room.NamesFor for a paint of the room's own.
func (*OwnPaint) NamesFor(key string) (names []string, others bool) {
	if key != "like" {
		return nil, false
	}
	return MaterialNames(), false
}

// paintNamed returns a paint of the room's own or a generic one, nil when there is none of
// that name.
func (r *Room) paintNamed(name string) *light.Paint {
	o := r.Paints.Get(name)
	if o == nil {
		return paintNamed(name)
	}
	p := paintNamed(o.Like.Name)
	if p == nil {
		return nil
	}
	var reflectance, emission *light.Spectrum
	if len(o.Reflectance) > 0 {
		reflectance = (&Material{Reflectance: o.Reflectance}).spectrumRef()
	}
	if len(o.Emission) > 0 {
		var points []light.Point
		for _, row := range o.Emission {
			points = append(points, light.Point{At: row.At, Value: row.Power})
		}
		if s, err := light.Table(points); err == nil {
			emission = &s
		}
	}
	times := si.Estimate[si.Ratio]{}
	if o.Glow != nil {
		times = *o.Glow
	}
	out := p.Like(name, reflectance, emission, times)
	return &out
}

func (m *Material) spectrumRef() *light.Spectrum {
	s := m.spectrum()
	return &s
}

// ownPaint checks a paint of the room's own, and leaves one that can be computed with.
func (c *checking) ownPaint(e *source.Entry[OwnPaint]) {
	p := &e.Value
	switch like := paintNamed(p.Like.Name); {
	case p.Like.Name == "": // its fault is told
		p.Like.Name = MaterialNames()[0]
	case like == nil:
		c.faults.Add(p.Like.Pos, source.OneOf(p.Like.Name, MaterialNames()), "there is no paint %q", p.Like.Name)
		p.Like.Name = MaterialNames()[0]
	case !like.Fluoresces() && (p.Glow != nil || len(p.Emission) > 0):
		c.faults.Add(p.Like.Pos, "like: fluorescent orange, for one", "%s is like %s, which does not fluoresce, and has a glow", e.Name, p.Like.Name)
	}
	if paintNamed(e.Name) != nil {
		c.faults.Add(e.Pos, "give it another name", "%q is a generic paint already", e.Name)
	}
	if g := p.Glow; g != nil && !(g.Low > 0 && g.Best >= g.Low && g.High >= g.Best && g.High <= 100) {
		c.faults.Add(p.Pos, "glow: 0.8 (0.5 to 1.3)", "the glow of %s is %v times that of %s (%v to %v), which lies outside 0 to 100", e.Name, float64(g.Best), p.Like.Name, float64(g.Low), float64(g.High))
		p.Glow = nil
	}
	m := Material{Pos: p.Pos, Reflectance: p.Reflectance}
	if len(p.Reflectance) > 0 {
		c.material(e.Name, &m)
	}
	p.Reflectance = m.Reflectance
	for i, row := range p.Emission {
		if !(row.Power >= 0 && row.Power <= 1e12) || i > 0 && row.At <= p.Emission[i-1].At {
			c.faults.Add(p.Pos, "rows of at and power, by rising wavelengths", "the emission of %s goes wrong at %v", e.Name, row.At)
			p.Emission = p.Emission[:i]
			break
		}
	}
	if n := len(p.Emission); n > 0 && !c.emits(p) {
		c.faults.Add(p.Pos, "leave it out, and the glow has the shape of the paint that it is like", "the emission of %s has no light between 400 nm and 780 nm", e.Name)
		p.Emission = nil
	}
}

// emits tells whether an emission has light where a glow can be seen.
func (c *checking) emits(p *OwnPaint) bool {
	for _, row := range p.Emission {
		if row.At > 400 && row.At < light.Last && row.Power > 0 && len(p.Emission) > 1 {
			return true
		}
	}
	return false
}
