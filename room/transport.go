package room

import (
	"math"
	"slices"

	"lampblack/light"
	"lampblack/rig"
)

// Transport is the room solved: for every drive of the rig and every place,
// what arrives when the drive is full.
type Transport struct {
	Panels []Panel
	Places []Place // patches by panel, then eyes, then points of paths
	Eyes   []int   // places of seats and performers
	// Solid is the solid angle, in sr, under which an eye sees a patch, with
	// what stands between taken away. Indexed as Eyes, then place.
	Solid [][]float32
	Views []View
	// Images are lenses that eyes see in glossy surfaces.
	Images []View
	// Spread bounds each drive's output, as factors of the best estimate.
	Spread []Spread
	Lights []Light
	Light  []int // by drive: index in Lights

	// direct is indexed [place][bundle], total, which adds the light that surfaces reflect,
	// [place][column], for one watt of the unit; neither holds glow.
	direct, total [][]float32
	// facing is direct light as an eye would take it that turned to every lamp
	// at once, plus the most reflected light along its gaze or an axis of the
	// room: an upper bound of the direct light. Of the reflected light a head turned
	// between the axes may take up to √3 times as much. Indexed as Eyes, then column.
	facing  [][]float32
	nodes   *nodes // wavelengths that light is carried at
	bundles []bundle
	columns []column
	bundle  []int // by drive: index in bundles
	column  []int // by drive: that of its first band

	rig     *rig.Rig
	shell   *shell
	sources *sources
	watts   []float64 // by drive: of its emitter in the whole unit
	room    *Room
	// receivers are the places as Solve used them.
	receivers []receiver
	elements  []element
	gathered  *gathered // what patches see; nil where it was restored
	finishes  []finish
	glow      glowing
	reflects  [][]landed          // by finish, then light
	means     [][]float64         // by finish, then band: reflectance at its node
	backings  map[string][]landed // by material, then light
	byName    map[string][]int
	sends     *sends
	veils     map[string]*veil // by object, in haze
	between   string           // of a mean of settings, the weights
}

// Light is one spectrum that drives of the rig give, for one watt, and what
// the senses make of it.
type Light struct {
	Spectrum light.Spectrum
	Weight   [senses]float64
	bands    banded
}

// Spread is an interval as factors of the best estimate.
type Spread struct{ Low, High float64 }

// Place is one receiver: a patch of a surface or object, an eye, a point of a
// path.
type Place struct {
	Name   string // surface, object, box, wall, seat, performer or path
	Kind   Kind
	At     Point
	Normal Point
	Area   float64 // m2 that is not under something, 0 for points
	Panel  int     // index in Panels, -1 for points
}

// Kind tells what a place is.
type Kind string

// What a place is.
const (
	KindWall    Kind = "wall"
	KindBox     Kind = "box"
	KindSurface Kind = "surface"
	KindObject  Kind = "object"
	KindSeat    Kind = "seat"
	KindPerson  Kind = "performer"
	KindPath    Kind = "path"
)

// seen is what a surface sends to the eye for one W/m2 of some light: a
// luminance, as colour (cd/m2 in Y) and for the other senses of sight.
type seen struct {
	colour           light.XYZ
	scotopic, violet float64
}

// landed is a light on a finish, by band: how what it scatters of one W/m² looks, and what the
// senses take of all that it reflects.
type landed struct {
	seen   []seen
	weight [senses][]float64
}

// landedOn makes it.
func landedOn(reflectance *light.Spectrum, mirrored float64, b *banded) (out landed) {
	parts := slices.Clone(b.part)
	for i := range parts {
		parts[i].Multiply(reflectance)
		out.seen = append(out.seen, seenOf(&parts[i]))
		parts[i].Add(&b.part[i], mirrored)
	}
	out.weight = weighed(parts)
	return out
}

// seenOf is for a matt surface, whose luminance is its exitance over π in every direction.
func seenOf(s *light.Spectrum) seen {
	const pi = 3.14159265358979323846
	return seen{s.XYZ().Times(1 / pi), float64(s.Scotopic()) / pi, float64(s.Seen()) / pi}
}

// add adds factor times b.
func (a *seen) add(b *seen, factor float64) {
	a.colour = a.colour.Plus(b.colour, factor)
	a.scotopic += b.scotopic * factor
	a.violet += b.violet * factor
}

// times is a, factor times.
func (a *seen) times(factor float64) (out seen) {
	out.add(a, factor)
	return out
}

// Find returns the places of a name: the patches of a surface's or object's
// front and of all faces of a box, the one place of an eye, the points of a
// path. It is nil when there is no such name.
func (t *Transport) Find(name string) []int { return t.byName[name] }

// Underfoot is the patch that somebody stands on whose eyes are there: of all that face up beneath
// them, of those that are highest the nearest; -1 when there is none.
func (t *Transport) Underfoot(eyes Point) int {
	const level = .05 // m, of two that count as one floor
	best, at, far := -1.0, -1, 0.0
	for i := range t.Places {
		p := &t.Places[i]
		if p.Panel < 0 || p.Area == 0 || p.Normal[2] < .9 || p.At[2] > eyes[2]-.5 {
			continue
		}
		q := &t.Panels[p.Panel]
		x, y, _ := q.local(eyes.vec())
		if x < 0 || y < 0 || x > q.w || y > q.h {
			continue
		}
		z, d := float64(p.At[2]), math.Hypot(float64(p.At[0]-eyes[0]), float64(p.At[1]-eyes[1]))
		if z > best+level || z > best-level && d < far {
			best, at, far = z, i, d
		}
	}
	return at
}

// index makes Find's lists; backs have the name of their front, and are left out.
func (t *Transport) index() {
	t.byName = map[string][]int{}
	for i := range t.Places {
		p := &t.Places[i]
		if p.Panel >= 0 && t.Panels[p.Panel].Back {
			continue
		}
		t.byName[p.Name] = append(t.byName[p.Name], i)
	}
}

// Names lists everything that Find knows, in the order of the places.
func (t *Transport) Names() []string {
	var out []string
	for i := range t.Places {
		if n := t.Places[i].Name; len(out) == 0 || out[len(out)-1] != n {
			out = append(out, n)
		}
	}
	return out
}
