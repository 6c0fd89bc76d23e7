package gdtf

import (
	"reflect"

	"lampblack/wire/archive"
)

// Append appends the archive to b. It returns what Check finds.
func (t *FixtureType) Append(b []byte) ([]byte, error) {
	text, err := t.AppendXML(nil)
	if err != nil {
		return nil, err
	}
	return archive.Pack(b, []archive.File{{Name: description, Content: text}})
}

// AppendXML appends description.xml, by version 1.2, to b. It returns what Check finds.
func (t *FixtureType) AppendXML(b []byte) ([]byte, error) {
	if err := t.Check(); err != nil {
		return nil, err
	}
	w := archive.NewWriter(b)
	w.Open("GDTF", "DataVersion", "1.2")
	element(w, "FixtureType", reflect.ValueOf(t).Elem())
	w.Close("GDTF")
	return w.Bytes(), nil
}

// element writes a struct: attributes, then what is within, in the order of its fields.
func element(w *archive.Writer, name string, v reflect.Value) {
	rows := table(v.Type())
	var attr []string
	within := false
	for _, f := range rows {
		in := v.Field(f.index)
		if f.names == nil {
			within = within || !f.kind && !f.leftOut(in)
			continue
		}
		if text, told := written(in); !f.reads && (told || f.must) {
			attr = append(attr, f.names[0], text)
		}
	}
	if !within {
		w.Empty(name, attr...)
		return
	}
	w.Open(name, attr...)
	for _, f := range rows {
		if in := v.Field(f.index); f.names == nil && !f.kind && !f.leftOut(in) {
			f.write(w, in)
		}
	}
	w.Close(name)
}

// leftOut tells whether there is nothing to write of a row.
func (f *field) leftOut(v reflect.Value) bool {
	return !f.must && (f.list && v.Len() == 0 || v.IsZero())
}

func (f *field) write(w *archive.Writer, v reflect.Value) {
	if !f.list {
		element(w, f.element, v)
		return
	}
	if v.Len() == 0 {
		w.Empty(f.within)
		return
	}
	if f.within != "" {
		w.Open(f.within)
	}
	for i := range v.Len() {
		name := f.element
		if name == "*" {
			name = v.Index(i).FieldByName("Kind").String()
		}
		element(w, name, v.Index(i))
	}
	if f.within != "" {
		w.Close(f.within)
	}
}

// written is an attribute's text. What must be written and is not told becomes 0.
func written(v reflect.Value) (string, bool) {
	s, ok := v.Addr().Interface().(scalar)
	if !ok {
		return v.String(), v.String() != ""
	}
	text, told := s.text()
	if value, ok := s.(*Value); ok && value.Bytes == 0 {
		text = "0/1"
	}
	return text, told
}
