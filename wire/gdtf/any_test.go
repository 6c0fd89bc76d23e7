package gdtf_test

import (
	"fmt"
	"reflect"
	"strings"

	"lampblack/wire/gdtf"

	"pgregory.net/rapid"
)

// maker fills every field of every table at random, by its tag, so that no construct is left
// out; links are then led to what is there.
type maker struct {
	t     *rapid.T
	names int
}

var (
	words = rapid.StringMatching(`[ -~äµ]{0,9}`)
	small = rapid.Custom(func(t *rapid.T) float64 { return float64(rapid.IntRange(0, 40000).Draw(t, "n"))/64 + 0 })
	sign  = rapid.Custom(func(t *rapid.T) float64 { return float64(rapid.IntRange(-9000, 9000).Draw(t, "n"))/64 + 0 })
)

func (m *maker) fill(v reflect.Value, depth int, kind string) {
	for i := range v.NumField() {
		tag, ok := v.Type().Field(i).Tag.Lookup("gdtf")
		of := v.Type().Field(i).Tag.Get("of")
		if !ok || tag == "element" || strings.HasSuffix(tag, ",read") || of != "" && !strings.Contains("|"+of+"|", "|"+kind+"|") {
			continue
		}
		must := strings.HasSuffix(tag, ",must")
		m.value(v.Field(i), strings.TrimSuffix(tag, ",must"), v.Type().Field(i).Tag.Get("form"), must, depth)
	}
}

func (m *maker) value(v reflect.Value, tag, form string, must bool, depth int) {
	if !must && m.t != nil && !rapid.Bool().Draw(m.t, tag) {
		return
	}
	draw := func(g *rapid.Generator[float64]) float64 { return g.Draw(m.t, tag) }
	whole := func(most int) int { return rapid.IntRange(1, most).Draw(m.t, tag) }
	switch x := v.Addr().Interface().(type) {
	case *string:
		*x = m.text(tag, form)
	case *gdtf.Figure:
		*x = gdtf.Is(draw(small))
		if tag == "Physical" { // made to rise below
			*x = gdtf.Is(100)
		}
	case *gdtf.Whole:
		*x = gdtf.Whole{Value: whole(99), Told: true}
	case *gdtf.Value:
		n := whole(4)
		*x = gdtf.Value{N: uint64(rapid.Uint32().Draw(m.t, tag)) & (1<<(8*n) - 1), Bytes: n, Shift: rapid.Bool().Draw(m.t, tag)}
	case *gdtf.Offsets:
		n := whole(300)
		*x = []gdtf.Offsets{nil, {n}, {n, n + 1}, {n + 1, n}, {n, n + 5, n + 2}}[whole(5)-1]
	case *gdtf.Break:
		*x = []gdtf.Break{{N: whole(3)}, {Overwrite: true}}[whole(2)-1]
	case *gdtf.CIE:
		*x = gdtf.CIE{X: draw(small) / 1000, Y: draw(small) / 1e4, Lum: draw(small), Told: true}
	case *gdtf.Matrix:
		*x = gdtf.At(draw(sign), draw(sign), draw(sign))
		x.Rows[0][1] = draw(sign)
	case *[]gdtf.Geometry:
		if depth > 3 {
			return
		}
		for range whole(3) {
			g := gdtf.Geometry{Kind: rapid.SampledFrom([]string{gdtf.Plain, gdtf.Beam, gdtf.Reference, gdtf.Wiring, "Magnet"}).Draw(m.t, "kind")}
			m.fill(reflect.ValueOf(&g).Elem(), depth+1, g.Kind)
			*x = append(*x, g)
		}
	default:
		m.rest(v, tag, depth)
	}
}

// rest fills lists and structs.
func (m *maker) rest(v reflect.Value, tag string, depth int) {
	if v.Kind() == reflect.Struct {
		m.fill(v, depth+1, "")
		return
	}
	n := rapid.IntRange(1, 3).Draw(m.t, tag)
	switch tag {
	case "/PinPatch", "/OperatingTemperature", "/Weight", "/LegHeight", "/Point", "Gamuts/Gamut", "/Measurement":
		n = 1 // the schema takes one, or they must rise
	}
	for range n {
		item := reflect.New(v.Type().Elem()).Elem()
		m.fill(item, depth+1, "")
		v.Set(reflect.Append(v, item))
	}
}

