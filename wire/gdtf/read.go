package gdtf

import (
	"bytes"
	"fmt"
	"maps"
	"path"
	"reflect"
	"slices"
	"strings"

	"lampblack/wire/archive"
)

// Note is a doubt of reading: what could not be understood, and was left out.
type Note struct {
	Line int // of description.xml; 0 for what no one line has
	Text string
}

func (n Note) String() string {
	if n.Line == 0 {
		return n.Text
	}
	return fmt.Sprintf("line %d: %s", n.Line, n.Text)
}

// mostNotes bounds doubts: a file with more is wrong from end to end.
const mostNotes = 200

// mostElements bounds the elements of a description: a part with all that it may have takes a
// kilobyte.
const mostElements = 50_000

const description = "description.xml"

// Parse reads an archive, or its description alone, as somebody may have unpacked it.
func Parse(b []byte) (*FixtureType, error) {
	text := bytes.TrimPrefix(b, []byte("\xef\xbb\xbf"))
	if bytes.HasPrefix(bytes.TrimSpace(text), []byte("<")) {
		return ParseXML(text)
	}
	is := func(name string) bool { return strings.EqualFold(path.Base(name), description) }
	files, _, err := archive.Unpack(b, is, archive.MostText)
	if err != nil {
		return nil, fmt.Errorf("fixture description: %w", err)
	}
	if text, ok := files[description]; ok {
		return ParseXML(text)
	}
	if len(files) == 0 {
		return nil, fmt.Errorf("fixture description: there is no %s in the archive", description)
	}
	name := slices.Sorted(maps.Keys(files))[0]
	t, err := ParseXML(files[name])
	if err == nil {
		t.Notes = append(t.Notes, Note{Text: fmt.Sprintf("the description is called %q and should be %q", name, description)})
	}
	return t, err
}

// ParseXML reads description.xml. It is an error only when there is nothing of a fixture type in it.
func ParseXML(b []byte) (*FixtureType, error) {
	root, err := archive.Parse(bytes.TrimPrefix(b, []byte("\xef\xbb\xbf")), mostElements)
	if err != nil {
		return nil, fmt.Errorf("fixture description: %w", err)
	}
	top := root
	if root.Name == "GDTF" {
		top = root.Child("FixtureType")
	}
	if top == nil || top.Name != "FixtureType" {
		return nil, fmt.Errorf("fixture description: line %d: got element %q, want GDTF with a FixtureType in it", root.Line, root.Name)
	}
	t := &FixtureType{Version: root.Get("DataVersion")}
	r := reader{said: map[string]bool{}}
	r.version(root.Line, t.Version)
	r.element(top, reflect.ValueOf(t).Elem())
	r.settle(t)
	t.Notes = r.notes
	return t, nil
}

// reader collects doubts and goes on.
type reader struct {
	notes []Note
	said  map[string]bool
}

// note says a doubt once, at the first place that it is met.
func (r *reader) note(line int, format string, args ...any) {
	text := fmt.Sprintf(format, args...)
	switch {
	case r.said[text] || len(r.notes) > mostNotes:
		return
	case len(r.notes) == mostNotes:
		line, text = 0, "there is more that was not understood, which is not told"
	}
	r.said[text] = true
	r.notes = append(r.notes, Note{line, text})
}

func (r *reader) version(line int, text string) {
	switch text {
	case "1.0", "1.1", "1.2":
	case "":
		r.note(line, "the version of the standard is not told: read as 1.2")
	default:
		r.note(line, "version %.20q of the standard: read as 1.2", text)
	}
}

// element fills a struct from an element.
func (r *reader) element(n *archive.Node, v reflect.Value) {
	rows := table(v.Type())
	told := r.attributes(n, v, rows)
	for i, f := range rows {
		switch {
		case f.kind:
			v.Field(f.index).SetString(n.Name)
		case f.must && f.names != nil && !told[i] && f.names[0] != "Default":
			r.note(n.Line, "%s: does not tell %s", n.Name, f.names[0])
		}
	}
	for _, c := range n.Children {
		r.child(n, c, v, rows)
	}
	for _, f := range rows {
		if in := v.Field(f.index); f.foreign(n.Name) && !in.IsZero() {
			in.SetZero()
			r.note(n.Line, "%s: %s does not belong to it and is passed over", n.Name, f.called())
		}
	}
}

