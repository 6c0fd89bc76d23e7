package mvr

import (
	"archive/zip"
	"bytes"
	"encoding/xml"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"
)

// sceneFile is the name of the scene in the archive.
const sceneFile = "GeneralSceneDescription.xml"

// Append appends the archive to b. It returns what Check finds.
func (s *Scene) Append(b []byte) ([]byte, error) {
	text, err := s.AppendXML(nil)
	if err != nil {
		return nil, err
	}
	out := bytes.NewBuffer(b)
	z := zip.NewWriter(out)
	// Offsets in an archive count from the start of the file, and b may hold something.
	z.SetOffset(int64(len(b)))
	// Stored, without a time: compression and clocks differ from machine to machine.
	put := func(name string, content []byte) error {
		w, err := z.CreateHeader(&zip.FileHeader{Name: name, Method: zip.Store})
		if err != nil {
			return err
		}
		_, err = w.Write(content)
		return err
	}
	if err := put(sceneFile, text); err != nil {
		return nil, fmt.Errorf("write %s: %w", sceneFile, err)
	}
	for _, name := range slices.Sorted(maps.Keys(s.Files)) {
		if err := put(name, s.Files[name]); err != nil {
			return nil, fmt.Errorf("write %s: %w", name, err)
		}
	}
	if err := z.Close(); err != nil {
		return nil, fmt.Errorf("write archive: %w", err)
	}
	return out.Bytes(), nil
}

// AppendXML appends the scene's own file to b, elements in the order that the standard's
// schema asks for. It returns what Check finds.
func (s *Scene) AppendXML(b []byte) ([]byte, error) {
	if err := s.Check(); err != nil {
		return nil, err
	}
	w := writer{b: append(b, xml.Header...)}
	w.open("GeneralSceneDescription", "verMajor", "1", "verMinor", "6", "provider", s.Provider, "providerVersion", s.ProviderVersion)
	w.open("Scene")
	if len(s.Classes)+len(s.Positions) > 0 {
		w.open("AUXData")
		for _, c := range s.Classes {
			w.empty("Class", "uuid", c.UUID.String(), "name", c.Name)
		}
		for _, p := range s.Positions {
			w.empty("Position", "uuid", p.UUID.String(), "name", p.Name)
		}
		w.close("AUXData")
	}
	w.open("Layers")
	for i := range s.Layers {
		w.layer(&s.Layers[i])
	}
	w.close("Layers")
	w.close("Scene")
	w.close("GeneralSceneDescription")
	return w.b, nil
}

// writer indents by its depth.
type writer struct {
	b     []byte
	depth int
}

// layer writes a layer; the schema refuses a ChildList without children.
func (w *writer) layer(l *Layer) {
	attr := []string{"uuid", l.UUID.String(), "name", l.Name}
	if len(l.FocusPoints)+len(l.Fixtures) == 0 { // a ChildList must not be empty
		w.empty("Layer", attr...)
		return
	}
	w.open("Layer", attr...)
	w.open("ChildList")
	for i := range l.FocusPoints {
		w.focusPoint(&l.FocusPoints[i])
	}
	for i := range l.Fixtures {
		w.fixture(&l.Fixtures[i])
	}
	w.close("ChildList")
	w.close("Layer")
}

// focusPoint writes a place to aim at; Geometries must be there, empty or not.
func (w *writer) focusPoint(p *FocusPoint) {
	w.open("FocusPoint", "uuid", p.UUID.String(), "name", p.Name)
	w.text("Matrix", p.Matrix.String())
	w.empty("Geometries")
	w.close("FocusPoint")
}

// fixture writes a unit, elements in the order of the standard's table.
func (w *writer) fixture(f *Fixture) {
	w.open("Fixture", "uuid", f.UUID.String(), "name", f.Name)
	w.text("Matrix", f.Matrix.String())
	w.ref("Classing", f.Class)
	w.optional("GDTFSpec", f.GDTFSpec)
	w.optional("GDTFMode", f.GDTFMode)
	w.ref("Focus", f.Focus)
	w.ref("Position", f.Position)
	w.optional("Function", f.Function)
	w.text("FixtureID", f.ID)
	w.text("FixtureIDNumeric", strconv.Itoa(f.IDNumeric))
	w.text("UnitNumber", strconv.Itoa(f.Unit))
	if len(f.Addresses) > 0 {
		w.open("Addresses")
		for _, a := range f.Addresses {
			w.text("Address", strconv.Itoa(a.Slot), "break", strconv.Itoa(a.Break))
		}
		w.close("Addresses")
	}
	w.close("Fixture")
}

// start writes a start tag; attr is names and values in turn.
func (w *writer) start(name string, attr []string, end string) {
	w.b = append(w.b, strings.Repeat("  ", w.depth)+"<"+name...)
	for i := 0; i < len(attr); i += 2 {
		w.b = append(w.b, " "+attr[i]+`="`...)
		w.escape(attr[i+1])
		w.b = append(w.b, '"')
	}
	w.b = append(w.b, end...)
}

// escape writes text with XML's marks made harmless.
func (w *writer) escape(s string) {
	var out bytes.Buffer
	xml.EscapeText(&out, []byte(s)) // a bytes.Buffer returns no error
	w.b = append(w.b, out.Bytes()...)
}

// open and close write the tags about children, empty an element without any.
func (w *writer) open(name string, attr ...string) {
	w.start(name, attr, ">\n")
	w.depth++
}

func (w *writer) close(name string) {
	w.depth--
	w.b = append(w.b, strings.Repeat("  ", w.depth)+"</"+name+">\n"...)
}

func (w *writer) empty(name string, attr ...string) { w.start(name, attr, "/>\n") }

// text writes an element that holds text alone, on one line.
func (w *writer) text(name, text string, attr ...string) {
	w.start(name, attr, ">")
	w.escape(text)
	w.b = append(w.b, "</"+name+">\n"...)
}

// optional leaves an element out that would be empty.
func (w *writer) optional(name, text string) {
	if text != "" {
		w.text(name, text)
	}
}

// ref leaves a reference out that refers to nothing.
func (w *writer) ref(name string, u UUID) {
	if u != (UUID{}) {
		w.text(name, u.String())
	}
}

// String returns the four rows in braces, without exponents, which the
// standard's schema does not take everywhere.
func (m Matrix) String() string {
	if m == (Matrix{}) {
		m = identity()
	}
	var b []byte
	for _, row := range [][3]float64{m.U, m.V, m.W, m.O} {
		for i, v := range row {
			b = append(b, "{,,"[i])
			b = strconv.AppendFloat(b, v+0, 'f', -1, 64) // +0 turns -0 into 0
		}
		b = append(b, '}')
	}
	return string(b)
}
