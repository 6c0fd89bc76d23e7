package described

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"lampblack/light"
	"lampblack/rig"
	"lampblack/source"
	"lampblack/wire/gdtf"
	"lampblack/wire/mvr"
)

// Write makes a description of a type, and says what of the type no description can hold.
func Write(t *rig.Type) (*gdtf.FixtureType, []Note) {
	w := &writer{t: t, attributes: attributes(t), used: map[string]bool{}}
	w.out = &gdtf.FixtureType{
		Name: unique(gdtf.Name(t.ID), nil), LongName: t.Name, Manufacturer: "not told", CanHaveChildren: "No",
		ID: mvr.NameUUID("fixture type " + t.ID).String(),
	}
	w.emitters()
	if t.Weight > 0 {
		w.out.Physical.Properties.Weight = append(w.out.Physical.Properties.Weight, struct {
			Value gdtf.Figure `gdtf:"Value"`
		}{gdtf.Is(figured(float64(t.Weight)))})
	}
	w.out.Description = w.forPeople()
	w.parts()
	var names []string
	for i := range t.Modes {
		name := unique(gdtf.Name(t.Modes[i].Name), names)
		names = append(names, name)
		w.mode(name, &t.Modes[i].Value)
	}
	w.extraParts()
	w.definitions()
	if t.Table.Name != "" {
		w.note("", 0, "its intensity table %s cannot be said: it goes out as a beam and a field angle", t.Table.Name)
	}
	for i := range t.Emitters {
		if s := w.beamOf(i).Shape; s != "" {
			w.note("", 0, "%s: the shape of its beam, %s, cannot be said", t.Emitters[i].Name, s)
		}
	}
	return w.out, w.notes
}

// ModeName is what Write calls a mode.
func ModeName(t *rig.Type, mode string) string {
	var names []string
	for i := range t.Modes {
		name := unique(gdtf.Name(t.Modes[i].Name), names)
		if t.Modes[i].Name == mode {
			return name
		}
		names = append(names, name)
	}
	return ""
}

// unique adds a number to a name that is taken.
func unique(name string, taken []string) string {
	if name == "" {
		name = "no name"
	}
	for n := 2; ; n++ {
		if !slices.Contains(taken, name) {
			return name
		}
		name = fmt.Sprintf("%s (%d)", strings.TrimSuffix(name, fmt.Sprintf(" (%d)", n-1)), n)
	}
}

type writer struct {
	t          *rig.Type
	out        *gdtf.FixtureType
	attributes []string // by emitter
	links      []string // by emitter: its name in the description
	optics     []string // by emitter: the part that has its openings
	used       map[string]bool
	extra      []string // parts for slots that need one of their own
	profiles   map[[4]float64]string
	notes      []Note
}

func (w *writer) note(mode string, slot int, format string, args ...any) {
	w.notes = append(w.notes, Note{mode, slot, fmt.Sprintf(format, args...)})
}

// atOneMetre says what no table of the standard says; Read knows it again.
const atOneMetre = "Energy of emitters is spectral irradiance on the axis at 1 m."

// Between these stand the outputs with their intervals, which no table of the standard holds: without them what is
// hardly known would come back as a figure. Read knows them again.
const outputsFrom, outputsTo = "Outputs: ", " (end of outputs)."

func (w *writer) outputs() string {
	var parts []string
	for i, name := range w.links {
		o := &w.t.Emitters[i].Value.Output
		text := o.Radiant.String()
		if o.InLumens() {
			text = o.Luminous.String()
		}
		parts = append(parts, name+" = "+text)
	}
	return outputsFrom + strings.Join(parts, "; ") + outputsTo
}

