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
	Photopic, Scotopic, Mesopic float64
	// Luminance of the glow alone with the interval of outputs and paint.
	Luminance si.Estimate[si.Luminance]
}

// Glow computes an object's glow over its background; ok is false when there
// is no object of that name.
func (t *Transport) Glow(object string, levels []float32) (g Glow, ok bool) {
	o := t.room.Objects.Get(object)
	if o == nil || t.Find(object) == nil {
		return Glow{}, false
	}
	whole := t.meanSeen(object, levels, true, true)
	own := t.meanSeen(object, levels, false, true)
	behind := t.behind(object, o, levels)
	g = Glow{
		Object: object, Colour: whole.colour, Own: own.colour, Behind: behind.colour,
		Target: appearance(&whole), Background: appearance(&behind),
	}
	g.Ratio, g.Violet = whole.colour.Y/behind.colour.Y, whole.violet/behind.violet
	g.Photopic = light.WeberContrast(g.Target.Photopic, g.Background.Photopic)
	g.Scotopic = light.WeberContrast(g.Target.Scotopic, g.Background.Scotopic)
	g.Mesopic = light.Contrast(g.Target, g.Background)
	g.Luminance = t.glowBounds(object, levels)
	return g, true
}

func appearance(s *seen) light.Appearance {
	return light.Appearance{Photopic: si.Luminance(s.colour.Y), Scotopic: si.Luminance(s.scotopic)}
}

// behind is the look of an object's background: the patches of the named
// surface that are near the object as the audience sees it, or a material
// under the light that the object itself is in.
func (t *Transport) behind(name string, o *Object, levels []float32) seen {
	if places := t.Find(o.Background.Name); places != nil {
		return t.nearBehind(o, places, levels)
	}
	material := o.Background.Name
	if material == "" {
		material = DefaultDrape
	}
	reflectance, _ := t.room.Reflectance(material)
	var out seen
	places := t.Find(name)
	total := t.area(places)
	for k := range t.Lights {
		e := 0.0
		for _, p := range places {
			for d, v := range t.Total[p] {
				if t.Light[d] == k {
					e += t.share(p) / total * float64(v) * float64(levels[d])
				}
			}
		}
		s := t.Lights[k].Spectrum
		s.Multiply(&reflectance)
		one := seenOf(&s)
		out.add(&one, e)
	}
	return out
}

// nearBehind is the mean look of those patches of the background that lie
// around the object's outline as seen from the middle of the audience: within
// its larger side of the line of sight, else the nearest one.
func (t *Transport) nearBehind(o *Object, places []int, levels []float32) seen {
	eye := t.room.audienceMiddle()
	centre := o.Centre.vec()
	line := centre.minus(eye).unit()
	reach := math.Max(float64(o.Width), float64(o.Height))
	var out seen
	total, nearest, closest := 0.0, -1, math.Inf(1)
	for _, p := range places {
		w := t.share(p)
		if w == 0 {
			continue
		}
		d := t.Places[p].At.vec().minus(eye)
		off := d.minus(line.times(d.dot(line))).length()
		if off < closest {
			closest, nearest = off, p
		}
		if off <= reach {
			one := t.seenAt(p, levels, true, true)
			out.add(&one, w)
			total += w
		}
	}
	switch {
	case total > 0:
		var mean seen
		mean.add(&out, 1/total)
		return mean
	case nearest >= 0:
		return t.seenAt(nearest, levels, true, true)
	}
	return out
}

// GlowRow returns the mean luminance of an object's own glow, in cd/m2, for
// each drive at full, or nil when there is no such object.
func (t *Transport) GlowRow(object string) []float64 {
	places := t.Find(object)
	if places == nil || t.Places[places[0]].Panel < 0 {
		return nil
	}
	f := t.Panels[t.Places[places[0]].Panel].finish
	out := make([]float64, len(t.Light))
	total := t.area(places)
	for _, p := range places {
		for d, v := range t.Total[p] {
			out[d] += t.share(p) / total * float64(v) * t.glow.look[f][t.Light[d]].colour.Y
		}
	}
	return out
}

// glowBounds widens the interval of the outputs by what is not known of the
// paint.
func (t *Transport) glowBounds(object string, levels []float32) si.Estimate[si.Luminance] {
	row := t.GlowRow(object)
	e := t.bounds(row, levels)
	factor := 1.0
	if p := t.finishes[t.Panels[t.Places[t.Find(object)[0]].Panel].finish].paint; p != nil && p.Factor > 1 {
		factor = p.Factor
	}
	return si.Estimate[si.Luminance]{
		Best: si.Luminance(e.Best), Low: si.Luminance(float64(e.Low) / factor), High: si.Luminance(float64(e.High) * factor),
	}
}
