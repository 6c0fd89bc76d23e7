package room

import (
	"math"

	"lampblack/light"
	"lampblack/si"
)

// Glow is a painted object against what is behind it.
type Glow struct {
	Object     string
	Colour     light.XYZ        // the object's whole look, cd/m2
	Own        light.XYZ        // of that, its fluorescence
	Behind     light.XYZ        // the background
	Target     light.Appearance // the object, for both kinds of sight
	Background light.Appearance
	// Ratio is luminance over that of the background for the daylight eye;
	// Photopic, Scotopic and Mesopic are Weber contrasts (a ratio less one)
	// for the daylight eye, the dark-adapted one, and one adapted to the
	// background by CIE 191:2010. Violet is the ratio with violet taken as
	// the eye sees it (VM of CIE 086:1990). Infinite over a black background.
	Ratio, Violet               float64
	Over                        float64 // luminance of the glow alone over that of the background
	Photopic, Scotopic, Mesopic float64
	// Luminance of the glow alone with the interval of outputs and paint.
	Luminance si.Estimate[si.Luminance]
}

// Glow computes an object's glow over its background; ok is false when there
// is no object of that name.
func (t *Transport) Glow(object string, levels []float32) (g Glow, ok bool) {
	o := t.room.Objects.Get(object)
	parts := t.parts(object)
	if o == nil || parts == nil {
		return Glow{}, false
	}
	whole := t.meanSeen(parts, levels, true, true)
	own := t.meanSeen(parts, levels, false, true)
	behind := t.behind(o, parts, levels)
	g = Glow{
		Object: object, Colour: whole.colour, Own: own.colour, Behind: behind.colour,
		Target: appearance(&whole), Background: appearance(&behind),
	}
	g.Ratio, g.Violet = ratio(whole.colour.Y, behind.colour.Y), ratio(whole.violet, behind.violet)
	if own.colour.Y > 0 {
		g.Over = own.colour.Y / behind.colour.Y
	}
	g.Photopic = g.Ratio - 1
	g.Scotopic = ratio(whole.scotopic, behind.scotopic) - 1
	g.Mesopic = light.Contrast(g.Target, g.Background)
	if math.IsNaN(g.Mesopic) {
		g.Mesopic = 0 // dark before dark
	}
	g.Luminance = t.glowBounds(object, parts, levels)
	return g, true
}

// ratio is a over b: 1 when both are dark, infinite over black alone.
func ratio(a, b float64) float64 {
	if a == b {
		return 1
	}
	return a / b
}

// appearance is what the adaptation of the eye is computed from.
func appearance(s *seen) light.Appearance {
	return light.Appearance{Photopic: si.Luminance(s.colour.Y), Scotopic: si.Luminance(s.scotopic)}
}

// behind is the look of an object's background.
func (t *Transport) behind(o *Object, parts []part, levels []float32) seen {
	if around := t.around(o); around != nil {
		return t.meanSeen(around, levels, true, true)
	}
	looks := t.backing(o)
	var out seen
	for _, p := range parts {
		for d, v := range t.Total[p.place] {
			if levels[d] != 0 {
				out.add(&looks[t.Light[d]], p.weight*float64(v)*float64(levels[d]))
			}
		}
	}
	return out
}

// backing is how a background that is a material, close behind the object and
// so in the same light, looks for one W/m2 of each light.
func (t *Transport) backing(o *Object) []seen { return t.backings[o.Background.Name] }

// backs fills in backing for the materials that objects have behind them.
func (t *Transport) backs(r *Room) {
	t.backings = map[string][]seen{}
	for i := range r.Objects {
		name := r.Objects[i].Value.Background.Name
		reflectance, ok := r.Reflectance(name)
		if !ok {
			reflectance, _ = r.Reflectance(DefaultDrape)
		}
		looks := make([]seen, len(t.Lights))
		for k := range looks {
			s := t.Lights[k].Spectrum
			s.Multiply(&reflectance)
			looks[k] = seenOf(&s)
		}
		t.backings[name] = looks
	}
}

// around returns those patches of the object's background that lie around its
// outline as seen from the middle of the audience: within its larger side of
// the line of sight, else the nearest one. It is nil for a background that is
// a material. An eye compares the object with what is beside it, so a bright far corner of
// a backdrop must not count.
func (t *Transport) around(o *Object) []part {
	eye := t.room.audienceMiddle()
	line := o.Centre.vec().minus(eye).unit()
	reach := math.Max(float64(o.Width), float64(o.Height))
	var out []part
	var nearest []part
	total, closest := 0.0, math.Inf(1)
	for _, p := range t.parts(o.Background.Name) {
		d := t.Places[p.place].At.vec().minus(eye)
		off := d.minus(line.times(d.dot(line))).length()
		if off < closest {
			closest, nearest = off, []part{{p.place, 1}}
		}
		if off <= reach {
			out = append(out, p)
			total += p.weight
		}
	}
	if out == nil {
		return nearest
	}
	for i := range out {
		out[i].weight /= total
	}
	return out
}

// GlowRows returns mean luminances (cd/m2) for each drive at full: of the
// object's own glow, of all that it looks like, and of its background. They
// are nil when there is no object of that name.
func (t *Transport) GlowRows(object string) (own, whole, behind []float64) {
	o := t.room.Objects.Get(object)
	parts := t.parts(object)
	if o == nil || parts == nil {
		return nil, nil, nil
	}
	own, whole = t.lookRow(parts, false, true), t.lookRow(parts, true, true)
	if around := t.around(o); around != nil {
		return own, whole, t.lookRow(around, true, true)
	}
	behind = make([]float64, len(t.Light))
	looks := t.backing(o)
	for _, p := range parts {
		for d, v := range t.Total[p.place] {
			behind[d] += p.weight * float64(v) * looks[t.Light[d]].colour.Y
		}
	}
	return own, whole, behind
}

// glowBounds widens the interval of the outputs by what is not known of the
// paint.
func (t *Transport) glowBounds(object string, parts []part, levels []float32) si.Estimate[si.Luminance] {
	e := t.bounds(t.lookRow(parts, false, true), levels)
	factor := 1.0
	if p := t.finishes[t.Panels[t.Places[parts[0].place].Panel].finish].paint; p != nil && p.Factor > 1 {
		factor = p.Factor
	}
	return si.Estimate[si.Luminance]{
		Best: si.Luminance(e.Best), Low: si.Luminance(float64(e.Low) / factor), High: si.Luminance(float64(e.High) * factor),
	}
}