// forPeople is what has no attribute of its own.
func (w *writer) forPeople() string {
	t := w.t
	parts := []string{atOneMetre, w.outputs()}
	if t.OnLoss != "" {
		parts = append(parts, fmt.Sprintf("When data stops: %s.", t.OnLoss))
	}
	if t.Supply.Inrush.Peak > 0 {
		parts = append(parts, fmt.Sprintf("Inrush %v.", t.Supply.Inrush))
	}
	if t.Supply.Leakage > 0 {
		parts = append(parts, fmt.Sprintf("Leakage current %v.", t.Supply.Leakage))
	}
	if t.Supply.Link > 0 {
		parts = append(parts, fmt.Sprintf("At most %d units in one chain.", t.Supply.Link))
	}
	if t.Notes != "" {
		parts = append(parts, t.Notes)
	}
	return strings.Join(parts, " ")
}

// beamOf is the beam of an emitter.
func (w *writer) beamOf(e int) rig.Beam {
	if own := w.t.Emitters[e].Value.Beam; own != nil {
		return *own
	}
	return w.t.Beam
}

// lumens is the light of the emitters that have the beam of e.
func (w *writer) lumens(e int) (sum float64) {
	for k := range w.t.Emitters {
		if w.optics[k] == w.optics[e] && !w.t.Emitters[k].Value.Light.BlackLight() {
			sum += w.t.Emitters[k].Value.Light.Colour.Y
		}
	}
	return sum
}

// emitters writes their colours and spectra.
func (w *writer) emitters() {
	// Where some have beams of their own, a channel of the body would have all openings.
	common := "Body"
	if slices.ContainsFunc(w.t.Emitters, func(e source.Entry[rig.Emitter]) bool { return e.Value.Beam != nil }) {
		common = "Optics"
	}
	for i := range w.t.Emitters {
		w.links = append(w.links, unique(gdtf.Name(w.t.Emitters[i].Name), w.links))
		part := common
		if w.t.Emitters[i].Value.Beam != nil {
			part = ""
			for k := range i {
				if own := w.t.Emitters[k].Value.Beam; own != nil && own.Half == w.beamOf(i).Half && own.Tenth == w.beamOf(i).Tenth {
					part = w.optics[k]
				}
			}
			if part == "" {
				part = "Optics of " + w.links[i]
			}
		}
		w.optics = append(w.optics, part)
	}
	for i := range w.t.Emitters {
		w.out.Physical.Emitters = append(w.out.Physical.Emitters, w.emitter(i))
	}
}

func (w *writer) emitter(i int) gdtf.Emitter {
	e := &w.t.Emitters[i].Value
	l := &e.Light
	out := gdtf.Emitter{Name: w.links[i]}
	if l.BlackLight() {
		out.Wavelength = gdtf.Is(peakOf(&l.Spectrum))
	} else {
		xy := l.Colour.XY()
		out.Color = gdtf.CIE{X: digits(xy.X, 5), Y: digits(xy.Y, 5), Lum: digits(100*l.Colour.Y/max(w.lumens(i), 1e-9), 3), Told: true}
	}
	axis := w.t.Peak(e) // 1/sr
	m := gdtf.Measurement{Physical: gdtf.Is(100), Intensity: gdtf.Is(figured(l.Colour.Y * axis))}
	top := 0.0
	for _, v := range l.Spectrum {
		top = max(top, v)
	}
	// The steps may be 4 nm; 2 nm leave a narrow line its peak.
	for nm := light.First; nm <= light.Last; nm += 2 {
		if v := l.Spectrum.At(nm1(nm)); v > top*1e-4 {
			m.WaveLengths = append(m.WaveLengths, gdtf.Point{WaveLength: gdtf.Is(float64(nm)), Energy: gdtf.Is(figured(v * l.Watts / float64(max(l.Spectrum.Power(), 1e-12)) * axis))})
		}
	}
	out.Measurements = []gdtf.Measurement{m}
	return out
}

func peakOf(s *light.Spectrum) float64 {
	best, top := light.First, -1.0
	for nm := light.First; nm <= light.Last; nm++ {
		if v := s.At(nm1(nm)); v > top {
			best, top = nm, v
		}
	}
	return float64(best)
}

