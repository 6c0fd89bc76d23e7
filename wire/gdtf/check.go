package gdtf

import (
	"errors"
	"fmt"
	"reflect"
	"strings"
)

// Check returns all that the standard's schema, or one of its rules that no schema can say, would
// refuse, joined: texts that are not of their form, names that stand twice, links that lead nowhere.
func (t *FixtureType) Check() error {
	c := checker{}
	c.forms("FixtureType", reflect.ValueOf(t).Elem())
	c.names(t)
	c.links(t)
	for i := range t.Modes {
		c.mode(t, &t.Modes[i])
	}
	return errors.Join(c.errs...)
}

// mostErrors bounds what is told of one type.
const mostErrors = 100

type checker struct{ errs []error }

func (c *checker) add(format string, args ...any) {
	if len(c.errs) < mostErrors {
		c.errs = append(c.errs, fmt.Errorf("fixture description: "+format, args...))
	}
}

// forms holds all texts against their forms, and numbers that the schema bounds.
func (c *checker) forms(what string, v reflect.Value) {
	kind := ""
	for _, f := range table(v.Type()) {
		in := v.Field(f.index)
		if f.kind {
			kind = in.String()
		}
		switch {
		case f.foreign(kind) && !in.IsZero():
			c.add("part of the kind %s: %s does not belong to it", kind, f.called())
		case f.element == "PinPatch" && in.Len() > 1:
			c.add("%s: more than one %s, of which the schema takes one", what, f.element)
		case f.kind:
			if !strings.Contains("|"+strings.Join(kinds, "|")+"|", "|"+in.String()+"|") {
				c.add("part of a kind %q that the standard has not", in.String())
			}
		case f.names != nil && in.Kind() == reflect.String:
			if text := in.String(); text != "" || f.must {
				if err := fits(f.form, text); err != nil {
					c.add("%s: %s: %w", what, f.names[0], err)
				}
			}
		case f.names == nil && f.list:
			for i := range in.Len() {
				c.forms(f.element, in.Index(i))
			}
		case f.names == nil:
			c.forms(f.element, in)
		}
	}
}

// once refuses names that stand twice.
type once struct {
	c    *checker
	what string
	seen map[string]bool
}

func (c *checker) once(what string) *once { return &once{c, what, map[string]bool{}} }

func (o *once) name(name string) {
	if o.seen[name] {
		o.c.add("two of %s are called %q", o.what, name)
	}
	o.seen[name] = true
}

// wants refuses a link to a name that is not there; none is no link.
func (o *once) wants(name, where string) {
	if name != "" && !o.seen[name] {
		o.c.add("%s: %s has no %q", where, o.what, name)
	}
}

// names looks at lists whose names must differ.
func (c *checker) names(t *FixtureType) {
	modes, models := c.once("the modes"), c.once("the models")
	for i := range t.Modes {
		modes.name(t.Modes[i].Name)
	}
	for i := range t.Models {
		models.name(t.Models[i].Name)
	}
	parts := c.once("the parts")
	t.each(func(g *Geometry) {
		parts.name(g.Name)
		models.wants(g.Model, "part "+g.Name)
		if g.Kind == Reference && t.top(g.Refers) == nil {
			c.add("part %s: there is no part %q at the top level", g.Name, g.Refers)
		}
	})
	for i := range t.Modes {
		m := &t.Modes[i]
		if t.top(m.Geometry) == nil {
			c.add("mode %s: there is no part %q at the top level", m.Name, m.Geometry)
		}
		for j := range m.Channels {
			parts.wants(m.Channels[j].Geometry, "mode "+m.Name)
		}
	}
	c.single("temperature", len(t.Physical.Properties.Temperature))
	c.single("weight", len(t.Physical.Properties.Weight))
	c.single("leg", len(t.Physical.Properties.Leg))
}

// single is for what may stand once and the schema lets stand often.
func (c *checker) single(what string, n int) {
	if n > 1 {
		c.add("the properties tell %s %d times", what, n)
	}
}

// each calls f for every part.
func (t *FixtureType) each(f func(*Geometry)) {
	var in func([]Geometry)
	in = func(list []Geometry) {
		for i := range list {
			f(&list[i])
			in(list[i].Parts)
		}
	}
	in(t.Geometries)
}

