package described

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"lampblack/rig"
	"lampblack/source"
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
