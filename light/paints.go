package light

import (
	"fmt"
	"slices"
	"strings"
	"sync"
)

// film density and escape of the generic paints. Density 1.5 is a well-covering
// coat. Half of what a dye emits inside a coat gets out: from memory.
const (
	coat   = 1.5
	escape = .5
)

// Paints returns all generic paints and materials that a room may name, those
// that fluoresce first; the slice is the caller's. The fluorescent
// ones are built from published numbers of single dyes in solution; real paints
// vary by make, coat and age (daylight pigments fade), hence the factor. Pink,
// orange and red dyes hardly absorb ultraviolet by themselves; paints carry
// other dyes and brighteners that do and hand it on. That host is an assumption
// and widens the factor to 3.
func Paints() []Paint { return slices.Clone(catalogue()) }

// catalogue makes the paints once: each is a few hundred exponentials.
var catalogue = sync.OnceValue(func() []Paint { return append(fluorescent(), plain()...) })

func fluorescent() []Paint {
	return []Paint{
		glowing("fluorescent blue", coumarin1, 0),
		glowing("fluorescent cyan", coumarin151, 0),
		glowing("fluorescent green", pyranine, .3),
		glowing("fluorescent yellow-green", coumarin6, .4),
		glowing("fluorescent yellow", fluorescein, .4),
		glowing("fluorescent pink", rhodamineB, .4),
		glowing("fluorescent orange", rhodamine, .4),
		glowing("fluorescent red", sulfo101, .4),
		optical("optical white cloth", 1),
		optical("optical white paper", .5),
	}
}

// glowing is a coat of one dye over white. Host is how well a second dye, which
// absorbs as coumarin 1 does, feeds the first: 0 without one.
func glowing(name string, d dye, host float64) Paint {
	p := Paint{Name: name, Absorptance: d.film(coat), Emission: d.emission(), Yield: d.yield, Escape: escape, Factor: 2}
	p.Source = fmt.Sprintf("%s in solution, PhotochemCAD 3 (2018); coat of density %v, escape %v from memory", d.name, coat, escape)
	if host > 0 {
		p.Factor = 3
		p.Source += fmt.Sprintf("; ultraviolet host of %v assumed", host)
	}
	feed := coumarin1.film(coat)
	white := undercoat()
	for i := range N {
		p.Absorptance[i] += (1 - p.Absorptance[i]) * host * feed[i]
		p.Reflectance[i] = white[i] * (1 - p.Absorptance[i])
	}
	return p
}

// optical is white fibre with a brightener of a density at its maximum.
func optical(name string, density float64) Paint {
	p := Paint{Name: name, Absorptance: brightener.film(density), Emission: brightener.emission(), Yield: brightener.yield, Escape: .7, Factor: 3}
	p.Source = "stilbene brightener, McNamara and Boswell's spectra; yield and escape assumed"
	for i := range N {
		p.Reflectance[i] = .85 * (1 - p.Absorptance[i])
	}
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