// attributes reads those of an element; it returns by row which were told.
func (r *reader) attributes(n *archive.Node, v reflect.Value, rows []field) []bool {
	told := make([]bool, len(rows))
	for _, a := range n.Attr {
		i := slices.IndexFunc(rows, func(f field) bool {
			return slices.ContainsFunc(f.names, func(name string) bool { return strings.EqualFold(name, a.Name) })
		})
		if i < 0 {
			if !slices.Contains(unused, a.Name) {
				r.note(n.Line, "%s: attribute %s is passed over", n.Name, a.Name)
			}
			continue
		}
		told[i] = true
		if err := take(v.Field(rows[i].index), rows[i].form, a.Value); err != nil {
			r.note(n.Line, "%s: attribute %s: %v", n.Name, a.Name, err)
		}
	}
	return told
}

// unused are attributes that say nothing of light: where pictures of parts lie, and what a
// name space or a schema is.
var unused = []string{"SVGOffsetX", "SVGOffsetY", "SVGSideOffsetX", "SVGSideOffsetY", "SVGFrontOffsetX", "SVGFrontOffsetY", "ThumbnailOffsetX", "ThumbnailOffsetY",
	"xmlns", "xsi", "noNamespaceSchemaLocation", "schemaLocation"}

// take sets one value; what is not of its form stays unknown, but for names, which are
// taken as they are.
func take(v reflect.Value, form, text string) error {
	if s, ok := v.Addr().Interface().(scalar); ok {
		return s.read(text)
	}
	for choice := range strings.SplitSeq(form, "|") {
		if strings.Contains(form, "|") && strings.EqualFold(choice, strings.TrimSpace(text)) {
			text = choice
		}
	}
	err := fits(form, text)
	switch {
	case form == "name" || form == "nodes":
		err = nil
	case text == "":
		return nil
	case err != nil:
		return err
	}
	v.SetString(text)
	return err
}

// child reads an element within n into the row that holds it.
func (r *reader) child(n, c *archive.Node, v reflect.Value, rows []field) {
	for _, f := range rows {
		in := v.Field(f.index)
		switch {
		case f.list && f.within == "" && f.holds(c.Name):
			r.append(c, in)
		case f.list && f.within != "" && f.within == c.Name:
			for _, item := range c.Children {
				if f.holds(item.Name) {
					r.append(item, in)
				} else {
					r.note(item.Line, "%s: element %s is passed over", c.Name, item.Name)
				}
			}
		case !f.list && f.element != "" && f.element == c.Name:
			r.element(c, in)
		default:
			continue
		}
		return
	}
	r.note(c.Line, "%s: element %s is passed over", n.Name, c.Name)
}

func (r *reader) append(c *archive.Node, list reflect.Value) {
	item := reflect.New(list.Type().Elem()).Elem()
	r.element(c, item)
	list.Set(reflect.Append(list, item))
}

// settle brings what older files say into the form of version 1.2, and takes a measured
// intensity of 0, which the schema asks for where there is none, as unknown.
func (r *reader) settle(t *FixtureType) {
	for i := range t.Physical.Emitters {
		e := &t.Physical.Emitters[i]
		e.Measurements = slices.DeleteFunc(e.Measurements, func(m Measurement) bool {
			if m.Physical.Value <= 0 || m.Physical.Value > 100 {
				r.note(0, "emitter %q: a measurement at %g %% of its drive is passed over: want more than 0 to 100", e.Name, m.Physical.Value)
				return true
			}
			return false
		})
		for j := range e.Measurements {
			if m := &e.Measurements[j]; m.Intensity.Value == 0 {
				m.Intensity = Figure{}
			}
		}
	}
	for i := range t.Modes {
		for j := range t.Modes[i].Channels {
			r.defaults(&t.Modes[i], &t.Modes[i].Channels[j])
		}
	}
}

// defaults gives every function its own. Until version 1.0 the channel had one for all: it goes to
// the function that it lies in, and others rest where they begin.
func (r *reader) defaults(m *Mode, c *Channel) {
	size := max(len(c.Offset), 1)
	for _, s := range c.Spans() {
		f := s.Function
		if f.From.Bytes == 0 {
			f.From = Value{0, 1, false}
		}
		if f.Default.Bytes > 0 {
			continue
		}
		f.Default = f.From
		if d := c.Default.At(size); c.Default.Bytes > 0 && d >= s.From && d <= s.To {
			f.Default = c.Default
		} else if c.Default.Bytes == 0 {
			r.note(0, "mode %q: some functions have no default: taken as where they begin", m.Name)
		}
	}
	c.Default = Value{}
}
