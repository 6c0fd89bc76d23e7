package cabling

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"lampblack/rig"
	"lampblack/si"
)

// Item is one line of the list of what is carried in.
type Item struct {
	Kind   string    // units, data cables, supply cables, splitters, terminators, adaptors, sockets, spares
	What   string    // which
	Length si.Length // of a cable
	Count  int
	Short  int // how many of them are not owned
}

// The kinds of items, in the order of the list.
var kinds = []string{"units", "data cables", "supply cables", "splitters", "terminators", "adaptors", "sockets", "spares"}

// loading is a list in the making.
type loading map[Item]int

func (l loading) add(kind, what string, length si.Length, n int) {
	l[Item{Kind: kind, What: what, Length: length}] += n
}

// Load lists what must be carried in for the plans: units, cables by kind and length, what joins them,
// and one spare of each thing that is most often missed (common practice, no source).
func Load(r *rig.Rig, lines *Lines, circuits *Circuits, data, leads Stock) []Item {
	l := loading{}
	for i := range r.Units {
		l.add("units", unitIs(&r.Units[i]), 0, 1)
	}
	var wantData, wantLeads []si.Length
	if lines != nil {
		wantData = l.lines(r, lines)
	}
	if circuits != nil {
		wantLeads = l.circuits(circuits)
	}
	var out []Item
	for it, n := range l {
		it.Count = n
		out = append(out, it)
	}
	slices.SortFunc(out, func(a, b Item) int {
		return cmp.Or(cmp.Compare(slices.Index(kinds, a.Kind), slices.Index(kinds, b.Kind)), cmp.Compare(a.Length, b.Length), strings.Compare(a.What, b.What))
	})
	missing(out, "data cables", data, wantData)
	missing(out, "supply cables", leads, wantLeads)
	return out
}

func unitIs(u *rig.Unit) string {
	if u.ModeName.Name == "" {
		return u.TypeName.Name
	}
	return u.TypeName.Name + ", " + u.ModeName.Name
}

// lines adds what data lines take, and returns the lengths of their cables.
func (l loading) lines(r *rig.Rig, p *Lines) (want []si.Length) {
	spare := false
	for i := range p.Lines {
		line := &p.Lines[i]
		pins := rig.DataConnector("")
		for _, h := range line.Hops {
			for _, piece := range h.Pieces {
				l.add("data cables", said(h.Pins), piece, 1)
				want = append(want, piece)
			}
			if pins = h.Pins; h.Adaptor != "" {
				l.add("adaptors", fmt.Sprintf("from %s to %s", h.Pins, h.Adaptor), 0, 1)
				spare, pins = true, h.Adaptor
			}
		}
		if t := r.Units[line.Hops[len(line.Hops)-1].To].Type; t != nil && t.Pins != "" {
			pins = t.Pins
		}
		l.add("terminators", said(pins), 0, 1)
	}
	for universe, legs := range p.Legs {
		l.add("splitters", fmt.Sprintf("for universe %d, of %d legs or more, isolated, with a short cable from the output", universe, legs), 0, 1)
	}
	l.add("spares", "data cable", p.Spare, 1)
	l.add("spares", "terminator", 0, 1)
	if spare {
		l.add("spares", "adaptor of each kind", 0, 1)
	}
	return want
}

func said(c rig.DataConnector) string {
	if c == "" {
		return "with the connectors of its units"
	}
	return string(c)
}

// circuits adds what the supply takes, and returns the lengths of its cables.
func (l loading) circuits(p *Circuits) (want []si.Length) {
	longest := si.Length(0)
	for i := range p.Circuits {
		c := &p.Circuits[i]
		if len(c.Chains) > 0 {
			l.add("sockets", "at circuit "+c.Name, 0, len(c.Chains))
		}
		for _, chain := range c.Chains {
			for _, f := range chain {
				for _, piece := range f.Pieces {
					l.add("supply cables", fmt.Sprintf("%v, %v", f.Lead.Section, f.Lead.Connector), piece, 1)
					want, longest = append(want, piece), max(longest, piece)
				}
			}
		}
	}
	l.add("spares", "supply cable", longest, 1)
	return want
}

// missing says of cables how many are not owned.
func missing(list []Item, kind string, s Stock, want []si.Length) {
	if len(s) == 0 {
		return
	}
	short := s.shortage(want)
	for i := range list {
		if it := &list[i]; it.Kind == kind {
			it.Short = min(short[it.Length], it.Count)
			short[it.Length] -= it.Short
		}
	}
}
