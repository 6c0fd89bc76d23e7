package begin

import (
	"fmt"
	"path"
	"slices"
	"strconv"
	"strings"

	"lampblack/folder"
	"lampblack/rig"
	"lampblack/show"
	"lampblack/source"
)

// Systems are what units are used for; the first is guessed of lamps that are seen, Dark of those
// that give black light alone.
var Systems = []string{"front", "side", "top", "back", "foot", Dark}

// Dark is the system of black light.
const Dark = "uv"

// mostUnits bounds what is added on the page; more is for the command and for an editor.
const mostUnits = 200

// unitsOf groups the units of a rig: those one after another that are alike.
func unitsOf(f *show.Files) Units {
	out := Units{Groups: []Group{}}
	if f.Rig == nil {
		return out
	}
	for i := range f.Rig.Units {
		u := &f.Rig.Units[i]
		system := ""
		if len(u.Systems) > 0 {
			system = u.Systems[0]
		}
		listens := strconv.Itoa(u.Address)
		if u.Universe > 1 {
			listens = fmt.Sprintf("%d in universe %d", u.Address, u.Universe)
		}
		if n := len(out.Groups); n > 0 && out.Groups[n-1].Type == u.TypeName.Name && out.Groups[n-1].Mode == u.ModeName.Name && out.Groups[n-1].System == system {
			g := &out.Groups[n-1]
			g.Count++
			g.Units, g.Slots = append(g.Units, u.Name.Name), g.Slots+", "+listens
			continue
		}
		out.Groups = append(out.Groups, Group{u.Name.Name, u.TypeName.Name, u.ModeName.Name, system, 1, []string{u.Name.Name}, listens})
	}
	return out
}

// units has as many units of each group as there are: what is there and stays keeps its name, its
// place and its address.
func (w *writer) units(a Units) {
	all := 0
	for i := range a.Groups {
		g := &a.Groups[i]
		if all += g.Count; g.Count < 1 || all > mostUnits {
			w.refuse("from 1 to %d lamps, and not %d", mostUnits, g.Count)
		}
		t := w.typeOf(g.Type)
		switch {
		case t == nil:
			w.refuse("there is no lamp called %q", source.Visible(g.Type))
			return
		case g.Mode != "" && t.Modes.Get(g.Mode) == nil:
			w.refuse("the lamp %s has no mode %q", g.Type, source.Visible(g.Mode))
		}
		if g.System = named(g.System); g.System == "" {
			g.System = SystemOf(t)
		}
	}
	if w.err != nil {
		return
	}
	w.bare()
	w.take(a.Groups)
	for i := range a.Groups {
		w.group(&a.Groups[i])
	}
	w.addresses()
	w.looks()
}

// SystemOf is what a lamp is guessed to be for.
func SystemOf(t *rig.Type) string {
	for i := range t.Emitters {
		if !t.Emitters[i].Value.Light.BlackLight() {
			return Systems[0]
		}
	}
	return Dark
}

// typeOf is a type of the folder's own, or one that is built in; nil where there is none.
func (w *writer) typeOf(name string) *rig.Type {
	file := "fixtures/" + name + ".yaml"
	if data := w.t.Read(file); data != nil {
		if t, faults := rig.ReadType(name, file, data); faults.Err() == nil {
			return t
		}
		return nil
	}
	if i := rig.Generic().Index(name); i >= 0 {
		return rig.Generic()[i].Value
	}
	return nil
}

// take takes away the units of groups that are gone, and of those that have fewer.
func (w *writer) take(groups []Group) {
	for _, was := range w.was.Units.Groups {
		keep := 0
		if i := indexOf(groups, func(g *Group) bool { return g.ID == was.ID }); i >= 0 {
			keep = min(groups[i].Count, was.Count)
		}
		for _, name := range was.Units[keep:] {
			if i := w.unit(name); i >= 0 {
				w.cut(show.RigFile, "units", i)
			}
		}
	}
}

// unit is the place of a unit in the list, -1 where it is not there.
func (p *pen) unit(name string) int {
	units, _ := p.at(show.RigFile, "units")
	return indexOf(units.List, func(u *source.Plain) bool { return u.Get("unit").Text == name })
}

