package mvr

import (
	"crypto/sha1"
	"encoding/hex"
	"errors"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"
)

// Scene is what a file describes.
type Scene struct {
	Provider, ProviderVersion string // the program that wrote it
	Classes, Positions        []Named
	Layers                    []Layer
	Files                     map[string][]byte // by name, the scene itself apart
	Skipped                   []string          // when read: what was passed over, sorted
}

// Named is a class or a hanging position, for units to refer to.
type Named struct {
	UUID UUID
	Name string
}

// Layer is a part of the scene.
type Layer struct {
	UUID        UUID
	Name        string
	FocusPoints []FocusPoint
	Fixtures    []Fixture
}

// FocusPoint is a place to aim at.
type FocusPoint struct {
	UUID   UUID
	Name   string
	Matrix Matrix
}

// Fixture is a unit.
type Fixture struct {
	UUID      UUID
	Name      string
	Matrix    Matrix
	Class     UUID   // of Classes, or zero
	GDTFSpec  string // of Files, or empty
	GDTFMode  string
	Focus     UUID      // of FocusPoints, or zero
	Position  UUID      // of Positions, or zero
	Function  string    // what it is for
	ID        string    // as people call it: "12", "UV left"
	IDNumeric int       // its number for programs
	Unit      int       // its number on its position
	Addresses []Address // one for each of its data inputs
}

// Address is where a unit listens.
type Address struct {
	Break int // which of its inputs, 0 for the first
	Slot  int // 1 and up, through all universes
}

// slots of a universe (ANSI E1.11).
const slots = 512

// Absolute returns the address of a slot (1 to 512) in a universe (1 and up).
func Absolute(universe, slot int) int { return (universe-1)*slots + slot }

// Split returns the universe and slot of an address.
func (a Address) Split() (universe, slot int) {
	return (a.Slot-1)/slots + 1, (a.Slot-1)%slots + 1
}

// Matrix is three axes and a place, in millimetres. The zero value is the
// origin with the axes of the scene.
type Matrix struct{ U, V, W, O [3]float64 }

// identity is the origin with the axes of the scene, written out.
func identity() Matrix {
	return Matrix{U: [3]float64{1, 0, 0}, V: [3]float64{0, 1, 0}, W: [3]float64{0, 0, 1}}
}

// in returns the matrix m of a thing within p, as seen from outside p: directions are
// turned by p's axes, the place is turned and moved. Products are rounded before they are
// added, so that every machine writes the same digits.
func (m Matrix) in(p Matrix) Matrix {
	turn := func(v [3]float64) (out [3]float64) {
		for i := range out {
			out[i] = float64(v[0]*p.U[i]) + float64(v[1]*p.V[i]) + float64(v[2]*p.W[i])
		}
		return out
	}
	o := turn(m.O)
	for i := range o {
		o[i] += p.O[i]
	}
	return Matrix{U: turn(m.U), V: turn(m.V), W: turn(m.W), O: o}
}

// check refuses what is no place: 1e9 mm is a thousand kilometres. That the axes are at
// right angles and of length 1 is not asked.
func (m Matrix) check() error {
	for _, row := range [][3]float64{m.U, m.V, m.W, m.O} {
		for _, v := range row {
			if math.IsNaN(v) || math.Abs(v) > 1e9 {
				return fmt.Errorf("matrix: got %v, want numbers of at most 1e9 mm", v)
			}
		}
	}
	return nil
}

// UUID identifies a thing over all versions of a file.
type UUID [16]byte

// namespace is the UUID under which NameUUID makes names, chosen once at random.
var namespace = UUID{0x1f, 0x6a, 0xc3, 0x94, 0x52, 0x0d, 0x4e, 0x3b, 0x9a, 0x7c, 0x40, 0xe8, 0xb5, 0x11, 0x2d, 0x86}

// NameUUID returns the name-based UUID (RFC 9562, version 5) of a name: the
// same thing of a show has the same UUID in every file.
func NameUUID(name string) UUID {
	sum := sha1.Sum(append(namespace[:], name...))
	u := UUID(sum[:16])
	// Version 5 in the high half of octet 6, the variant in the top bits of octet 8 (RFC 9562,
	// section 5.5).
	u[6] = u[6]&0x0F | 0x50
	u[8] = u[8]&0x3F | 0x80
	return u
}

