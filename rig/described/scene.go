package described

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"
	"unicode"

	"lampblack/rig"
	"lampblack/room"
	"lampblack/si"
	"lampblack/source"
	"lampblack/wire/gdtf"
	"lampblack/wire/mvr"
)

// Scene is a rig as a scene by DIN SPEC 15801 tells it: the texts of rig.yaml and of the fixture
// types, by their names in a show's folder.
type Scene struct {
	Texts map[string][]byte
	Notes []string
	Units int
}

// Units makes a rig of a scene. Places are those of the scene, whose origin counts as the middle of the
// front edge of the stage. It is an error when there is no unit, or when what comes out is no rig: then
// nothing of it is to be used.
func Units(s *mvr.Scene) (*Scene, error) {
	u := &hanger{scene: s, out: &Scene{Texts: map[string][]byte{}}, types: map[string]*hungType{}, names: map[string]bool{}}
	for _, l := range s.Layers {
		for i := range l.Fixtures {
			u.unit(&l.Fixtures[i])
		}
	}
	if len(u.units) == 0 {
		return nil, fmt.Errorf("there is no lamp in the scene")
	}
	if len(u.units) > rig.MaxUnits {
		return nil, fmt.Errorf("%d lamps are more than the %d that one show may have", len(u.units), rig.MaxUnits)
	}
	u.address()
	for _, k := range s.Skipped {
		u.note("passed over: %s", k)
	}
	u.out.Texts["rig.yaml"] = u.yaml()
	u.out.Units = len(u.units)
	return u.out, u.proof()
}

// hanger makes units.
type hanger struct {
	scene *mvr.Scene
	out   *Scene
	types map[string]*hungType // by the scene's name of them
	order []*hungType
	names map[string]bool
	units []hungUnit
}

// hungType is a fixture type that units of the scene are of; reading is nil for a built-in one.
type hungType struct {
	id      string
	reading *Reading
	kind    *rig.Type
}

type hungUnit struct {
	name, mode, note string
	kind             *hungType
	at               [3]float64 // m
	aim              *[3]float64
	turn             float64 // degrees
	systems          []string
	universe, slot   int
	footprint        int
}

func (h *hanger) note(format string, args ...any) {
	text := fmt.Sprintf(format, args...)
	if len(h.out.Notes) < mostNotes && !slices.Contains(h.out.Notes, text) {
		h.out.Notes = append(h.out.Notes, text)
	}
}

// stranger is the built-in type of a lamp that the scene does not describe.
const stranger = "colour par"

// kind finds the type of a unit, and reads its description the first time.
func (h *hanger) kind(spec string) *hungType {
	file, data := h.file(spec)
	if t, ok := h.types[file]; ok {
		return t
	}
	t := &hungType{id: stranger, kind: rig.Generic()[rig.Generic().Index(stranger)].Value}
	h.types[file] = t
	if data == nil {
		h.note("%s: its description is not in the scene: taken as %q, a built-in type, until you say what it is", called(spec), stranger)
		return t
	}
	d, err := gdtf.Parse(data)
	if err == nil {
		t.reading, err = Read(d)
	}
	if err != nil {
		t.reading = nil
		h.note("%s: %v: taken as %q, a built-in type", called(spec), err, stranger)
		return t
	}
	id := FileName(d.Name)
	for n := 2; slices.ContainsFunc(h.order, func(o *hungType) bool { return strings.EqualFold(o.id, id) }); n++ {
		id = fmt.Sprintf("%s %d", FileName(d.Name), n)
	}
	t.id = id
	name := "fixtures/" + id + ".yaml"
	text := t.reading.YAML()
	kind, faults := rig.ReadType(id, name, text)
	if err := faults.Err(); err != nil {
		h.note("%s: %v: taken as %q, a built-in type", called(spec), err, stranger)
		t.id, t.reading = stranger, nil
		return t
	}
	t.kind = kind
	h.order = append(h.order, t)
	h.out.Texts[name] = text
	for _, n := range t.reading.Notes {
		h.note("%s: %v", id, n)
	}
	return t
}

func called(spec string) string {
	if spec == "" {
		return "a lamp without a type"
	}
	return source.Visible(spec)
}

// file finds a description by its name, which programs write with its ending or without; one that is not
// there keeps its own name.
func (h *hanger) file(spec string) (name string, data []byte) {
	for _, name := range slices.Sorted(maps.Keys(h.scene.Files)) {
		if spec != "" && (strings.EqualFold(name, spec) || strings.EqualFold(name, spec+".gdtf")) {
			return name, h.scene.Files[name]
		}
	}
	return spec, nil
}