func (m *maker) text(tag, form string) string {
	m.names++
	switch {
	case tag == "CES":
		return fmt.Sprintf("CES%02d", m.names%99+1)
	case strings.Contains(form, "|"):
		return rapid.SampledFrom(strings.Split(form, "|")).Draw(m.t, tag)
	case form == "name":
		return fmt.Sprintf("a %d%s", m.names, rapid.SampledFrom([]string{"", "(x)", " %+-/:;<=>@_`\"'#*"}).Draw(m.t, tag))
	case form == "nodes":
		return fmt.Sprintf("a.b %d", m.names)
	case form == "guid":
		return fmt.Sprintf("7B1B8A0E-6B1C-4C0B-9B3B-%012d", m.names)
	case form == "date":
		return "2021-03-04T05:06:07"
	case form == "hex":
		return "0x1aF"
	case tag == "PhysicalUnit":
		return "Power"
	}
	return words.Draw(m.t, tag) + fmt.Sprint(m.names)
}

// anyType is a valid description at random.
var anyType = rapid.Custom(func(t *rapid.T) *gdtf.FixtureType {
	out := &gdtf.FixtureType{Version: "1.2"}
	m := maker{t: t}
	m.fill(reflect.ValueOf(out).Elem(), 0, "")
	lead(t, out)
	return out
})

// pick is one of the names, or none.
func pick(t *rapid.T, names []string, must bool) string {
	if len(names) == 0 || !must && rapid.Bool().Draw(t, "no link") {
		return ""
	}
	return rapid.SampledFrom(names).Draw(t, "link")
}

// lead leads links to what is there.
func lead(t *rapid.T, f *gdtf.FixtureType) {
	var features, activation, attributes, emitters, filters, wheels, connectors, profiles, models, tops []string
	for i := range f.Geometries {
		tops = append(tops, f.Geometries[i].Name)
	}
	for i := range f.Models {
		models = append(models, f.Models[i].Name)
	}
	d := &f.Definitions
	for i := range d.Groups {
		if len(d.Groups[i].Features) == 0 {
			d.Groups[i].Features = []gdtf.Feature{{Name: "F"}}
		}
		for _, x := range d.Groups[i].Features {
			features = append(features, d.Groups[i].Name+"."+x.Name)
		}
	}
	for _, a := range d.Activation {
		activation = append(activation, a.Name)
	}
	for i := range d.Attributes {
		attributes = append(attributes, d.Attributes[i].Name)
	}
	for i := range d.Attributes {
		a := &d.Attributes[i]
		a.Feature, a.Activation, a.Main = pick(t, features, true), pick(t, activation, false), pick(t, attributes, false)
	}
	p := &f.Physical
	for i := range p.Emitters {
		e := &p.Emitters[i]
		if !e.Color.Told {
			e.Wavelength = gdtf.Is(395)
		}
		emitters = append(emitters, e.Name)
		for j := range e.Measurements {
			for k := range e.Measurements[j].WaveLengths {
				e.Measurements[j].WaveLengths[k].WaveLength = gdtf.Is(380 + float64(k))
			}
			if e.Measurements[j].Intensity.Value == 0 {
				e.Measurements[j].Intensity = gdtf.Is(1)
			}
		}
	}
	for i := range p.Filters {
		for j := range p.Filters[i].Measurements {
			for k := range p.Filters[i].Measurements[j].WaveLengths {
				p.Filters[i].Measurements[j].WaveLengths[k].WaveLength = gdtf.Is(380 + float64(k))
			}
		}
		filters = append(filters, p.Filters[i].Name)
	}
	for i := range p.Rendering {
		if p.Rendering[i].Samples == nil {
			p.Rendering = nil
			break
		}
		for j := range p.Rendering[i].Samples {
			p.Rendering[i].Samples[j].CES = fmt.Sprintf("CES%02d", j+1)
		}
	}
	for _, c := range p.Connectors {
		connectors = append(connectors, c.Name)
	}
	if p.Properties.Power != nil && connectors == nil {
		p.Properties.Power = nil
	}
	for i := range p.Properties.Power {
		p.Properties.Power[i].Connector = pick(t, connectors, true)
	}
	for i := range p.Profiles {
		if p.Profiles[i].Name != "" {
			profiles = append(profiles, p.Profiles[i].Name)
		}
	}
	for i := range f.Wheels {
		w := &f.Wheels[i]
		if w.Name != "" {
			wheels = append(wheels, w.Name)
		} else {
			w.Name = fmt.Sprintf("wheel %d", i)
		}
		for j := range w.Slots {
			w.Slots[j].Filter = pick(t, filters, false)
		}
	}
	for i := range p.Profiles {
		if p.Profiles[i].Name == "" {
			p.Profiles[i].Name = fmt.Sprintf("profile %d", i)
		}
	}
	all := tops
	var parts func(list []gdtf.Geometry)
	parts = func(list []gdtf.Geometry) {
		for i := range list {
			g := &list[i]
			if g.Model != "" {
				g.Model = pick(t, models, false)
			}
			if g.Kind == gdtf.Reference {
				g.Refers = pick(t, tops, true)
			}
			all = append(all, g.Name)
			parts(g.Parts)
		}
	}
	parts(f.Geometries)
	for i := range f.Modes {
		m := &f.Modes[i]
		m.Geometry = pick(t, tops, true)
		leadMode(t, m, all, attributes, emitters, filters, wheels, profiles)
	}
	if f.Protocols.RDM.Software != nil {
		f.Protocols.RDM.Manufacturer = "0x7ff0"
	}
}