// group changes the units of a group, and adds those that are new.
func (w *writer) group(g *Group) {
	var was Group
	if i := indexOf(w.was.Units.Groups, func(b *Group) bool { return g.ID != "" && b.ID == g.ID }); i >= 0 {
		was = w.was.Units.Groups[i]
	}
	for n := range g.Count {
		if n < was.Count {
			if i := w.unit(was.Units[n]); i >= 0 && (g.Type != was.Type || g.Mode != was.Mode || g.System != was.System) {
				w.keys(show.RigFile, w.guessOf(show.RigFile, "units", i), []any{"units", i}, pair("type", word(g.Type)), pair("mode", word(g.Mode)), pair("systems", list(g.System)))
			}
			continue
		}
		w.add(show.RigFile, "units", plainOf(pair("unit", word(w.unitName(g.System))), pair("type", word(g.Type)), pair("mode", word(g.Mode)), pair("address", number(1)), pair("systems", list(g.System))), "")
	}
}

// unitName is a name that is not taken: the system's, with a number.
func (w *writer) unitName(system string) string {
	for n := 1; ; n++ {
		if name := fmt.Sprintf("%s %d", system, n); w.unit(name) < 0 {
			return name
		}
	}
}

// addresses gives units addresses where two would listen to one slot, or one would have none: those
// that are on their own stay.
func (w *writer) addresses() {
	units, _ := w.at(show.RigFile, "units")
	taken := map[int]bool{}
	slots := func(first, n int, take bool) bool {
		if (first-1)/512 != (first+n-2)/512 {
			return false
		}
		for s := first; s < first+n; s++ {
			if taken[s] {
				return false
			}
		}
		for s := first; take && s < first+n; s++ {
			taken[s] = true
		}
		return true
	}
	for i, u := range units.List {
		n, at := w.footprint(u), slotOf(u)
		if slots(at, n, true) {
			continue
		}
		for at = 1; !slots(at, n, true); at++ {
		}
		universe := source.Plain{}
		if at > 512 {
			universe = number((at-1)/512 + 1)
		}
		w.keys(show.RigFile, w.guessOf(show.RigFile, "units", i), []any{"units", i}, pair("universe", universe), pair("address", number((at-1)%512+1)))
	}
}

// slotOf is the first slot of a unit, counted over all universes.
func slotOf(u source.Plain) int {
	universe, address := 1, 1
	fmt.Sscanf(u.Get("universe").Text, "%d", &universe)
	fmt.Sscanf(u.Get("address").Text, "%d", &address)
	return (min(max(universe, 1), 63999)-1)*512 + min(max(address, 1), 512)
}

func (w *writer) footprint(u source.Plain) int {
	t := w.typeOf(u.Get("type").Text)
	if t == nil || len(t.Modes) == 0 {
		return 1
	}
	m := t.Modes.Get(u.Get("mode").Text)
	if m == nil {
		m = &t.Modes[0].Value
	}
	return min(max(m.Footprint, 1), 512)
}

// Kind is a lamp that may be picked.
type Kind struct {
	Name   string   `json:"name"`
	Own    bool     `json:"own"`    // of this show
	Light  []string `json:"light"`  // its emitters
	Modes  []string `json:"modes"`  // with how many slots each has
	System string   `json:"system"` // what it is guessed to be for
}

// Kinds lists the lamps that may be picked: the show's own, then those that are built in.
func Kinds(f *folder.Folder) []Kind {
	var out []Kind
	if f != nil {
		entries, _ := f.ReadDir("fixtures") // there may be none
		for _, e := range entries {
			id, yaml := strings.CutSuffix(e.Name(), ".yaml")
			name := path.Join("fixtures", e.Name())
			data, err := f.ReadFile(name)
			if !yaml || err != nil {
				continue
			}
			if t, faults := rig.ReadType(id, name, data); faults.Err() == nil {
				out = append(out, kindOf(t, true))
			}
		}
	}
	for _, e := range rig.Generic() {
		if !slices.ContainsFunc(out, func(k Kind) bool { return k.Name == e.Name }) {
			out = append(out, kindOf(e.Value, false))
		}
	}
	return out
}

func kindOf(t *rig.Type, own bool) Kind {
	return Kind{t.ID, own, source.Names(t.Emitters), source.Names(t.Modes), SystemOf(t)}
}