// FileName makes a name one that a type's file can have everywhere.
func FileName(name string) string {
	clean := strings.Map(func(r rune) rune {
		if !unicode.IsPrint(r) || strings.ContainsRune(`/\:*?"<>|`, r) {
			return ' '
		}
		return r
	}, name)
	clean = strings.Join(strings.Fields(clean), " ")
	if r := []rune(clean); len(r) > 60 {
		clean = strings.TrimSpace(string(r[:60]))
	}
	clean = strings.TrimLeft(clean, ".")
	if clean == "" {
		return "lamp"
	}
	return clean
}

// unit reads one lamp.
func (h *hanger) unit(f *mvr.Fixture) {
	u := hungUnit{kind: h.kind(f.GDTFSpec), note: f.ID}
	u.name = h.name(f)
	u.mode, u.footprint = h.mode(u.name, u.kind, f.GDTFMode)
	for i := range u.at {
		u.at[i] = f.Matrix.O[i] / 1000
	}
	h.aim(&u, f)
	for part := range strings.SplitSeq(f.Function, ",") {
		if part = strings.TrimSpace(part); part != "" {
			u.systems = append(u.systems, part)
		}
	}
	if u.systems == nil {
		for _, p := range h.scene.Positions {
			if p.UUID == f.Position && f.Position != (mvr.UUID{}) && strings.TrimSpace(p.Name) != "" {
				u.systems = []string{strings.TrimSpace(p.Name)}
			}
		}
	}
	for i, a := range f.Addresses {
		if i > 0 {
			h.note("%s listens at %d places: the first counts", u.name, len(f.Addresses))
			break
		}
		u.universe, u.slot = a.Split()
	}
	h.units = append(h.units, u)
}

// name is the unit's own, or one made of its number.
func (h *hanger) name(f *mvr.Fixture) string {
	name := strings.TrimSpace(source.Visible(f.Name))
	if name == "" || h.names[name] {
		name = strings.TrimSpace(name + " " + strings.TrimSpace(source.Visible(f.ID)))
	}
	if name == "" {
		name = "unit"
	}
	base := name
	for n := 2; h.names[name]; n++ {
		name = fmt.Sprintf("%s (%d)", base, n)
	}
	h.names[name] = true
	return name
}

// mode finds the mode by its name.
func (h *hanger) mode(unit string, t *hungType, name string) (string, int) {
	modes := t.kind.Modes
	k := modes.Index(strings.TrimSpace(name))
	if k < 0 {
		k = 0
		switch {
		case name != "":
			h.note("%s is in a mode %q, which %s does not have: taken as %q", unit, source.Visible(name), t.id, modes[0].Name)
		case len(modes) > 1:
			h.note("%s: its mode is not told: taken as %q", unit, modes[0].Name)
		}
	}
	return modes[k].Name, modes[k].Value.Footprint
}

// How far from a lamp a point is that it is aimed at, where the scene says a direction alone and it
// does not meet the floor before.
const away = 5.

// aim is the focus point, or a point in the direction in which light leaves: against the third axis.
func (h *hanger) aim(u *hungUnit, f *mvr.Fixture) {
	for _, l := range h.scene.Layers {
		for _, p := range l.FocusPoints {
			if p.UUID == f.Focus && f.Focus != (mvr.UUID{}) {
				u.aim = &[3]float64{p.Matrix.O[0] / 1000, p.Matrix.O[1] / 1000, p.Matrix.O[2] / 1000}
			}
		}
	}
	w := f.Matrix.W
	n := math.Sqrt(w[0]*w[0] + w[1]*w[1] + w[2]*w[2])
	if u.aim == nil && n > 1e-9 {
		far := away
		if down := w[2] / n; down > .1 && u.at[2] > .1 && u.at[2]/down < 4*away {
			far = u.at[2] / down
		}
		u.aim = &[3]float64{}
		for i := range w {
			u.aim[i] = u.at[i] - w[i]/n*far
		}
	}
	if u.aim == nil || *u.aim == u.at {
		u.aim = nil
		h.note("%s: where it is aimed is not told", u.name)
		return
	}
	u.turn = turned(u, f.Matrix.U)
}

