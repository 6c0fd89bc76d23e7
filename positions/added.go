package positions

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"lampblack/rig"
	"lampblack/score"
	"lampblack/source"
)

// Group is some units that the rig does not have yet.
type Group struct {
	Count              int
	Type, Mode, System string // Mode and System may be left out
}

// mostAdded bounds how many units one call adds.
const mostAdded = 100

var groupForm = regexp.MustCompile(`^(\d{1,3}) +([^()]+?)(?: *\(([^()]+)\))?(?: +for +([^()]+))?$`)

// ReadGroups reads "6 par (10 slots) for front, 2 uv flood for uv".
func ReadGroups(text string) (out []Group, err error) {
	all := 0
	for _, part := range strings.Split(text, ",") {
		m := groupForm.FindStringSubmatch(strings.TrimSpace(part))
		if m == nil {
			return nil, fmt.Errorf("%q is no number of units of a type", strings.TrimSpace(part))
		}
		n, _ := strconv.Atoi(m[1])
		if all += n; n < 1 || all > mostAdded {
			return nil, fmt.Errorf("%d units: from 1 to %d", n, mostAdded)
		}
		out = append(out, Group{n, strings.TrimSpace(m[2]), strings.TrimSpace(m[3]), strings.TrimSpace(m[4])})
	}
	return out, nil
}

// Added is the text of a rig with units at its end that have no place yet: each with an address that is free,
// and a system. Where none is said they are dealt in turn to the systems that looks ask for light of, and that
// the type can serve.
func Added(file string, data []byte, r *rig.Rig, sc *score.Score, groups []Group) ([]byte, error) {
	t, faults := source.OpenText(file, data)
	if t == nil {
		return nil, faults.Err()
	}
	var items []string
	names := r.UnitNames()
	universe, address := nextFree(r)
	for _, g := range groups {
		kind, mode, err := kindOf(r, g)
		if err != nil {
			return nil, err
		}
		systems := []string{g.System}
		if g.System == "" {
			if systems = serves(sc, kind); systems == nil {
				return nil, fmt.Errorf("no look asks a system for light that %s gives: say for which system they are", g.Type)
			}
		}
		for i := range g.Count {
			system := systems[i%len(systems)]
			name := nameOf(system, names)
			names = append(names, name)
			if address+mode.Footprint-1 > 512 {
				universe, address = universe+1, 1
			}
			item := fmt.Sprintf("{unit: %s, type: %s", source.Quote(name), source.Quote(g.Type))
			if len(kind.Modes) > 1 {
				item += ", mode: " + source.Quote(kind.Modes[slices.IndexFunc(kind.Modes, func(m source.Entry[rig.Mode]) bool { return m.Value.Footprint == mode.Footprint })].Name)
			}
			if universe > 1 {
				item += fmt.Sprintf(", universe: %d", universe)
			}
			items = append(items, item+fmt.Sprintf(", address: %d, systems: [%s]}", address, source.Quote(system)))
			address += mode.Footprint
		}
	}
	if err := t.Append("units", items...); err != nil {
		return nil, err
	}
	return t.Bytes()
}

// kindOf is the type and mode of a group; where no mode is said, the one that moves most emitters with fewest
// slots.
func kindOf(r *rig.Rig, g Group) (*rig.Type, *rig.Mode, error) {
	var kind *rig.Type
	if own := r.Types.Get(g.Type); own != nil {
		kind = *own
	} else if i := rig.Generic().Index(g.Type); i >= 0 {
		kind = rig.Generic()[i].Value
	}
	known := append(source.Names(r.Types), source.Names(rig.Generic())...)
	switch {
	case kind == nil:
		return nil, nil, source.Fault{Text: fmt.Sprintf("there is no fixture type %q", g.Type), Hint: source.OneOf(g.Type, known)}
	case len(kind.Modes) == 0:
		return nil, nil, fmt.Errorf("fixture type %s has no mode", g.Type)
	case g.Mode != "":
		if m := kind.Modes.Get(g.Mode); m != nil {
			return kind, m, nil
		}
		return nil, nil, source.Fault{Text: fmt.Sprintf("fixture type %s has no mode %q", g.Type, g.Mode), Hint: source.OneOf(g.Mode, source.Names(kind.Modes))}
	}
	best, worth := &kind.Modes[0].Value, -1
	for i := range kind.Modes {
		m := &kind.Modes[i].Value
		moved := map[string]bool{}
		for _, s := range m.Slots {
			moved[s.Drives] = s.Drives != ""
		}
		if w := 1000*len(moved) - m.Footprint; w > worth {
			best, worth = m, w
		}
	}
	return kind, best, nil
}

// nextFree is the first slot behind all that units listen to.
func nextFree(r *rig.Rig) (universe, address int) {
	universe, address = 1, 1
	for i := range r.Units {
		u := &r.Units[i]
		if u.Mode == nil || u.Universe < universe {
			continue
		}
		if u.Universe > universe {
			universe, address = u.Universe, 1
		}
		address = max(address, u.Address+u.Mode.Footprint)
	}
	return universe, address
}

// nameOf is a name that is not taken: the system's, with a number.
func nameOf(system string, taken []string) string {
	for n := 1; ; n++ {
		if name := fmt.Sprintf("%s %d", system, n); !slices.Contains(taken, name) {
			return name
		}
	}
}

// serves lists the systems that looks ask for light that a type gives.
func serves(sc *score.Score, t *rig.Type) (out []string) {
	black, seen := false, false
	for i := range t.Emitters {
		if t.Emitters[i].Value.Light.BlackLight() {
			black = true
		} else {
			seen = true
		}
	}
	if sc == nil {
		return nil
	}
	for i := range sc.Looks {
		for _, p := range sc.Parts(sc.Looks[i].Name) {
			if name := p.System.Name; name != "" && (p.Glow != nil && black || p.Lux != nil && seen) && !slices.Contains(out, name) {
				out = append(out, name)
			}
		}
	}
	return out
}
