package room

import (
	"math"

	"lampblack/light"
	"lampblack/si"
)

// Glow is a painted object against what is behind it.
type Glow struct {
	Object string
	Colour light.XYZ // the object's whole look, cd/m2
	Own    light.XYZ // of that, its fluorescence
	Behind light.XYZ // the background
	// Adapted is how far the eye that judges it is adapted to light, by CIE 191:2010: 1 where
	// cones alone see, 0 where rods alone do. SeenOwn and SeenBehind are the luminances of the
	// fluorescence alone and of the background for that eye, and Over is the one over the
	// other: infinite over black.
	Adapted             float64
	SeenOwn, SeenBehind si.Luminance
	Over                float64
	// Stray is the share of SeenBehind that is not the show's light, and Worst is Over where
	// there is as much of that as its words may stand for.
	Stray, Worst float64
	// Washed is the share of what is seen of the object that is light which is not the show's, thrown back by
	// its paint: it looks like a thing in daylight, and not like one that glows.
	Washed float64
	// Luminance of the glow alone with the interval of outputs and paint.
	Luminance si.Estimate[si.Luminance]
	// Least is what SeenOwn must be for the seat to which the object is smallest.
	Least si.Estimate[si.Luminance]
	From  string
}

// Glow computes an object's glow over its background; ok is false when there
// is no object of that name.
//
// The eye is in the middle of the audience and adapted to what is ten degrees about the
// object, it included. What it sees is worked out by CIE 191:2010, cones taking violet by VM
// of CIE 086:1990: by V, which lux are made with, the violet that black lights leak would
// count for a seventh of what it looks like.
func (t *Transport) Glow(object string, levels []float32) (g Glow, ok bool) {
	o := t.room.Objects.Get(object)
	parts := t.parts(object)
	if o == nil || parts == nil {
		return Glow{}, false
	}
	whole := t.meanSeen(parts, levels, true, true)
	own := t.meanSeen(parts, levels, false, true)
	behind := t.behind(o, parts, levels)
	v := t.veils[object]
	v.over(t, &whole, levels)
	v.over(t, &behind, levels)
	own = own.times(v.dim())
	g = Glow{Object: object, Colour: whole.colour, Own: own.colour, Behind: behind.colour}
	stray := t.strayed(o, parts)
	behind.add(&stray.behind, 1)
	whole.add(&stray.whole, 1)
	own.add(&stray.own, 1)
	share := t.inView(o, parts)
	var field seen
	field.add(&whole, share)
	field.add(&behind, 1-share)
	_, g.Adapted = light.Mesopic(si.Luminance(field.violet), si.Luminance(field.scotopic))
	g.SeenOwn, g.SeenBehind = own.to(g.Adapted), behind.to(g.Adapted)
	if g.SeenOwn > 0 {
		g.Over = float64(g.SeenOwn / g.SeenBehind)
		most := g.SeenBehind + stray.most.to(g.Adapted) - stray.behind.to(g.Adapted)
		g.Worst = float64(g.SeenOwn / most)
	}
	if seen := float64(whole.to(g.Adapted)); seen > 0 {
		g.Washed = float64(stray.whole.to(g.Adapted)-stray.own.to(g.Adapted)) / seen
	}
	if g.SeenBehind > 0 {
		g.Stray = float64(stray.behind.to(g.Adapted) / g.SeenBehind)
	}
	g.Luminance = t.glowBounds(object, parts, levels)
	g.Least, g.From = t.least(o, parts, g.SeenBehind)
	return g, true
}

// to is a luminance for an eye that is adapted so far.
func (s *seen) to(adapted float64) si.Luminance {
	return light.SeenAt(si.Luminance(s.violet), si.Luminance(s.scotopic), adapted)
}

// viewed is half of the field that an eye is adapted to: ten degrees (a choice; CIE 191:2010
// leaves it open).
const viewed = 5 * math.Pi / 180

// inView is the object's share of that field, from the middle of the audience.
func (t *Transport) inView(o *Object, parts []part) float64 {
	to := t.middle(parts).minus(t.room.audienceMiddle())
	far := to.length()
	facing := math.Abs(to.unit().dot(t.Places[parts[0].place].Normal.vec()))
	return math.Min(1, float64(o.Width*o.Height)*facing/(far*far)/(math.Pi*viewed*viewed))
}

// middle is the middle of places.
func (t *Transport) middle(parts []part) vec {
	var sum vec
	for _, p := range parts {
		sum = sum.plus(t.Places[p.place].At.vec().times(p.weight))
	}
	return sum
}