// String returns the usual form, in upper case.
func (u UUID) String() string {
	h := strings.ToUpper(hex.EncodeToString(u[:]))
	return strings.Join([]string{h[:8], h[8:12], h[12:16], h[16:20], h[20:]}, "-")
}

// ParseUUID reads the usual form; empty text is the zero UUID.
func ParseUUID(s string) (u UUID, err error) {
	s = strings.TrimSpace(s)
	if s == "" {
		return u, nil
	}
	b, err := hex.DecodeString(strings.ReplaceAll(s, "-", ""))
	if err != nil || len(b) != 16 {
		return u, fmt.Errorf("uuid: got %.50q, want 32 hex digits", s)
	}
	return UUID(b), nil
}

// Check returns all that other programs would stumble over, joined: missing identifiers,
// two of the same, files that are not there, numbers that no field takes.
func (s *Scene) Check() error {
	c := checker{uuids: map[UUID]string{}}
	if s.Provider == "" || s.ProviderVersion == "" {
		c.add("provider %q, version %q: want both", s.Provider, s.ProviderVersion)
	}
	for _, n := range s.Classes {
		c.uuid(n.UUID, "class "+n.Name)
	}
	for _, n := range s.Positions {
		c.uuid(n.UUID, "position "+n.Name)
	}
	for _, l := range s.Layers {
		c.uuid(l.UUID, "layer "+l.Name)
		for _, p := range l.FocusPoints {
			c.uuid(p.UUID, "focus point "+p.Name)
			c.wrap("focus point "+p.Name, p.Matrix.check())
		}
		for i := range l.Fixtures {
			c.fixture(s, &l.Fixtures[i])
		}
	}
	for _, name := range slices.Sorted(maps.Keys(s.Files)) {
		c.wrap("file "+name, checkName(name))
	}
	return errors.Join(c.errs...)
}

// checker collects all that is wrong with a scene.
type checker struct {
	uuids map[UUID]string
	errs  []error
}

// add notes one thing that is wrong.
func (c *checker) add(format string, args ...any) {
	c.errs = append(c.errs, fmt.Errorf("scene: "+format, args...))
}

// wrap notes an error, if it is one, with what it is about.
func (c *checker) wrap(what string, err error) {
	if err != nil {
		c.add("%s: %w", what, err)
	}
}

// uuid wants one, and no other thing to have it.
func (c *checker) uuid(u UUID, what string) {
	if u == (UUID{}) {
		c.add("%s: got no uuid", what)
		return
	}
	if other, taken := c.uuids[u]; taken {
		c.add("%s: got the uuid of %s", what, other)
	}
	c.uuids[u] = what
}

// fixture checks what the standard asks of every unit.
func (c *checker) fixture(s *Scene, f *Fixture) {
	what := "fixture " + f.Name
	c.uuid(f.UUID, what)
	c.wrap(what, f.Matrix.check())
	if f.ID == "" {
		c.add("%s: got no fixture ID", what)
	}
	if f.IDNumeric < 0 || f.Unit < 0 {
		c.add("%s: number %d, unit %d: want 0 or more", what, f.IDNumeric, f.Unit)
	}
	if _, there := s.Files[f.GDTFSpec]; f.GDTFSpec != "" && !there {
		c.add("%s: fixture type %q is not among the files", what, f.GDTFSpec)
	}
	for _, a := range f.Addresses {
		if a.Slot < 1 || a.Break < 0 {
			c.add("%s: address %d on break %d: want 1 or more, 0 or more", what, a.Slot, a.Break)
		}
	}
}

// checkName refuses what cannot stand at the root of an archive on any system.
func checkName(name string) error {
	switch {
	case name == "" || strings.ContainsAny(name, `/\:*?"<>|`+"\x00") || name[0] == '.':
		return fmt.Errorf("name: got %q, want a plain file name", name)
	case strings.EqualFold(name, sceneFile):
		return fmt.Errorf("name: got %q, which is the scene itself", name)
	}
	return nil
}