// digits rounds to so many places behind the point, figured to six figures, so that files are the same on
// every machine.
func digits(v float64, places int) float64 {
	p := math.Pow(10, float64(places))
	return math.Round(v*p) / p
}

func figured(v float64) float64 {
	if v <= 0 {
		return 0
	}
	return digits(v, 5-int(math.Floor(math.Log10(v))))
}

// parts writes the lamp: a body with the openings of all cells, another set of openings for each beam of an
// emitter's own, and its plugs.
func (w *writer) parts() {
	t := w.t
	if t.Size[0] > 0 && t.Size[1] > 0 && t.Size[2] > 0 {
		w.out.Models = []gdtf.Model{{Name: "Housing", Length: gdtf.Is(figured(float64(t.Size[0]))), Width: gdtf.Is(figured(float64(t.Size[1]))), Height: gdtf.Is(figured(float64(t.Size[2]))), Primitive: "Cube"}}
	}
	body := gdtf.Geometry{Kind: gdtf.Plain, Name: "Body"}
	if w.out.Models != nil {
		body.Model = "Housing"
	}
	// The type's own beam first: it is what Read takes as that of the lamp.
	order := slices.Clone(w.optics)
	slices.SortStableFunc(order, func(a, b string) int {
		return strings.Compare(strings.TrimPrefix(a, "Optics"), strings.TrimPrefix(b, "Optics"))
	})
	for _, name := range slices.Compact(order) {
		i := slices.Index(w.optics, name)
		switch {
		case name == "Body":
			body.Parts = append(body.Parts, w.openings("Cell", w.beamOf(i), i)...)
		default:
			body.Parts = append(body.Parts, gdtf.Geometry{Kind: gdtf.Plain, Name: name, Parts: w.openings(name+" in cell", w.beamOf(i), i)})
		}
	}
	body.Parts = append(body.Parts, gdtf.Geometry{Kind: gdtf.Wiring, Name: "Data in", Component: "Input", Signal: "DMX512"})
	if t.Supply.Max > 0 {
		power := gdtf.Geometry{Kind: gdtf.Wiring, Name: "Supply", Component: "Consumer", Signal: "Power", Load: gdtf.Is(figured(float64(t.Supply.Max)))}
		if t.Supply.Factor > 0 {
			power.CosPhi = gdtf.Is(figured(float64(t.Supply.Factor)))
		}
		body.Parts = append(body.Parts, power)
	}
	w.out.Geometries = []gdtf.Geometry{body}
}

// openings are one for each cell, cell 1 at the lowest x.
func (w *writer) openings(name string, b rig.Beam, emitter int) []gdtf.Geometry {
	n := w.t.CellCount()
	var out []gdtf.Geometry
	for c := range n {
		g := gdtf.Geometry{Kind: gdtf.Beam, Name: fmt.Sprintf("%s %d", name, c+1), BeamType: "Wash",
			Position: gdtf.At(digits((float64(c)-float64(n-1)/2)*float64(w.t.Size[0])/float64(n), 6), 0, 0), BeamAngle: gdtf.Is(degrees(b.Half))}
		if b.Tenth > 0 {
			g.FieldAngle = gdtf.Is(degrees(b.Tenth))
		}
		if emitter >= 0 && w.lumens(emitter) > 0 {
			g.Flux = gdtf.Is(figured(w.lumens(emitter) / float64(n)))
		}
		if l := w.t.Lens; l[0] > 0 && l[1] > 0 {
			g.Radius = gdtf.Is(figured(math.Sqrt(float64(l[0]*l[1]) / math.Pi)))
		}
		out = append(out, g)
	}
	return out
}

func degrees[T ~float64](a T) float64 { return digits(float64(a)*180/math.Pi, 6) }

// extraParts adds those that slots need for themselves, so that no two channels have one name.
func (w *writer) extraParts() {
	for _, name := range w.extra {
		w.out.Geometries[0].Parts = append(w.out.Geometries[0].Parts, gdtf.Geometry{Kind: gdtf.Plain, Name: name})
	}
}
