package positions

import (
	"slices"
	"strings"
)

// sort tells units that are to be placed from those that stay and those of which nothing is asked.
func (p *planner) sort() {
	units := p.files.Rig.Units
	p.looksOf = make([][]int, len(units))
	asked := make([]bool, len(units))
	for i, w := range p.wishes {
		has := func(u int) {
			if !slices.Contains(p.looksOf[u], i) {
				p.looksOf[u] = append(p.looksOf[u], i)
			}
		}
		for _, f := range w.fixed {
			has(f.unit)
		}
		for k := range w.unknowns {
			for _, u := range w.unknowns[k].units {
				asked[u] = true
				has(u)
			}
		}
	}
	for u := range units {
		at, aim := units[u].Says()
		switch {
		case units[u].Type == nil || units[u].Mode == nil:
		case asked[u] && (p.o.Move || !at || !aim):
			p.free = append(p.free, u)
		case !at || !aim:
			p.idle = append(p.idle, u)
		}
	}
	if p.o.Move {
		for _, u := range p.free {
			units := p.files.Rig.Units
			units[u].Hung, units[u].Aimed = nil, nil
		}
	}
}

// alike is a key that units have in common which may take each other's place.
func (p *planner) alike(unit int) string {
	u := &p.files.Rig.Units[unit]
	at, aim := u.Says()
	if at || aim || u.Turn != 0 || u.Mask != 0 {
		return u.Name.Name
	}
	return strings.Join([]string{u.TypeName.Name, u.ModeName.Name, u.On.Name, strings.Join(u.Systems, ","), strings.Join(p.targetsOf(unit), ",")}, "\x00")
}

// targetsOf names what the looks ask of a unit.
func (p *planner) targetsOf(unit int) (out []string) {
	for _, w := range p.wishes {
		for k := range w.unknowns {
			x := &w.unknowns[k]
			if name := w.parts[x.part].Target(); slices.Contains(x.units, unit) && !slices.Contains(out, name) {
				out = append(out, name)
			}
		}
	}
	return out
}

// start lists the candidates that the search begins with: units that stay, and for each kind of the others so
// many that all of them are carried in one go.
func (p *planner) start() (spots []Spot, of [][]int) {
	of = make([][]int, len(p.files.Rig.Units))
	kinds := map[string][]int{}
	var order []string
	for u := range p.files.Rig.Units {
		unit := &p.files.Rig.Units[u]
		if slices.Contains(p.free, u) {
			key := p.alike(u)
			if kinds[key] == nil {
				order = append(order, key)
			}
			kinds[key] = append(kinds[key], u)
			continue
		}
		if unit.Type != nil && unit.Mode != nil && !slices.Contains(p.idle, u) && len(p.looksOf[u]) > 0 {
			of[u] = []int{len(spots)}
			spots = append(spots, Spot{Unit: u, On: onOf(p.files.Rig, unit), Support: unit.On.Name, At: unit.At, Aim: unit.Aim, Kept: true, place: -1})
		}
	}
	for _, key := range order {
		units := kinds[key]
		many := max(leastSpots, mostSpots*len(units)/len(p.free))
		if len(order) > 1 {
			many = max(leastSpots, (many+mostSpots/len(order))/2)
		}
		var list []int
		for _, s := range p.ground.candidates(p.random, &p.files.Rig.Units[units[0]], p.targetsOf(units[0]), many) {
			s.Unit = units[0]
			list = append(list, len(spots))
			spots = append(spots, s)
		}
		for _, u := range units {
			of[u] = list
		}
	}
	return spots, of
}
