package mvr

import (
	"maps"
	"slices"
	"strconv"

	"lampblack/wire/archive"
)

// sceneFile is the name of the scene in the archive.
const sceneFile = "GeneralSceneDescription.xml"

// Append appends the archive to b. It returns what Check finds.
func (s *Scene) Append(b []byte) ([]byte, error) {
	text, err := s.AppendXML(nil)
	if err != nil {
		return nil, err
	}
	files := []archive.File{{Name: sceneFile, Content: text}}
	for _, name := range slices.Sorted(maps.Keys(s.Files)) {
		files = append(files, archive.File{Name: name, Content: s.Files[name]})
	}
	return archive.Pack(b, files)
}

// AppendXML appends the scene's own file to b, elements in the order that the standard's
// schema asks for. It returns what Check finds.
func (s *Scene) AppendXML(b []byte) ([]byte, error) {
	if err := s.Check(); err != nil {
		return nil, err
	}
	w := writer{archive.NewWriter(b)}
	w.Open("GeneralSceneDescription", "verMajor", "1", "verMinor", "6", "provider", s.Provider, "providerVersion", s.ProviderVersion)
	w.Open("Scene")
	if len(s.Classes)+len(s.Positions) > 0 {
		w.Open("AUXData")
		for _, c := range s.Classes {
			w.Empty("Class", "uuid", c.UUID.String(), "name", c.Name)
		}
		for _, p := range s.Positions {
			w.Empty("Position", "uuid", p.UUID.String(), "name", p.Name)
		}
		w.Close("AUXData")
	}
	w.Open("Layers")
	for i := range s.Layers {
		w.layer(&s.Layers[i])
	}
	w.Close("Layers")
	w.Close("Scene")
	w.Close("GeneralSceneDescription")
	return w.Bytes(), nil
}

// writer knows the elements of a scene.
type writer struct{ *archive.Writer }

// layer writes a layer; the schema refuses a ChildList without children.
func (w *writer) layer(l *Layer) {
	attr := []string{"uuid", l.UUID.String(), "name", l.Name}
	if len(l.FocusPoints)+len(l.Fixtures) == 0 { // a ChildList must not be empty
		w.Empty("Layer", attr...)
		return
	}
	w.Open("Layer", attr...)
	w.Open("ChildList")
	for i := range l.FocusPoints {
		w.focusPoint(&l.FocusPoints[i])
	}
	for i := range l.Fixtures {
		w.fixture(&l.Fixtures[i])
	}
	w.Close("ChildList")
	w.Close("Layer")
}

// focusPoint writes a place to aim at; Geometries must be there, empty or not.
func (w *writer) focusPoint(p *FocusPoint) {
	w.Open("FocusPoint", "uuid", p.UUID.String(), "name", p.Name)
	w.Text("Matrix", p.Matrix.String())
	w.Empty("Geometries")
	w.Close("FocusPoint")
}

// fixture writes a unit, elements in the order of the standard's table.
func (w *writer) fixture(f *Fixture) {
	w.Open("Fixture", "uuid", f.UUID.String(), "name", f.Name)
	w.Text("Matrix", f.Matrix.String())
	w.ref("Classing", f.Class)
	w.optional("GDTFSpec", f.GDTFSpec)
	w.optional("GDTFMode", f.GDTFMode)
	w.ref("Focus", f.Focus)
	w.ref("Position", f.Position)
	w.optional("Function", f.Function)
	w.Text("FixtureID", f.ID)
	w.Text("FixtureIDNumeric", strconv.Itoa(f.IDNumeric))
	w.Text("UnitNumber", strconv.Itoa(f.Unit))
	if len(f.Addresses) > 0 {
		w.Open("Addresses")
		for _, a := range f.Addresses {
			w.Text("Address", strconv.Itoa(a.Slot), "break", strconv.Itoa(a.Break))
		}
		w.Close("Addresses")
	}
	w.Close("Fixture")
}

// optional leaves an element out that would be empty.
func (w *writer) optional(name, text string) {
	if text != "" {
		w.Text(name, text)
	}
}

// ref leaves a reference out that refers to nothing.
func (w *writer) ref(name string, u UUID) {
	if u != (UUID{}) {
		w.Text(name, u.String())
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
