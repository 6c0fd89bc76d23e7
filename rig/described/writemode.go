package described

import (
	"fmt"
	"slices"
	"strings"

	"lampblack/rig"
	"lampblack/si"
	"lampblack/wire/gdtf"
)

func nm1(nm int) si.Wavelength { return si.Wavelength(nm) }

// Attributes beside colours.
const (
	dimmer    = "Dimmer"
	shutter   = "Shutter1"
	strobe    = "Shutter1Strobe"
	random    = "Shutter1StrobeRandom"
	noFeature = "NoFeature"
	fans      = "Fans"
	keepOut   = "Effects1" // programs: what stands in them is not told
)

// definition is what the standard's table of attributes has of one that Write uses.
type definition struct{ pretty, group, feature, unit, main string }

var definitions = map[string]definition{
	dimmer: {"Dim", "Dimmer", "Dimmer", "", ""}, shutter: {"Sh1", "Beam", "Beam", "", ""}, strobe: {"Strobe1", "Beam", "Beam", "Frequency", shutter},
	random: {"Random1", "Beam", "Beam", "Frequency", shutter}, noFeature: {"NoFeature", "Control", "Control", "", ""}, fans: {"Fans", "Control", "Control", "", ""},
	keepOut: {"FX1", "Control", "Control", "", ""},
}

// mode writes one slot table.
func (w *writer) mode(name string, m *rig.Mode) {
	out := gdtf.Mode{Name: name, Geometry: "Body"}
	names := map[string]bool{}
	links := map[int][]string{} // by emitter: functions that drive it
	type masterOf struct {
		channel string
		dims    []string
	}
	var masters []masterOf
	for i := range m.Slots {
		s := &m.Slots[i]
		c := w.channel(name, s)
		if names[c.Called()] {
			if s.Cell > 0 || s.Drives != "" && w.t.Emitters[w.t.Emitters.Index(s.Drives)].Value.Beam != nil {
				w.note(name, s.Coarse, "a second slot for the same light: the description does not say which part of the lamp it lights")
			}
			c.Geometry = fmt.Sprintf("Slot %d", s.Coarse)
			if !slices.Contains(w.extra, c.Geometry) {
				w.extra = append(w.extra, c.Geometry)
			}
		}
		names[c.Called()] = true
		if e := w.t.Emitters.Index(s.Drives); e >= 0 {
			for _, l := range c.Logical {
				for k := range l.Functions {
					if l.Functions[k].Emitter != "" {
						links[e] = append(links[e], c.Called()+"."+l.Attribute+"."+l.Called(k))
					}
				}
			}
		}
		if len(s.Dims) > 0 && !slices.Contains(s.Dims, "all") {
			masters = append(masters, masterOf{c.Called(), s.Dims})
		}
		c.Initial = w.initial(&c, s)
		out.Channels = append(out.Channels, c)
	}
	for _, master := range masters {
		for _, e := range master.dims {
			for _, link := range links[w.t.Emitters.Index(e)] {
				out.Relations = append(out.Relations, gdtf.Relation{Name: fmt.Sprintf("Relation %d", len(out.Relations)+1), Master: master.channel, Follower: link, Type: "Multiply"})
			}
		}
	}
	w.out.Modes = append(w.out.Modes, out)
}

// piece is a stretch of values with one meaning.
type piece struct {
	from, to int
	does     rig.Action // "" for dark, even or full light of a slot that drives or dims
	r        *rig.Range
	a, b     float64 // light at both ends
	law      [4]float64
	wide     bool // the values are those of two octets
}

// channel writes one slot.
func (w *writer) channel(mode string, s *rig.Slot) gdtf.Channel {
	c := gdtf.Channel{Offset: gdtf.Offsets{s.Coarse}, Break: gdtf.Break{N: 1}, Geometry: "Body"}
	if s.Fine > 0 {
		c.Offset = append(c.Offset, s.Fine)
		if len(s.Ranges) > 0 {
			w.note(mode, s.Coarse, "a slot of two octets has its ranges left out: a type takes none of them either")
		}
	}
	main := ""
	e := w.t.Emitters.Index(s.Drives)
	switch {
	case e >= 0:
		main = w.attributes[e]
		if c.Geometry = w.optics[e]; s.Cell > 0 {
			c.Geometry = w.opening(e, s.Cell)
		}
	case len(s.Dims) > 0:
		main = dimmer
		if s.Cell > 0 {
			c.Geometry = w.opening(0, s.Cell)
		}
	}
	for _, p := range w.pieces(s, main != "") {
		attribute, f := w.function(&p, main, e)
		if p.wide {
			f.From = gdtf.Value{N: uint64(p.from), Bytes: 2}
			f.Default = f.From
		}
		logical := attribute
		if strings.HasPrefix(attribute, shutter) {
			logical = shutter
		}
		k := slices.IndexFunc(c.Logical, func(l gdtf.LogicalChannel) bool { return l.Attribute == logical })
		if k < 0 {
			l := gdtf.LogicalChannel{Attribute: logical}
			if logical == dimmer && c.Geometry == "Body" && slices.Contains(s.Dims, "all") {
				l.Master = "Grand"
			}
			c.Logical = append(c.Logical, l)
			k = len(c.Logical) - 1
		}
		c.Logical[k].Functions = append(c.Logical[k].Functions, f)
	}
	// What a channel is for names it, and must stand first.
	slices.SortStableFunc(c.Logical, func(a, b gdtf.LogicalChannel) int {
		switch main {
		case a.Attribute:
			return -1
		case b.Attribute:
			return 1
		}
		return 0
	})
	if s.Idle != "" && len(c.Logical) > 0 {
		c.Logical[0].Functions[0].CustomName = s.Idle
	}
	return c
}