// turned is how far the row of cells is out of the level, about the beam, in degrees.
func turned(u *hungUnit, row [3]float64) float64 {
	level := &rig.Unit{}
	for i := range 3 {
		level.At[i], level.Aim[i] = si.Length(u.at[i]), si.Length(u.aim[i])
	}
	axis, flat := room.Hung(level)
	a, b, c := [3]float64{}, [3]float64{}, row
	for i := range 3 {
		a[i], b[i] = float64(axis[i]), float64(flat[i])
	}
	dot := func(p, q [3]float64) float64 { return p[0]*q[0] + p[1]*q[1] + p[2]*q[2] }
	across := [3]float64{a[1]*b[2] - a[2]*b[1], a[2]*b[0] - a[0]*b[2], a[0]*b[1] - a[1]*b[0]}
	deg := math.Atan2(dot(c, across), dot(c, b)) * 180 / math.Pi
	if math.IsNaN(deg) || math.Abs(deg) < .05 {
		return 0
	}
	return math.Round(deg*100) / 100
}

// address gives lamps that have none, or one that they run past the end from, one that is free: behind all
// others.
func (h *hanger) address() {
	last := 0
	for i := range h.units {
		u := &h.units[i]
		if u.slot > 0 && (u.universe > 63999 || u.slot+u.footprint-1 > 512) {
			h.note("%s is at %d.%d, from where its %d slots run past the end", u.name, u.universe, u.slot, u.footprint)
			u.slot = 0
		}
		if u.slot > 0 {
			last = max(last, u.universe)
		}
	}
	universe, next := min(last+1, 63999), 1
	for i := range h.units {
		u := &h.units[i]
		if u.slot > 0 {
			continue
		}
		if next+u.footprint-1 > 512 {
			universe, next = min(universe+1, 63999), 1
		}
		u.universe, u.slot = universe, next
		next += u.footprint
		h.note("%s has no address in the scene: given %d.%d, which is free; set the lamp so, or change it", u.name, u.universe, u.slot)
	}
}

// yaml writes the units.
func (h *hanger) yaml() []byte {
	var b strings.Builder
	b.WriteString("# Made from a scene by DIN SPEC 15801. Places are metres from its origin, which counts as the middle of\n# the front edge of the stage, on the floor.\nunits:\n")
	point := func(p [3]float64) string {
		return fmt.Sprintf("[%s m, %s m, %s m]", metres(p[0]), metres(p[1]), metres(p[2]))
	}
	for i := range h.units {
		u := &h.units[i]
		fmt.Fprintf(&b, "  - {unit: %s, type: %s, mode: %s", source.Quote(u.name), source.Quote(u.kind.id), source.Quote(u.mode))
		if u.universe > 1 {
			fmt.Fprintf(&b, ", universe: %d", u.universe)
		}
		fmt.Fprintf(&b, ", address: %d", u.slot)
		if far(u.at) || u.aim != nil && far(*u.aim) {
			h.note("%s hangs or aims more than a kilometre away: its place is left out", u.name)
		} else {
			fmt.Fprintf(&b, ", at: %s", point(u.at))
			if u.aim != nil && point(*u.aim) != point(u.at) {
				fmt.Fprintf(&b, ", aim: %s", point(*u.aim))
			}
			if u.turn != 0 && u.kind.kind.CellCount() > 1 { // of one cell nobody sees it
				fmt.Fprintf(&b, ", turn: %s°", metres(u.turn))
			}
		}
		if len(u.systems) > 0 {
			var list []string
			for _, s := range u.systems {
				list = append(list, source.Quote(source.Visible(s)))
			}
			fmt.Fprintf(&b, ", systems: [%s]", strings.Join(list, ", "))
		}
		if n := strings.TrimSpace(u.note); n != "" && n != u.name {
			fmt.Fprintf(&b, ", note: %s", source.Quote(source.Visible("number "+n+" in the scene")))
		}
		b.WriteString("}\n")
	}
	return []byte(b.String())
}

// metres has tenths of a millimetre.
func metres(v float64) string { return decimal(math.Round(v*1e4)/1e4 + 0) }

func far(p [3]float64) bool {
	return max(math.Abs(p[0]), math.Abs(p[1]), math.Abs(p[2])) > 999
}

// proof reads what was made as a rig.
func (h *hanger) proof() error {
	var types source.Named[*rig.Type]
	for _, t := range h.order {
		types = append(types, source.Entry[*rig.Type]{Name: t.id, Value: t.kind})
	}
	_, faults := rig.Read("rig.yaml", h.out.Texts["rig.yaml"], types)
	if err := faults.Err(); err != nil {
		return fmt.Errorf("what was made of the scene is no rig: %w", err)
	}
	return nil
}
