package room

import (
	"slices"

	"lampblack/light"
	"lampblack/si"
	"lampblack/source"
)

// Stray is light in the room that is not the show's, and that nobody can put out: it lies on
// backgrounds, and makes glow stand out less. It is given in words, or measured with all lamps
// of the show dark. It is no light to walk or to escape by: nothing that asks for light counts
// it.
type Stray struct {
	source.Pos
	From source.Ref                   `key:"from"` // one of StrayNames
	Lux  *si.Estimate[si.Illuminance] `key:"lux"`
	On   source.Ref                   `key:"on"` // a surface, an object, a box or a face of the room; on all without it
}

// strayKind is light that a word stands for.
type strayKind struct {
	name   string
	lux    si.Estimate[si.Illuminance]
	light  string // as light.Like has it
	source string
}

// Words for light that is not the show's, with what falls on a thing some metres away. The
// published figures are from memory; how they come to lie on a thing is reckoned from them.
var strayKinds = []strayKind{
	{"exit sign", si.Estimate[si.Illuminance]{Best: .18, Low: .02, High: 1.4}, "CIE LED-B5",
		"a sign of 0.3 m by 0.15 m, 4 m away, of 8.6 cd/m² (UL 924) to 500 cd/m² (EN 1838, lit from inside)"},
	{"emergency lamp", si.Estimate[si.Illuminance]{Best: 2, Low: .5, High: 10}, "CIE LED-B4",
		"0.5 lx in open areas and 1 lx on escape routes at least (EN 1838), where they burn always; such lamps give several times that below them"},
	{"gap under a door", si.Estimate[si.Illuminance]{Best: .02, Low: .003, High: .2}, "CIE LED-B3",
		"100 lx in the corridor (EN 12464-1), 1 cm by 0.9 m of its floor seen from 2 m to 5 m; ten times that beside the door"},
	{"daylight behind curtains", si.Estimate[si.Illuminance]{Best: 1, Low: .1, High: 10}, "CIE D65",
		"10 000 lx out of doors under a dull sky, of which 2 % come in (EN 17037), and of these 0.05 % to 5 % past dense and usual curtains"},
	{"street lamp outside", si.Estimate[si.Illuminance]{Best: .05, Low: .01, High: .5}, "CIE LED-B2",
		"2 lx to 15 lx in streets (EN 13201-2), of which some hundredths come in"},
	{"moonlight outside", si.Estimate[si.Illuminance]{Best: .005, Low: .001, High: .02}, "CIE D65",
		"0.1 lx to 0.3 lx under a full moon, of which some hundredths come in"},
	{"music stand lamp", si.Estimate[si.Illuminance]{Best: .1, Low: .02, High: .5}, "CIE LED-B1",
		"300 lx on white paper of 0.3 m by 0.2 m (EN 12464-1, reading), seen from 4 m by what it throws back; more where it is badly hooded"},
	{"projector on black", si.Estimate[si.Illuminance]{Best: .2, Low: .05, High: 1}, "CIE LED-B5",
		"3000 lm on 6 m² at a contrast of 500 to 10 000, as makers state it"},
}

// StrayNames lists the words for light that is not the show's.
func StrayNames() []string {
	var out []string
	for i := range strayKinds {
		out = append(out, strayKinds[i].name)
	}
	return out
}

// NamesFor is Room.NamesFor for stray light.
func (*Stray) NamesFor(key string) (names []string, others bool) {
	if key == "from" {
		return StrayNames(), false
	}
	return nil, false
}

// Falls is what falls on a thing, and where the figure is from.
func (s *Stray) Falls() (lux si.Estimate[si.Illuminance], from string) {
	i := s.kind()
	switch {
	case s.Lux != nil:
		return *s.Lux, "as measured"
	case i >= 0:
		return strayKinds[i].lux, strayKinds[i].source
	}
	return lux, ""
}

func (s *Stray) kind() int {
	return slices.IndexFunc(strayKinds, func(k strayKind) bool { return k.name == s.From.Name })
}

// irradiance is the best value and the upper end of what falls, W/m²/nm: by the word's light,
// or where it was only measured by daylight.
func (s *Stray) irradiance() (best, most light.Spectrum) {
	like := "CIE D65"
	if i := s.kind(); i >= 0 {
		like = strayKinds[i].light
	}
	shape, err := light.Like(like)
	if err != nil {
		panic("room: stray light: " + err.Error())
	}
	shape.Scale(1 / float64(shape.LuminousFlux()))
	lux, _ := s.Falls()
	best, most = shape, shape
	best.Scale(float64(lux.Best))
	most.Scale(float64(lux.High))
	return best, most
}

// strayOn sums what falls on a thing of the room.
func (r *Room) strayOn(name string) (best, most light.Spectrum) {
	for i := range r.Stray {
		if s := &r.Stray[i]; s.On.Name == "" || s.On.Name == name {
			b, m := s.irradiance()
			best.Add(&b, 1)
			most.Add(&m, 1)
		}
	}
	return best, most
}

// strayed is how an object and its background look by light that is not the show's alone.
type strayed struct{ own, whole, behind, most seen } // most: of the background, the upper end

// strayed returns it for an object.
func (t *Transport) strayed(o *Object, parts []part) (out strayed) {
	r := t.room
	if len(r.Stray) == 0 {
		return out
	}
	f := &t.finishes[t.Panels[t.Places[parts[0].place].Panel].finish]
	name := t.Places[parts[0].place].Name
	best, most := r.strayOn(name)
	whole := best
	whole.Multiply(&f.reflectance)
	if f.paint != nil {
		glow := f.paint.Glow(&best)
		out.own = seenOf(&glow)
		whole.Add(&glow, 1)
	}
	out.whole = seenOf(&whole)
	reflectance, known := r.Reflectance(o.Background.Name)
	if around := t.around(o, parts); around != nil {
		place := &t.Places[around[0].place]
		best, most = r.strayOn(place.Name)
		reflectance = t.finishes[t.Panels[place.Panel].finish].reflectance
	} else if !known {
		reflectance, _ = r.Reflectance(DefaultDrape)
	}
	best.Multiply(&reflectance)
	most.Multiply(&reflectance)
	out.behind, out.most = seenOf(&best), seenOf(&most)
	return out
}

// stray checks light that is not the show's.
func (c *checking) stray() {
	r := c.room
	for i := range r.Stray {
		s := &r.Stray[i]
		if (s.From.Name == "") == (s.Lux == nil) {
			c.faults.Add(s.Pos, "from: exit sign, or lux: 0.2 lx", "stray light is given in a word or in lux")
		} else if s.Lux == nil && s.kind() < 0 {
			c.faults.Add(s.From.Pos, source.OneOf(s.From.Name, StrayNames()), "there is no word %q for stray light", s.From.Name)
		}
		if l := s.Lux; l != nil && !(l.Low >= 0 && l.High <= 1000) {
			c.faults.Add(s.Pos, "with all lamps of the show dark", "stray light of %v to %v lies outside 0 lx to 1000 lx", l.Low, l.High)
			s.Lux = &si.Estimate[si.Illuminance]{}
		}
		if _, known := c.names[s.On.Name]; s.On.Name != "" && !known {
			c.faults.Add(s.On.Pos, source.OneOf(s.On.Name, source.Names(r.Surfaces)), "the room has nothing called %q for stray light to fall on", s.On.Name)
		}
	}
}