func (w *writer) opening(e, cell int) string {
	if w.optics[e] == "Body" {
		return fmt.Sprintf("Cell %d", cell)
	}
	return fmt.Sprintf("%s in cell %d", w.optics[e], cell)
}

// function writes a piece, and says which attribute it has.
func (w *writer) function(p *piece, main string, emitter int) (string, gdtf.Function) {
	f := gdtf.Function{From: gdtf.Octet(p.from), Default: gdtf.Octet(p.from)}
	name := func(what string) {
		f.Name = gdtf.Name(fmt.Sprintf("%d-%d %s", p.from, p.to, what))
	}
	physical := func(a, b float64) { f.PhysFrom, f.PhysTo = gdtf.Is(a), gdtf.Is(b) }
	switch p.does {
	case "":
		f.Attribute = main
		physical(digits(p.a, 6), digits(p.b, 6))
		name("light")
		if emitter >= 0 {
			f.Emitter = w.links[emitter]
		}
		if p.law != ([4]float64{}) && p.law != ([4]float64{0, 1, 0, 0}) {
			f.Profile = w.profile(p.law)
		}
	case rig.Open, rig.Closed:
		f.Attribute = shutter
		open := 0.0
		if p.does == rig.Open {
			open = 1
		}
		physical(open, open)
		name(string(p.does))
	case rig.Flash, rig.FlashRandom:
		f.Attribute = strobe
		if p.does == rig.FlashRandom {
			f.Attribute = random
		}
		if p.r.Told == "" {
			physical(float64(p.r.Low), float64(p.r.High))
		}
		name(p.r.Meaning())
	case rig.Nothing:
		f.Attribute = noFeature
		name("no function")
	case rig.Fan, rig.FanOff:
		f.Attribute = fans
		physical(0, 1)
		if p.does == rig.FanOff {
			physical(0, 0)
		}
		name(string(p.does))
	default: // never, and a level of nothing
		f.Attribute = keepOut
		name("keep out")
	}
	w.used[f.Attribute] = true
	return f.Attribute, f
}

// profile is the name of a dimmer's response by a cubic from 0 to 1.
func (w *writer) profile(law [4]float64) string {
	if w.profiles == nil {
		w.profiles = map[[4]float64]string{}
	}
	if w.profiles[law] == "" {
		name := fmt.Sprintf("Curve %d", len(w.profiles)+1)
		w.profiles[law] = name
		w.out.Physical.Profiles = append(w.out.Physical.Profiles, gdtf.Profile{Name: name, Points: []gdtf.ProfilePoint{
			{At: gdtf.Is(0), C0: gdtf.Is(law[0]), C1: gdtf.Is(law[1]), C2: gdtf.Is(law[2]), C3: gdtf.Is(law[3])}}})
	}
	return w.profiles[law]
}

// initial sets the default of the function in which the slot rests, and links to it.
func (w *writer) initial(c *gdtf.Channel, s *rig.Slot) string {
	rest := 0
	switch {
	case s.Set != nil:
		rest = *s.Set
	case s.Drives == "" && len(s.Dims) == 0:
		rest = s.Rest()
	}
	shift := 8 * (len(c.Offset) - 1)
	for i := range c.Logical {
		l := &c.Logical[i]
		for j := range l.Functions {
			f := &l.Functions[j]
			for _, span := range c.Spans() {
				if span.Function != f || uint64(rest) < span.From>>shift || uint64(rest) > span.To>>shift {
					continue
				}
				f.Default = gdtf.Octet(rest)
				return c.Called() + "." + l.Attribute + "." + l.Called(j)
			}
		}
	}
	return ""
}

// definitions lists the attributes that channels use, with their features.
func (w *writer) definitions() {
	d := &w.out.Definitions
	used := map[string]definition{}
	for a := range w.used {
		if def, ok := definitions[a]; ok {
			used[a] = def
			if def.main != "" {
				used[def.main] = definitions[def.main]
			}
		} else {
			used[a] = definition{strings.TrimPrefix(a, "ColorAdd_"), "Color", "RGB", "ColorComponent", ""}
		}
	}
	order := []string{dimmer}
	for _, c := range colours {
		order = append(order, "ColorAdd_"+c.suffix)
	}
	order = append(order, shutter, strobe, random, fans, keepOut, noFeature)
	for _, name := range order {
		def, ok := used[name]
		if !ok {
			continue
		}
		d.Attributes = append(d.Attributes, gdtf.Attribute{Name: name, Pretty: def.pretty, Feature: def.group + "." + def.feature, Unit: def.unit, Main: def.main})
		if !slices.ContainsFunc(d.Groups, func(g gdtf.FeatureGroup) bool { return g.Name == def.group }) {
			d.Groups = append(d.Groups, gdtf.FeatureGroup{Name: def.group, Pretty: def.group, Features: []gdtf.Feature{{Name: def.feature}}})
		}
	}
}