// least is what an object must glow with to be seen from the seat to which it is smallest, of
// those that it faces; from the middle of the audience where there are none.
func (t *Transport) least(o *Object, parts []part, behind si.Luminance) (si.Estimate[si.Luminance], string) {
	at, normal := t.middle(parts), t.Places[parts[0].place].Normal.vec()
	far, from := at.minus(t.room.audienceMiddle()).length(), "the middle of the audience"
	seated := false
	for i := range t.room.Seats {
		to := t.room.Seats[i].At.vec().minus(at)
		if d := to.length(); to.dot(normal) > 0 && (d > far || !seated) {
			far, from, seated = d, t.room.Seats[i].Name, true
		}
	}
	return light.LeastSeen(behind, si.Angle(2*math.Atan(float64(min(o.Width, o.Height))/2/far))), from
}

// behind is the look of an object's background.
func (t *Transport) behind(o *Object, parts []part, levels []float32) seen {
	if around := t.around(o, parts); around != nil {
		return t.meanSeen(around, levels, true, true)
	}
	looks := t.backing(o)
	var out seen
	for _, p := range parts {
		for d, k := range t.Light {
			if levels[d] == 0 {
				continue
			}
			for i := range looks[k].seen {
				out.add(&looks[k].seen[i], p.weight*float64(t.total[p.place][t.column[d]+i])*t.watts[d]*float64(levels[d]))
			}
		}
	}
	return out
}

// backing is how a background that is a material, close behind the object and
// so in the same light, looks for one W/m2 of each light.
func (t *Transport) backing(o *Object) []landed { return t.backings[o.Background.Name] }

// backs fills in backing for the materials that objects have behind them.
func (t *Transport) backs(r *Room) {
	t.backings = map[string][]landed{}
	for i := range r.Objects {
		name := r.Objects[i].Value.Background.Name
		reflectance, ok := r.Reflectance(name)
		if !ok {
			reflectance, _ = r.Reflectance(DefaultDrape)
		}
		looks := make([]landed, len(t.Lights))
		for k := range looks {
			looks[k] = landedOn(&reflectance, 0, &t.Lights[k].bands)
		}
		t.backings[name] = looks
	}
}

// around returns those patches of the object's background that lie around its
// outline as seen from the middle of the audience: within its larger side of
// the line of sight, else the nearest one. It is nil for a background that is
// a material. An eye compares the object with what is beside it, so a bright far corner of
// a backdrop must not count.
func (t *Transport) around(o *Object, of []part) []part {
	eye := t.room.audienceMiddle()
	line := t.middle(of).minus(eye).unit()
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
	return t.rowsOfGlow(object, photopic)
}

// SeenRows is GlowRows for an eye that is adapted as Glow.Adapted has it.
func (t *Transport) SeenRows(object string, adapted float64) (own, whole, behind []float64) {
	return t.rowsOfGlow(object, func(s *seen) float64 { return float64(s.to(adapted)) })
}

// SeenStray is what light that is not the show's adds to the rows of SeenRows, whatever the
// levels: to the object's own glow and to its background.
func (t *Transport) SeenStray(object string, adapted float64) (own, behind float64) {
	o := t.room.Objects.Get(object)
	parts := t.parts(object)
	if o == nil || parts == nil {
		return 0, 0
	}
	s := t.strayed(o, parts)
	return float64(s.own.to(adapted)), float64(s.behind.to(adapted))
}

func photopic(s *seen) float64 { return s.colour.Y }

func (t *Transport) rowsOfGlow(object string, to func(*seen) float64) (own, whole, behind []float64) {
	o := t.room.Objects.Get(object)
	parts := t.parts(object)
	if o == nil || parts == nil {
		return nil, nil, nil
	}
	v := t.veils[object]
	own, whole = t.lookRow(parts, false, true, to), t.lookRow(parts, true, true, to)
	for d := range own {
		own[d] *= v.dim()
	}
	v.rows(t, whole, to)
	if around := t.around(o, parts); around != nil {
		behind = t.lookRow(around, true, true, to)
		v.rows(t, behind, to)
		return own, whole, behind
	}
	behind = make([]float64, len(t.Light))
	looks := t.backing(o)
	for _, p := range parts {
		for d, k := range t.Light {
			for i := range looks[k].seen {
				behind[d] += p.weight * float64(t.total[p.place][t.column[d]+i]) * t.watts[d] * to(&looks[k].seen[i])
			}
		}
	}
	v.rows(t, behind, to)
	return own, whole, behind
}

// glowBounds widens the interval of the outputs by what is not known of the
// paint.
func (t *Transport) glowBounds(object string, parts []part, levels []float32) si.Estimate[si.Luminance] {
	e := t.bounds(t.lookRow(parts, false, true, photopic), levels)
	left := si.Ratio(t.veils[object].dim())
	e.Best, e.Low, e.High = e.Best*left, e.Low*left, e.High*left
	factor := 1.0
	if p := t.finishes[t.Panels[t.Places[parts[0].place].Panel].finish].paint; p != nil && p.Factor > 1 {
		factor = p.Factor
	}
	return si.Estimate[si.Luminance]{
		Best: si.Luminance(e.Best), Low: si.Luminance(float64(e.Low) / factor), High: si.Luminance(float64(e.High) * factor),
	}
}
