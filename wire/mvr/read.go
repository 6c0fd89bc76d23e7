package mvr

import (
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"lampblack/wire/archive"
)

// mostFiles bounds the octets of all fixture types of a scene, unpacked; their models are most
// of them.
const mostFiles = 64 << 20

// mostElements bounds the elements of a scene: those of a house with all its lamps and trusses.
const mostElements = 150_000

// Parse reads an archive. Fixture types and the scene are unpacked; files of other sorts, such
// as models and textures, files in folders and files whose names no system takes are passed
// over and named in Skipped. Nothing is written to a disk. Of two files of one name the later
// counts.
func Parse(b []byte) (*Scene, error) {
	wanted := func(name string) bool {
		return name == sceneFile || checkName(name) == nil && strings.HasSuffix(strings.ToLower(name), ".gdtf")
	}
	files, others, err := archive.Unpack(b, wanted, mostFiles)
	if err != nil {
		return nil, fmt.Errorf("scene: %w", err)
	}
	text, ok := files[sceneFile]
	if !ok {
		return nil, fmt.Errorf("scene: archive: got %d files, none of them %s", len(files)+len(others), sceneFile)
	}
	delete(files, sceneFile)
	s, err := ParseXML(text)
	if err != nil {
		return nil, err
	}
	skipped := map[string]bool{}
	for _, k := range s.Skipped {
		skipped[k] = true
	}
	for _, name := range others {
		skipped["file "+name] = true
	}
	s.Files, s.Skipped = files, slices.Sorted(maps.Keys(skipped))
	return s, nil
}

// ParseXML reads the scene's own file. Of what is wrong the first is told, with its line;
// a scene that is wrong somewhere is not used in part.
func ParseXML(b []byte) (*Scene, error) {
	root, err := archive.Parse(b, mostElements)
	if err != nil {
		return nil, fmt.Errorf("scene: %w", err)
	}
	if root.Name != "GeneralSceneDescription" {
		return nil, fmt.Errorf("scene: line %d: got element %q, want GeneralSceneDescription", root.Line, root.Name)
	}
	r := reader{skipped: map[string]bool{}}
	s := &Scene{Provider: root.Get("provider"), ProviderVersion: root.Get("providerVersion")}
	if scene := root.Child("Scene"); scene != nil {
		r.aux(s, scene.Child("AUXData"))
		r.layers(s, scene.Child("Layers"))
	}
	if r.err != nil {
		return nil, r.err
	}
	s.Skipped = slices.Sorted(maps.Keys(r.skipped))
	return s, nil
}

// reader keeps the first error and goes on with zero values.
type reader struct {
	skipped map[string]bool
	err     error
}

// fail notes an error at the line of an element, unless there was one before.
func (r *reader) fail(n *archive.Node, err error) {
	if err != nil && r.err == nil {
		r.err = fmt.Errorf("scene: line %d: element %s: %w", n.Line, n.Name, err)
	}
}

// aux reads the classes and positions that units refer to.
func (r *reader) aux(s *Scene, n *archive.Node) {
	if n == nil {
		return
	}
	for _, c := range n.Children {
		switch c.Name {
		case "Class":
			s.Classes = append(s.Classes, r.named(c))
		case "Position":
			s.Positions = append(s.Positions, r.named(c))
		default:
			r.skipped[c.Name] = true
		}
	}
}

// named reads the two attributes that all things have. A UUID that is no UUID is an error,
// as references hang on it; one that is missing is the zero UUID, which Check refuses.
func (r *reader) named(n *archive.Node) Named {
	u, err := ParseUUID(n.Get("uuid"))
	r.fail(n, err)
	return Named{UUID: u, Name: n.Get("name")}
}

// layers reads the layers with all that hangs in them.
func (r *reader) layers(s *Scene, n *archive.Node) {
	if n == nil {
		return
	}
	for _, c := range n.Children {
		if c.Name != "Layer" {
			r.skipped[c.Name] = true
			continue
		}
		id := r.named(c)
		l := Layer{UUID: id.UUID, Name: id.Name}
		r.children(&l, c, r.matrix(c))
		s.Layers = append(s.Layers, l)
	}
}

// children adds what stands in the ChildList of n, which stands at the matrix. Whatever
// has a list of its own is gone into, also kinds that are passed over: a truss carries lamps.
// archive.Parse has bounded how deep that goes.
func (r *reader) children(l *Layer, n *archive.Node, at Matrix) {
	list := n.Child("ChildList")
	if list == nil {
		return
	}
	for _, c := range list.Children {
		m := r.matrix(c).in(at)
		switch c.Name {
		case "Fixture":
			l.Fixtures = append(l.Fixtures, r.fixture(c, m))
		case "FocusPoint":
			id := r.named(c)
			l.FocusPoints = append(l.FocusPoints, FocusPoint{UUID: id.UUID, Name: id.Name, Matrix: m})
		// A group is only its children, who are gone into below.
		case "GroupObject":
		default:
			r.skipped[c.Name] = true
		}
		r.children(l, c, m)
	}
}

