package room

import (
	"slices"
	"sort"
	"sync"

	"lampblack/light"
	"lampblack/source"
)

// generic is a matt material that a room may name without describing it:
// reflectances at bands of these wavelengths, linear between them.
type generic struct {
	name   string
	values [len(bandsAt)]float64
	from   string
}

var bandsAt = [...]float64{365, 390, 405, 425, 450, 500, 550, 600, 650, 700}

// generics are of common materials. All values are from memory of published
// curves of the kind and rounded; real samples differ by a third and more, and
// black cloths much more above 650 nm. White pigment (titanium dioxide) takes
// up ultraviolet below about 400 nm, which is why white walls are dark there.
var generics = []generic{
	{"black velvet", [10]float64{.004, .004, .004, .004, .004, .004, .004, .005, .006, .02}, "from memory"},
	{"black cloth", [10]float64{.03, .03, .03, .03, .03, .03, .03, .035, .05, .10}, "from memory"},
	{"black paint", [10]float64{.04, .04, .04, .04, .04, .04, .04, .04, .04, .04}, "from memory"},
	{"grey paint", [10]float64{.06, .12, .24, .29, .30, .30, .30, .30, .30, .30}, "from memory"},
	{"white paint", [10]float64{.06, .20, .55, .75, .82, .84, .85, .85, .85, .85}, "from memory"},
	{"painted plaster white", [10]float64{.07, .20, .52, .70, .76, .79, .80, .80, .80, .80}, "from memory"},
	{"cream plaster", [10]float64{.06, .15, .38, .48, .55, .66, .72, .75, .76, .77}, "from memory"},
	{"concrete", [10]float64{.18, .20, .21, .23, .25, .28, .30, .31, .32, .32}, "from memory"},
	{"brick", [10]float64{.06, .06, .07, .07, .08, .10, .14, .25, .30, .33}, "from memory"},
	{"wood floor", [10]float64{.07, .09, .11, .14, .17, .25, .33, .40, .45, .50}, "from memory"},
	{"dark wood", [10]float64{.04, .04, .05, .05, .06, .08, .11, .15, .19, .24}, "from memory"},
	{"black dance floor", [10]float64{.05, .05, .05, .05, .05, .05, .05, .05, .05, .05}, "from memory"},
	{"carpet", [10]float64{.06, .07, .08, .09, .10, .10, .11, .12, .13, .15}, "from memory"},
	{"red velvet", [10]float64{.02, .02, .02, .02, .02, .02, .03, .10, .25, .35}, "from memory"},
	{"grey cloth", [10]float64{.20, .22, .24, .25, .26, .27, .27, .28, .29, .32}, "from memory"},
	{"white cloth", [10]float64{.45, .60, .68, .73, .76, .80, .82, .83, .84, .84}, "from memory, cotton without brightener"},
	{"light skin", [10]float64{.11, .15, .19, .23, .28, .36, .38, .50, .60, .64}, "from memory"},
	{"dark skin", [10]float64{.05, .05, .05, .06, .06, .08, .10, .15, .21, .28}, "from memory"},
}

// MaterialNames lists the materials that a room may name.
func MaterialNames() []string {
	out := make([]string, len(generics))
	for i, g := range generics {
		out[i] = g.name
	}
	return out
}

// Basis returns where the reflectance of a generic material comes from, "" for
// a name that is none.
func Basis(material string) string {
	i := slices.IndexFunc(generics, func(g generic) bool { return g.name == material })
	if i < 0 {
		return ""
	}
	return generics[i].from
}

// paints are the generic paints, made once.
var paints = sync.OnceValue(light.Paints)

// paintNamed returns a generic paint, nil when there is none of that name.
func paintNamed(name string) *light.Paint {
	all := paints()
	if i := slices.IndexFunc(all, func(p light.Paint) bool { return p.Name == name }); i >= 0 {
		return &all[i]
	}
	return nil
}

func paintNames() []string {
	var out []string
	for _, p := range paints() {
		out = append(out, p.Name)
	}
	return out
}

// finish returns what a surface of the material does with light: one of the
// room's own, a generic one, or a paint, which may glow.
func (r *Room) finish(material string) (finish, bool) {
	if m := r.Materials.Get(material); m != nil {
		return finish{name: material, reflectance: m.spectrum()}, true
	}
	for _, g := range generics {
		if g.name == material {
			return finish{name: material, reflectance: sampled(bandsAt[:], g.values[:])}, true
		}
	}
	return painted(material)
}

// painted is the finish of a painted surface.
func painted(paint string) (finish, bool) {
	p := paintNamed(paint)
	if p == nil {
		return finish{}, false
	}
	return finish{name: paint, reflectance: p.Reflectance, paint: p}, true
}

// Reflectance returns the reflectance of a material of the room, of a generic
// one or of a paint, at every wavelength of the grid.
func (r *Room) Reflectance(material string) (light.Spectrum, bool) {
	f, ok := r.finish(material)
	return f.reflectance, ok
}

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
func (r *Room) materialNames() []string {
	return append(append(source.Names(r.Materials), MaterialNames()...), paintNames()...)
}
