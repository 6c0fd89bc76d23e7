package described

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"lampblack/light"
	"lampblack/rig"
	"lampblack/si"
	"lampblack/wire/gdtf"
)

// emitter is one colour of light of the type.
type emitter struct {
	name, text string
	told       *gdtf.Emitter // or nil
	word       string
	beam       *gdtf.Geometry // of one of its openings, or nil
}

// emitter returns the index of the emitter that a function drives; a new one the first time.
func (r *reader) emitter(f *gdtf.Function, word string, beam *gdtf.Geometry) int {
	key := word
	var told *gdtf.Emitter
	if f.Emitter != "" {
		key = "/" + f.Emitter
		i := slices.IndexFunc(r.t.Physical.Emitters, func(e gdtf.Emitter) bool { return e.Name == f.Emitter })
		if i >= 0 {
			told = &r.t.Physical.Emitters[i]
		} else {
			r.note("", 0, "emitter %q is not described", f.Emitter)
		}
	}
	if r.keys == nil {
		r.keys = map[string]int{}
	}
	if i, ok := r.keys[key]; ok {
		return i
	}
	name := word
	if n := strings.TrimSpace(f.Emitter); len(n) > 3 || strings.EqualFold(n, "uv") {
		name = n
	}
	if name == "all" { // a type's word for all emitters
		name = "all of it"
	}
	for n := 2; slices.ContainsFunc(r.out.emitters, func(e emitter) bool { return e.name == name }); n++ {
		name = fmt.Sprintf("%s %d", word, n)
	}
	r.keys[key] = len(r.out.emitters)
	r.out.emitters = append(r.out.emitters, emitter{name: name, told: told, word: word, beam: beam})
	return len(r.out.emitters) - 1
}

// describe writes the light of an emitter.
func (r *reader) describe(e *emitter, beams []*gdtf.Geometry, own *beamAngles) {
	usualSpectrum, usualOutput := usualLight(e.word)
	spectrum, s, ok := e.spectrum()
	if !ok {
		spectrum = usualSpectrum
		r.note("", 0, "the spectrum of %s is not told: it is that of many such lamps", e.name)
	}
	if spectrum == "" {
		spectrum = usualSpectrum
	}
	output := r.output(e, beams, s)
	if output == "" {
		output = usualOutput
		r.note("", 0, "the output of %s is not told: it is that of many such lamps", e.name)
	}
	e.text = "{" + spectrum + ", " + output + own.text() + "}"
}

// output is the light of an emitter: from the lumens of its openings and its share of them, from its intensity
// on the axis, or for ultraviolet from its irradiance. "" when nothing tells.
func (r *reader) output(e *emitter, beams []*gdtf.Geometry, s *light.Spectrum) string {
	if text := r.ownOutput(e); text != "" {
		return "output: " + text
	}
	dark := e.word == "uv"
	if s != nil {
		dark = s.Efficacy() < 10
	} else if e.told != nil && e.told.Wavelength.Told {
		dark = e.told.Wavelength.Value < 430
	}
	peak := r.peak(e)
	m := e.full()
	if dark {
		if m == nil || s == nil || peak == 0 || float64(s.Power()) <= 0 {
			return ""
		}
		watts := float64(s.Power()) / peak
		if strings.Contains(r.t.Description, atOneMetre) {
			return fmt.Sprintf("output: %s W ± 30 %%", figures(watts))
		}
		r.note("", 0, "the output of %s follows from irradiance that is told without a distance: 1 m is taken, in a wide interval", e.name)
		return fmt.Sprintf("output: %s W (%s W to %s W)", figures(watts), figures(watts/3), figures(watts*3))
	}
	flux := 0.0
	for _, b := range beams {
		if !b.Flux.Told || r.defaulted(b) {
			flux = 0
			break
		}
		flux += b.Flux.Value
	}
	if n := len(beams); n > 0 { // an output is that of all cells, also of those that no slot drives
		flux *= float64(max(n, r.out.cells)) / float64(n)
	}
	share := 0.0
	if e.told != nil && e.told.Color.Told {
		share = e.told.Color.Lum / 100
	}
	if len(r.out.emitters) == 1 && share == 0 {
		share = 1
	}
	switch lumens := flux * share; {
	case lumens > 0 && lumens < 1e6:
		return spread(lumens)
	case m != nil && m.Intensity.Value > 0 && peak > 0:
		return spread(m.Intensity.Value / peak)
	}
	return ""
}

// ownOutput finds the output of an emitter, interval and all, in the text of a description that Write made.
func (r *reader) ownOutput(e *emitter) string {
	if e.told == nil || !strings.Contains(r.t.Description, atOneMetre) {
		return ""
	}
	_, rest, _ := strings.Cut(r.t.Description, outputsFrom)
	list, _, whole := strings.Cut(rest, outputsTo)
	if !whole {
		return ""
	}
	for part := range strings.SplitSeq(list, "; ") {
		name, text, _ := strings.Cut(part, " = ")
		var o rig.Output
		if name == e.told.Name && o.UnmarshalText([]byte(text)) == nil && !strings.ContainsAny(text, "{}#\n\r") {
			return text
		}
	}
	return ""
}

// spread is lumens in the interval that data sheets of makers deserve (common practice, no source).
func spread(lumens float64) string {
	return fmt.Sprintf("output: %s lm ± 30 %%", figures(lumens))
}

// figures is a number with five figures and no exponent.
func figures(v float64) string {
	digits := max(0, 4-int(math.Floor(math.Log10(max(v, 1e-9)))))
	text := fmt.Sprintf("%.*f", digits, v)
	if strings.Contains(text, ".") {
		text = strings.TrimRight(strings.TrimRight(text, "0"), ".")
	}
	return text
}

// decimal is a number without an exponent.
func decimal(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// defaulted tells whether an opening has the standard's defaults, which some programs write where nobody
// said anything.
func (r *reader) defaulted(b *gdtf.Geometry) bool {
	if b.Flux == gdtf.Is(10000) && b.Power == gdtf.Is(1000) {
		r.note("", 0, "10000 lm and 1000 W are the standard's defaults: taken as not told")
		return true
	}
	return false
}

// peak is the intensity on the axis for one unit of the emitter's flux.
func (r *reader) peak(e *emitter) float64 {
	a := anglesOf(e.beam)
	if a == nil {
		return 0
	}
	b := rig.Beam{Half: si.Angle(a.half * math.Pi / 180), Tenth: si.Angle(a.tenth * math.Pi / 180)}
	d, err := b.Distribution()
	if err != nil {
		return 0
	}
	return d.Peak()
}

// beamAngles are those of an opening, in degrees; tenth is 0 where it is not told.
type beamAngles struct{ half, tenth float64 }

// anglesOf is nil for an opening that tells none a lamp can have.
func anglesOf(g *gdtf.Geometry) *beamAngles {
	if g == nil || !g.BeamAngle.Told || g.BeamAngle.Value < 1 || g.BeamAngle.Value > 179 {
		return nil
	}
	a := &beamAngles{half: g.BeamAngle.Value}
	if f := g.FieldAngle; f.Told && f.Value > a.half && f.Value < 180 {
		a.tenth = f.Value
	}
	return a
}

// text is the key of an emitter's own beam, "" for none.
func (a *beamAngles) text() string {
	if a == nil {
		return ""
	}
	return ", beam: " + a.beam()
}

func (a *beamAngles) beam() string {
	if a.tenth > 0 {
		return fmt.Sprintf("{half: %s°, tenth: %s°}", figures(a.half), figures(a.tenth))
	}
	return fmt.Sprintf("{half: %s°}", figures(a.half))
}