// links looks at definitions and physical descriptions, and what refers to them.
func (c *checker) links(t *FixtureType) {
	features, activation, attributes := c.once("the features"), c.once("the activation groups"), c.once("the attributes")
	for _, g := range t.Definitions.Groups {
		for _, f := range g.Features {
			features.name(g.Name + "." + f.Name)
		}
	}
	for _, a := range t.Definitions.Activation {
		activation.name(a.Name)
	}
	for _, a := range t.Definitions.Attributes {
		attributes.name(a.Name)
		features.wants(a.Feature, "attribute "+a.Name)
		activation.wants(a.Activation, "attribute "+a.Name)
	}
	for _, a := range t.Definitions.Attributes {
		attributes.wants(a.Main, "attribute "+a.Name)
	}
	emitters, filters, wheels, connectors, profiles := c.once("the emitters"), c.once("the filters"), c.once("the wheels"), c.once("the connectors"), c.once("the profiles")
	for i := range t.Physical.Emitters {
		emitters.name(t.Physical.Emitters[i].Name)
		c.emitter(&t.Physical.Emitters[i])
	}
	for _, f := range t.Physical.Filters {
		filters.name(f.Name)
	}
	for _, w := range t.Wheels {
		wheels.name(w.Name)
		for _, s := range w.Slots {
			filters.wants(s.Filter, "wheel "+w.Name)
		}
	}
	for i := range t.Physical.Rendering {
		samples := c.once("the samples of colour rendering")
		if len(t.Physical.Rendering[i].Samples) == 0 {
			c.add("colour rendering without a sample")
		}
		for _, s := range t.Physical.Rendering[i].Samples {
			samples.name(s.CES)
		}
	}
	for _, o := range t.Physical.Connectors {
		connectors.name(o.Name)
	}
	for _, p := range t.Physical.Properties.Power {
		connectors.wants(p.Connector, "power consumption")
	}
	for _, p := range t.Physical.Profiles {
		profiles.name(p.Name)
		if len(p.Points) > 1 {
			c.add("profile %s has %d points: the schema takes one, whose cubic holds for all of it", p.Name, len(p.Points))
		}
	}
	t.functions(func(m *Mode, l *LogicalChannel, f *Function) {
		where := "mode " + m.Name + ", " + l.Attribute
		attributes.wants(l.Attribute, where)
		attributes.wants(f.Does(), where)
		emitters.wants(f.Emitter, where)
		filters.wants(f.Filter, where)
		wheels.wants(f.Wheel, where)
		profiles.wants(f.Profile, where)
	})
}

// functions calls f for every function of every mode.
func (t *FixtureType) functions(f func(*Mode, *LogicalChannel, *Function)) {
	for i := range t.Modes {
		for j := range t.Modes[i].Channels {
			c := &t.Modes[i].Channels[j]
			for k := range c.Logical {
				for n := range c.Logical[k].Functions {
					f(&t.Modes[i], &c.Logical[k], &c.Logical[k].Functions[n])
				}
			}
		}
	}
}

// emitter holds one against what its tables ask for.
func (c *checker) emitter(e *Emitter) {
	if !e.Color.Told && !e.Wavelength.Told {
		c.add("emitter %s tells neither a colour nor a wavelength", e.Name)
	}
	last := 0.0
	for _, m := range e.Measurements {
		if m.Physical.Value <= last || m.Physical.Value > 100 {
			c.add("emitter %s: measurements at %g %%: want more than 0 to 100, rising", e.Name, m.Physical.Value)
		}
		last = m.Physical.Value
		lengths := map[float64]bool{}
		for _, p := range m.WaveLengths {
			if lengths[p.WaveLength.Value] {
				c.add("emitter %s: %g nm is measured twice", e.Name, p.WaveLength.Value)
			}
			lengths[p.WaveLength.Value] = true
		}
	}
}

// mode holds one against the rules that a schema cannot say.
func (c *checker) mode(t *FixtureType, m *Mode) {
	channels, relations := c.once("the channels of mode "+m.Name), c.once("the relations of mode "+m.Name)
	for i := range m.Channels {
		ch := &m.Channels[i]
		channels.name(ch.Called())
		for j := range ch.Logical {
			functions := c.once("the functions of " + ch.Called())
			for k := range ch.Logical[j].Functions {
				f := &ch.Logical[j].Functions[k]
				functions.name(ch.Logical[j].Called(k))
				c.link(m, f.Master, "mode master")
			}
		}
		if ch.Initial != "" {
			if _, f := m.Find(ch.Initial); f == nil {
				c.add("mode %s: channel %s: there is no function %q to begin with", m.Name, ch.Called(), ch.Initial)
			}
		}
	}
	for _, r := range m.Relations {
		relations.name(r.Name)
		c.link(m, r.Master, "relation "+r.Name)
		c.link(m, r.Follower, "relation "+r.Name)
	}
	for _, macro := range m.Macros {
		c.link(m, macro.Function, "macro "+macro.Name)
		for _, s := range macro.Steps {
			for _, v := range s.Values {
				c.link(m, v.Channel, "macro "+macro.Name)
			}
		}
	}
}

func (c *checker) link(m *Mode, link, where string) {
	if link == "" {
		return
	}
	if channel, _ := m.Find(link); channel == nil {
		c.add("mode %s: %s: there is no channel or function %q", m.Name, where, link)
	}
}
