package light

import (
	"slices"

	"lampblack/si"
)

// bandsAt are the wavelengths at which the reflectance of a plain material is
// kept, in nm; it is linear between them and the same beyond.
var bandsAt = [...]si.Wavelength{365, 390, 405, 425, 450, 500, 550, 600, 650, 700}

// plainMaterial is a material that does not glow; the values are of what it scatters.
type plainMaterial struct {
	name   string
	values [len(bandsAt)]float64
	source string
}

// even reflects alike at all wavelengths.
func even(share float64) (v [len(bandsAt)]float64) {
	for i := range v {
		v[i] = share
	}
	return v
}

const (
	remembered = "from memory"
	practice   = "common practice, no source"
	shiny      = "common practice, no source: the body, under varnish of index 1.5 (from memory)"
	dull       = "common practice, no source: emulsion without gloss"
)

// plainMaterials are common materials. Values from memory are of published
// curves of the kind, rounded; real samples differ by a third and more, and
// black cloths much more above 650 nm. White pigment (titanium dioxide) takes
// up ultraviolet below about 400 nm, which is why white walls are dark there.
var plainMaterials = []plainMaterial{
	{"black velvet", [...]float64{.004, .004, .004, .004, .004, .004, .004, .005, .006, .02}, remembered},
	{"black cloth", [...]float64{.03, .03, .03, .03, .03, .03, .03, .035, .05, .10}, remembered},
	{"black paint", even(.04), remembered},
	{"black dance floor", even(.05), remembered},
	{"grey paint", [...]float64{.06, .12, .24, .29, .30, .30, .30, .30, .30, .30}, remembered},
	{"grey cloth", [...]float64{.20, .22, .24, .25, .26, .27, .27, .28, .29, .32}, remembered},
	{"dark grey", even(.1), practice},
	{"grey", even(.3), practice},
	{"light grey", even(.5), practice},
	{"white paint", [...]float64{.06, .20, .55, .75, .82, .84, .85, .85, .85, .85}, remembered},
	{"white cloth", [...]float64{.45, .60, .68, .73, .76, .80, .82, .83, .84, .84}, "from memory, cotton without brightener"},
	{"painted plaster white", [...]float64{.07, .20, .52, .70, .76, .79, .80, .80, .80, .80}, remembered},
	{"cream plaster", [...]float64{.06, .15, .38, .48, .55, .66, .72, .75, .76, .77}, remembered},
	{"concrete", [...]float64{.18, .20, .21, .23, .25, .28, .30, .31, .32, .32}, remembered},
	{"brick", [...]float64{.06, .06, .07, .07, .08, .10, .14, .25, .30, .33}, remembered},
	{"wood floor", [...]float64{.07, .09, .11, .14, .17, .25, .33, .40, .45, .50}, remembered},
	{"timber floor", [...]float64{.08, .10, .11, .13, .15, .20, .26, .32, .35, .38}, practice},
	{"light wood", [...]float64{.17, .19, .21, .25, .31, .42, .49, .55, .58, .61}, practice},
	{"dark wood", [...]float64{.04, .04, .05, .05, .06, .08, .11, .15, .19, .24}, remembered},
	{"shiny floor", [...]float64{.08, .10, .11, .13, .15, .20, .26, .32, .35, .38}, shiny},
	{"shiny black floor", even(.03), shiny},
	{"metal foil", even(.1), "from memory: the bright side of aluminium foil"},
	{"mirror", even(.01), remembered},
	{"water", even(.03), "from memory: index 1.333, over a dark bottom"},
	{"dull paint", [...]float64{.06, .12, .24, .29, .30, .30, .30, .30, .30, .30}, dull},
	{"dull black paint", even(.03), dull},
	{"dull white paint", [...]float64{.05, .18, .52, .72, .79, .81, .82, .82, .82, .82}, dull},
	{"carpet", [...]float64{.06, .07, .08, .09, .10, .10, .11, .12, .13, .15}, remembered},
	{"curtain", even(.15), practice},
	{"red velvet", [...]float64{.02, .02, .02, .02, .02, .02, .03, .10, .25, .35}, remembered},
	{"skin", [...]float64{.16, .19, .21, .23, .25, .30, .32, .44, .52, .55}, remembered},
	{"light skin", [...]float64{.11, .15, .19, .23, .28, .36, .38, .50, .60, .64}, remembered},
	{"dark skin", [...]float64{.05, .05, .05, .06, .06, .08, .10, .15, .21, .28}, remembered},
}

// glossy names what mirrors of them, as Glosses have it.
var glossy = map[string]string{"shiny floor": "varnish", "shiny black floor": "varnish", "metal foil": "foil", "mirror": "mirror", "water": "water"}

// plain returns the materials that do not glow.
func plain() []Paint {
	out := make([]Paint, len(plainMaterials))
	for i, m := range plainMaterials {
		out[i] = Paint{Name: m.name, Reflectance: banded(m.values), Gloss: Glosses[glossy[m.name]], Factor: 1, Source: m.source}
	}
	return out
}

// banded draws a reflectance through the bands: straight between them, level beyond.
func banded(values [len(bandsAt)]float64) Spectrum {
	xs := floats(bandsAt[:])
	var s Spectrum
	for i := range s {
		x := min(max(float64(First+i), xs[0]), xs[len(xs)-1])
		s[i] = interpolate(xs, values[:], x)
	}
	return s
}

// materialNamed is the reflectance of a plain material, which must be there.
func materialNamed(name string) Spectrum {
	i := slices.IndexFunc(plainMaterials, func(m plainMaterial) bool { return m.name == name })
	return banded(plainMaterials[i].values)
}

// Fluoresces tells whether the paint gives any light of its own.
func (p *Paint) Fluoresces() bool { return p.Fluorescence != nil }