func leadMode(t *rapid.T, m *gdtf.Mode, parts, attributes, emitters, filters, wheels, profiles []string) {
	var channels, functions []string
	seen := map[string]bool{}
	kept := m.Channels[:0]
	for _, c := range m.Channels {
		c.Geometry = pick(t, parts, true)
		for i := range c.Logical {
			c.Logical[i].Attribute = pick(t, attributes, true)
		}
		if seen[c.Called()] {
			continue
		}
		seen[c.Called()] = true
		kept = append(kept, c)
	}
	m.Channels = kept
	for i := range m.Channels {
		c := &m.Channels[i]
		channels = append(channels, c.Called())
		c.Initial = ""
		var own []string
		names := map[string]bool{}
		for j := range c.Logical {
			l := &c.Logical[j]
			for k := range l.Functions {
				f := &l.Functions[k]
				f.Attribute = pick(t, attributes, true)
				f.Emitter, f.Filter, f.Wheel, f.Profile = pick(t, emitters, false), pick(t, filters, false), pick(t, wheels, false), pick(t, profiles, false)
				if f.From.Bytes == 0 {
					f.From = gdtf.Value{Bytes: 1}
				}
				if f.Sets == nil {
					f.SubSets = nil
				}
				if !names[l.Attribute+"."+l.Called(k)] && !strings.Contains(c.Called(), ".") {
					own = append(own, c.Called()+"."+l.Attribute+"."+l.Called(k))
				}
				names[l.Attribute+"."+l.Called(k)] = true
			}
		}
		c.Initial = pick(t, own, false)
		functions = append(functions, own...)
	}
	links := append(append([]string{}, channels...), functions...)
	for i := range m.Channels {
		for j := range m.Channels[i].Logical {
			for k := range m.Channels[i].Logical[j].Functions {
				m.Channels[i].Logical[j].Functions[k].Master = pick(t, links, false)
			}
		}
	}
	if len(links) == 0 || len(functions) == 0 {
		m.Relations, m.Macros = nil, nil
	}
	for i := range m.Relations {
		m.Relations[i].Master, m.Relations[i].Follower = pick(t, channels, true), pick(t, functions, true)
	}
	for i := range m.Macros {
		m.Macros[i].Function = pick(t, functions, false)
		for j := range m.Macros[i].Steps {
			for k := range m.Macros[i].Steps[j].Values {
				m.Macros[i].Steps[j].Values[k].Channel = pick(t, channels, true)
			}
		}
	}
}