// fixture reads a unit that stands at the matrix, seen from the scene.
func (r *reader) fixture(n *archive.Node, m Matrix) Fixture {
	id := r.named(n)
	f := Fixture{UUID: id.UUID, Name: id.Name, Matrix: m}
	for _, c := range n.Children {
		switch c.Name {
		case "Matrix", "ChildList": // read elsewhere
		case "Classing":
			f.Class = r.uuid(c)
		case "GDTFSpec":
			f.GDTFSpec = c.Text()
		case "GDTFMode":
			f.GDTFMode = c.Text()
		case "Focus":
			f.Focus = r.uuid(c)
		case "Position":
			f.Position = r.uuid(c)
		case "Function":
			f.Function = c.Text()
		case "FixtureID":
			f.ID = c.Text()
		case "FixtureIDNumeric":
			f.IDNumeric = r.number(c, c.Text())
		case "UnitNumber":
			f.Unit = r.number(c, c.Text())
		case "Addresses":
			f.Addresses = r.addresses(c)
		default:
			r.skipped["Fixture/"+c.Name] = true
		}
	}
	return f
}

// uuid reads an element whose text is one, or nothing.
func (r *reader) uuid(n *archive.Node) UUID {
	u, err := ParseUUID(n.Text())
	r.fail(n, err)
	return u
}

// biggest keeps numbers of hostile files within int on every machine.
const biggest = 1<<31 - 1

// number reads a whole number of 0 or more; empty text is 0.
func (r *reader) number(n *archive.Node, text string) int {
	if text == "" {
		return 0
	}
	v, err := strconv.ParseInt(text, 10, 64)
	if err != nil || v < 0 || v > biggest {
		r.fail(n, fmt.Errorf("got %.40q, want a number from 0 to %d", text, biggest))
		return 0
	}
	return int(v)
}

// addresses reads both forms of an address: counted through all universes, and
// universe.slot. An address of 0 is no address. The break tells the parts of a unit with
// several addresses apart.
func (r *reader) addresses(n *archive.Node) []Address {
	var list []Address
	for _, c := range n.Children {
		if c.Name != "Address" {
			r.skipped["Addresses/"+c.Name] = true
			continue
		}
		a := Address{Break: r.number(c, c.Get("break"))}
		universe, slot, split := strings.Cut(c.Text(), ".")
		if split {
			u, s := r.number(c, universe), r.number(c, slot)
			if u < 1 || u > biggest/slots || s < 1 || s > slots {
				r.fail(c, fmt.Errorf("got %.40q, want universe.slot", c.Text()))
				continue
			}
			a.Slot = Absolute(u, s)
		} else {
			a.Slot = r.number(c, c.Text())
		}
		if a.Slot == 0 { // how others write "not patched"
			continue
		}
		list = append(list, a)
	}
	return list
}

// matrix reads the Matrix element of n; without one things stand at the origin. The text
// is {u1,u2,u3}{v1,v2,v3}{w1,w2,w3}{o1,o2,o3}.
func (r *reader) matrix(n *archive.Node) Matrix {
	c := n.Child("Matrix")
	if c == nil {
		return identity()
	}
	var v [12]float64
	rows := strings.Split(strings.TrimSuffix(strings.TrimPrefix(c.Text(), "{"), "}"), "}{")
	if len(rows) != 4 {
		r.fail(c, fmt.Errorf("got %d rows in braces, want 4", len(rows)))
		return identity()
	}
	// Rows are the axes of the thing and where it stands, in millimetres.
	for i, row := range rows {
		cells := strings.Split(row, ",")
		if len(cells) != 3 {
			r.fail(c, fmt.Errorf("row %d: got %d numbers, want 3", i+1, len(cells)))
			return identity()
		}
		for j, cell := range cells {
			x, err := strconv.ParseFloat(strings.TrimSpace(cell), 64)
			if err != nil {
				r.fail(c, fmt.Errorf("row %d: got %.40q, want a number", i+1, cell))
			}
			// -0 becomes 0, so that what is read is written the same.
			v[3*i+j] = x + 0
		}
	}
	m := Matrix{U: [3]float64(v[0:]), V: [3]float64(v[3:]), W: [3]float64(v[6:]), O: [3]float64(v[9:])}
	r.fail(c, m.check())
	return m
}
