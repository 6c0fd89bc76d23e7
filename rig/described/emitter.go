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

// spectrum is what is told of it, nearest to measurement first; s is nil where there is no table.
func (e *emitter) spectrum() (text string, s *light.Spectrum, ok bool) {
	if e.told == nil {
		return "", nil, false
	}
	if points := e.points(); len(points) >= 2 {
		if table, err := light.Table(points); err == nil && table.Power() > 0 {
			if line, ok := asLine(&table); ok {
				return line, &table, true
			}
			return "spectrum: [" + rows(thinned(points)) + "]", &table, true
		}
	}
	if w := e.told.Wavelength; w.Told && w.Value >= 300 && w.Value <= 780 && e.word != "white" && e.word != "warm white" && e.word != "cold white" {
		return fmt.Sprintf("peak: %v, width: %d nm", si.Wavelength(w.Value), widthAt(w.Value)), nil, true
	}
	if c := e.told.Color; c.Told && (e.word == "white" || e.word == "warm white" || e.word == "cold white" || e.word == "light") {
		if k := correlated(c.X, c.Y); k >= 2000 && k <= 20000 {
			return fmt.Sprintf("like: phosphor %.0f K", math.Round(k/100)*100), nil, true
		}
	}
	return "", nil, false
}

// widthAt is the full width at half maximum of common LEDs of a peak, in nm (from memory).
func widthAt(peak float64) int {
	switch {
	case peak < 430:
		return 14
	case peak < 490:
		return 22
	case peak < 560:
		return 33
	}
	return 18
}

// correlated is the colour temperature of a white by McCamy's formula (Color Res. Appl. 17, 142, 1992).
func correlated(x, y float64) float64 {
	n := (x - .3320) / (.1858 - y)
	return 449*n*n*n + 3525*n*n + 6823.3*n + 5520.33
}

// full is the measurement at the highest drive.
func (e *emitter) full() *gdtf.Measurement {
	if e.told == nil || len(e.told.Measurements) == 0 {
		return nil
	}
	best := &e.told.Measurements[0]
	for i := range e.told.Measurements {
		if m := &e.told.Measurements[i]; m.Physical.Value > best.Physical.Value {
			best = m
		}
	}
	return best
}

// mostRows bounds a spectrum that is written into a type.
const mostRows = 400

// points is the measured spectrum in the range that light is computed in.
func (e *emitter) points() []light.Point {
	m := e.full()
	if m == nil {
		return nil
	}
	var out []light.Point
	for _, p := range m.WaveLengths {
		if w := p.WaveLength.Value; w >= light.First && w <= light.Last && p.Energy.Value >= 0 {
			out = append(out, light.Point{At: si.Wavelength(w), Value: p.Energy.Value})
		}
	}
	slices.SortStableFunc(out, func(a, b light.Point) int { return int(math.Copysign(1, float64(a.At-b.At))) })
	out = slices.CompactFunc(out, func(a, b light.Point) bool { return a.At == b.At })
	for len(out) > mostRows {
		kept := out[:0]
		for i := range out {
			if i%2 == 0 {
				kept = append(kept, out[i])
			}
		}
		out = kept
	}
	return out
}

// asLine finds the single-colour LED that a spectrum is, within 2 % of its light.
func asLine(s *light.Spectrum) (text string, ok bool) {
	whole := *s
	whole.Normalise()
	best, off := "", .02
	top := light.First
	for nm := light.First; nm <= light.Last; nm++ {
		if whole[nm-light.First] > whole[top-light.First] {
			top = nm
		}
	}
	// Such lines are even to both sides.
	middle, about := math.Round(float64(whole.Mean())*2)/2, halfWidth(&whole, top)
	if about > 120 || math.Abs(middle-float64(top)) > 5 {
		return "", false
	}
	for peak := middle - .5; peak <= middle+.5; peak += .5 {
		for width := max(about-1, 5); width <= about+2; width++ {
			model, err := light.LED(si.Wavelength(peak), si.Wavelength(width))
			if err != nil {
				continue
			}
			d := 0.0
			for i := range model {
				d += math.Abs(model[i]-whole[i]) / 2
			}
			if d < off {
				best, off = fmt.Sprintf("peak: %v, width: %v", si.Wavelength(peak), si.Wavelength(width)), d
			}
		}
	}
	return best, best != ""
}

// halfWidth is how many nm have more than half of the highest value, in one piece about it.
func halfWidth(s *light.Spectrum, top int) float64 {
	half := s[top-light.First] / 2
	a, b := top, top
	for a > light.First && s[a-light.First] > half {
		a--
	}
	for b < light.Last && s[b-light.First] > half {
		b++
	}
	return float64(b - a - 1)
}

// thinned leaves out points that lie on the line between others, but for a four hundredth of the
// highest value.
func thinned(points []light.Point) []light.Point {
	top := 0.0
	for _, p := range points {
		top = max(top, p.Value)
	}
	out := points[:1:1]
	for i := 0; i < len(points)-1; {
		next := i + 1
		for k := i + 2; k < len(points) && straight(points[i:k+1], top/400); k++ {
			next = k
		}
		out = append(out, points[next])
		i = next
	}
	return out
}

func straight(points []light.Point, off float64) bool {
	a, b := points[0], points[len(points)-1]
	for _, p := range points[1 : len(points)-1] {
		at := a.Value + (b.Value-a.Value)*float64(p.At-a.At)/float64(b.At-a.At)
		if math.Abs(at-p.Value) > off {
			return false
		}
	}
	return true
}

// rows writes a spectrum relative to its highest value.
func rows(points []light.Point) string {
	top := 0.0
	for _, p := range points {
		top = max(top, p.Value)
	}
	var parts []string
	for _, p := range points {
		parts = append(parts, fmt.Sprintf("{at: %v, power: %s}", p.At, strconv.FormatFloat(math.Round(p.Value/top*1e4)/1e4, 'f', -1, 64)))
	}
	return strings.Join(parts, ", ")
}

// output is the light of an emitter: from the lumens of its openings and its share of them, from its intensity
// on the axis, or for ultraviolet from its irradiance. "" when nothing tells.
func (r *reader) output(e *emitter, beams []*gdtf.Geometry, s *light.Spectrum) string {
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
