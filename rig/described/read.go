package described

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"lampblack/rig"
	"lampblack/wire/gdtf"
)

// Reading is a fixture type as a description tells it.
type Reading struct {
	Name     string
	Notes    []Note
	emitters []emitter
	modes    []mode
	cells    int
	lines    []string // of the type as a whole, as its file has them
}

// Note is a doubt: what the description leaves out, contradicts, or says in a way that no type has.
type Note struct {
	Mode string `json:"mode,omitempty"` // "" for the type as a whole
	Slot int    `json:"slot,omitempty"` // 0 for the mode as a whole
	Text string `json:"text"`
}

func (n Note) String() string {
	switch {
	case n.Slot > 0:
		return fmt.Sprintf("%s, slot %d: %s", n.Mode, n.Slot, n.Text)
	case n.Mode != "":
		return n.Mode + ": " + n.Text
	}
	return n.Text
}

type mode struct {
	name  string
	slots []rig.Slot
}

// Read makes a fixture type of a description. It is an error when no slot of any mode lights
// anything.
func Read(t *gdtf.FixtureType) (*Reading, error) {
	r := &reader{t: t, out: &Reading{Name: cmp.Or(t.LongName, t.Name)}}
	for _, n := range t.Notes {
		r.note("", 0, "%v", n)
	}
	r.body()
	for i := range t.Modes {
		r.mode(i)
	}
	if len(r.out.emitters) == 0 {
		return nil, fmt.Errorf("no slot of its %d modes lights anything", len(t.Modes))
	}
	r.whole()
	return r.out, nil
}

// reader makes a Reading.
type reader struct {
	t       *gdtf.FixtureType
	out     *Reading
	layouts []*gdtf.Layout   // by mode
	cellOf  []map[int]int    // by mode: the cell of each opening
	first   []*gdtf.Geometry // by cell: its opening
	places  [][3]float64     // by cell
	keys    map[string]int   // emitters, by what tells them apart
}

// mostNotes bounds what is told of one description.
const mostNotes = 200

func (r *reader) note(mode string, slot int, format string, args ...any) {
	n := Note{mode, slot, fmt.Sprintf(format, args...)}
	if len(r.out.Notes) < mostNotes && !slices.Contains(r.out.Notes, n) {
		r.out.Notes = append(r.out.Notes, n)
	}
}

// mode reads one slot table.
func (r *reader) mode(i int) {
	m, l := &r.t.Modes[i], r.layouts[i]
	out := mode{name: strings.TrimSpace(m.Name)}
	if out.name == "" {
		out.name = fmt.Sprintf("%d slots", l.Footprint())
	}
	for slices.ContainsFunc(r.out.modes, func(other mode) bool { return other.name == out.name }) {
		out.name += " again"
	}
	for _, n := range l.Notes {
		r.note(out.name, 0, "%s", n)
	}
	table := tabler{r: r, mode: i, m: m, layout: l, name: out.name}
	table.run()
	if len(table.slots) == 0 {
		r.note(out.name, 0, "it has no slot, and is left out")
		return
	}
	slices.SortStableFunc(table.slots, func(a, b rig.Slot) int { return a.Coarse - b.Coarse })
	out.slots = table.slots
	r.out.modes = append(r.out.modes, out)
}
