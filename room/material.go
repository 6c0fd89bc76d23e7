package room

import (
	"maps"
	"slices"
	"sort"
	"strings"

	"lampblack/light"
	"lampblack/source"
)

// MaterialNames lists the generic materials that a room may name for a surface,
// a box, a background or the paint of an object; those that fluoresce first.
func MaterialNames() []string {
	var out []string
	for _, p := range light.Paints() {
		out = append(out, p.Name)
	}
	return out
}

// paintNamed returns a generic paint, nil when there is none of that name.
func paintNamed(name string) *light.Paint {
	p, err := light.PaintNamed(name)
	if err != nil {
		return nil
	}
	return &p
}

// finish returns what a surface of the material does with light: one of the
// room's own, or a generic one, which may glow.
func (r *Room) finish(material string) (finish, bool) {
	if m := r.Materials.Get(material); m != nil {
		return finish{name: material, reflectance: m.spectrum(), gloss: light.Glosses[string(m.Gloss)]}, true
	}
	return r.painted(material)
}

// painted is the finish of a painted surface.
func (r *Room) painted(paint string) (finish, bool) {
	p := r.paintNamed(paint)
	if p == nil {
		return finish{}, false
	}
	f := finish{name: paint, reflectance: p.Reflectance, gloss: p.Gloss}
	if p.Fluoresces() {
		f.paint = p
	}
	return f, true
}

// GlossWord is a word for what a material mirrors.
type GlossWord string

// Choices lists the words.
func (GlossWord) Choices() []string {
	return slices.Sorted(maps.Keys(light.Glosses))
}

// Reflectance returns the matt reflectance of a material of the room, of a generic
// one or of a paint, at every wavelength of the grid.
func (r *Room) Reflectance(material string) (light.Spectrum, bool) {
	f, ok := r.finish(material)
	return f.reflectance, ok
}

// spectrum is the material's reflectance at every nanometre. Without any text, which Read
// has reported, it is black.
func (m *Material) spectrum() light.Spectrum {
	if m.Reflects != nil {
		return light.Grey(float64(*m.Reflects))
	}
	var xs, ys []float64
	for _, row := range m.Reflectance {
		xs, ys = append(xs, float64(row.At)), append(ys, float64(row.Share))
	}
	if len(xs) == 0 {
		return light.Grey(0)
	}
	return sampled(xs, ys)
}

// sampled puts a table on the grid: linear inside, its end values outside.
func sampled(xs, ys []float64) light.Spectrum {
	var s light.Spectrum
	for i := range s {
		x := float64(light.First + i)
		at := sort.SearchFloat64s(xs, x)
		switch {
		case at == 0:
			s[i] = ys[0]
		case at == len(xs):
			s[i] = ys[len(ys)-1]
		default:
			share := (x - xs[at-1]) / (xs[at] - xs[at-1])
			s[i] = ys[at-1] + share*(ys[at]-ys[at-1])
		}
	}
	return s
}

// materialNames lists the room's own materials and the generic ones.
func (r *Room) materialNames() []string { return append(source.Names(r.Materials), MaterialNames()...) }

// Fluoresces tells whether an object's paint gives any light of its own, and
// otherwise names the paint and one much like it that does.
func (r *Room) Fluoresces(object string) (ok bool, paint, instead string) {
	o := r.Objects.Get(object)
	if o == nil {
		return false, "", ""
	}
	p := r.paintNamed(o.Paint.Name)
	switch {
	case p == nil || p.Fluoresces():
		return p != nil, o.Paint.Name, ""
	case strings.Contains(p.Name, "cloth") || strings.Contains(p.Name, "velvet") || p.Name == "curtain":
		return false, p.Name, "optical white cloth"
	case strings.Contains(p.Name, "white"):
		return false, p.Name, "optical white paper"
	}
	return false, p.Name, "fluorescent yellow-green"
}

// PaintFluoresces tells whether a paint or cloth of that name fluoresces.
func (r *Room) PaintFluoresces(name string) bool {
	p := r.paintNamed(name)
	return p != nil && p.Fluoresces()
}

// NamesFor lists the materials for keys of a room that name one; others says
// that the room's own may stand there as well. It is for schemas.
func (*Room) NamesFor(key string) (names []string, others bool) {
	return materialKey(key, "walls", "floor", "ceiling")
}

// NamesFor is Room.NamesFor for a surface.
func (*Surface) NamesFor(key string) (names []string, others bool) {
	return materialKey(key, "material")
}

// NamesFor is Room.NamesFor for a box.
func (*Box) NamesFor(key string) (names []string, others bool) {
	return materialKey(key, "material")
}

// NamesFor is Room.NamesFor for an object, whose paint may be one of the room's own.
func (*Object) NamesFor(key string) (names []string, others bool) {
	return materialKey(key, "background", "paint")
}

// NamesFor is Room.NamesFor for people.
func (*Eye) NamesFor(key string) (names []string, others bool) { return materialKey(key, "wears") }

// materialKey answers for the keys of a struct that name a material; nil for others.
func materialKey(key string, of ...string) (names []string, others bool) {
	if !slices.Contains(of, key) {
		return nil, false
	}
	return MaterialNames(), true
}
