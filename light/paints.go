package light

import (
	"fmt"
	"slices"
	"strings"
	"sync"
)

// Paints returns all generic paints and materials that a room may name, those
// that fluoresce first; the slice is the caller's, the tables in it are not to be changed.
//
// The fluorescent ones are coats of dyes whose spectra are published, in a resin over white
// paint. How much of which dye is in them is fitted: so that in daylight they have the colour
// that standards for fluorescent safety colours give to their name, with as much light of
// their own as those ask for, and under black light of 365 nm to 405 nm the colour of that
// name as well (docs/measured/light.md has the table). Makers' recipes are others, coats and
// ages differ (daylight pigments fade), hence the factor. Pink, orange and red dyes hardly
// absorb ultraviolet by themselves; paints carry other dyes that do and hand it on. Which, and
// how much, is the least known, and makes the factor 3.
func Paints() []Paint { return slices.Clone(catalogue()) }

// catalogue makes the paints once: each takes a few thousandths of a second.
var catalogue = sync.OnceValue(func() []Paint { return append(fluorescent(), plain()...) })

// kept is the share of its yield in solution that a dye keeps in a resin: from memory.
const kept = .8

// part is a dye in a blend, at its density.
type part struct {
	dye     dye
	density float64
}

// blend is what a fluorescent paint is made of.
type blend struct {
	name    string
	scatter float64
	dyes    []part
	tints   []inCoat
	factor  float64
}

func fluorescent() []Paint {
	blue, green := phthaloBlue(), phthaloGreen()
	var out []Paint
	for _, r := range []blend{
		{"fluorescent blue", .5, []part{{coumarin1, 3}, {brightener, 1.1}}, []inCoat{{blue, .3}}, 2},
		{"fluorescent cyan", 1.7, []part{{coumarin151, .9}, {coumarin1, .15}}, []inCoat{{blue, .11}}, 2},
		{"fluorescent green", .3, []part{{pyranine, 10}, {coumarin151, .1}}, []inCoat{{green, .24}}, 2},
		{"fluorescent yellow-green", .46, []part{{coumarin6, 3.8}, {fluorescein, .66}, {coumarin151, .9}}, nil, 2},
		{"fluorescent yellow", .47, []part{{coumarin6, 2.2}, {rhodamine6G, .36}, {coumarin151, .1}}, nil, 3},
		{"fluorescent pink", .3, []part{{rhodamineB, 3.2}, {sulfo101, .73}, {coumarin1, .3}, {coumarin343, .03}}, nil, 3},
		{"fluorescent orange", .33, []part{{rhodamine6G, 4}, {rhodamineB, .55}, {coumarin6, 2.6}, {coumarin151, .1}}, nil, 3},
		{"fluorescent red", .62, []part{{rhodamineB, 6}, {sulfo101, 4.5}, {coumarin6, .9}, {coumarin151, .08}}, nil, 3},
	} {
		out = append(out, r.paint())
	}
	return append(out, optical("optical white cloth", 1.2, materialNamed("white cloth")), optical("optical white paper", 1.5, bleachedPulp()))
}

// paint works the coat out, over white paint.
func (r *blend) paint() Paint {
	c := coat{scatter: r.scatter, under: materialNamed("white paint"), skin: resinSkin, tints: r.tints}
	var names []string
	for _, p := range r.dyes {
		c.dyes = append(c.dyes, inCoat{p.dye.colourant(kept), p.density})
		names = append(names, p.dye.name)
	}
	p := Paint{Name: r.name, Factor: r.factor}
	p.Reflectance, p.Fluorescence = c.paint()
	p.Source = fmt.Sprintf("computed as a coat of %s (PhotochemCAD 3, 2018) in resin over white, the amounts fitted to colour regions of fluorescent safety colours; yield in resin %.0f %% of that in solution, from memory", strings.Join(names, ", "), 100*kept)
	return p
}

// bleachedPulp is paper without brightener: from memory.
func bleachedPulp() Spectrum {
	return banded([...]float64{.50, .65, .74, .80, .83, .86, .87, .88, .88, .88})
}

// optical is white fibre with a brightener of a density at its maximum before it.
func optical(name string, density float64, fibre Spectrum) Paint {
	c := coat{scatter: .1, under: fibre, dyes: []inCoat{{brightener.colourant(1), density}}}
	p := Paint{Name: name, Factor: 3, Source: "stilbene brightener, McNamara and Boswell's spectra; yield from memory, amount fitted to the whiteness of such goods"}
	p.Reflectance, p.Fluorescence = c.paint()
	return p
}

// PaintNamed returns a paint of Paints by its name.
func PaintNamed(name string) (Paint, error) {
	var names []string
	for i := range catalogue() {
		p := &catalogue()[i]
		if p.Name == name {
			return *p, nil
		}
		names = append(names, p.Name)
	}
	return Paint{}, fmt.Errorf("no paint or material %q: use one of %s", name, strings.Join(names, ", "))
}
