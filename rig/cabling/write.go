package cabling

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"lampblack/rig"
	"lampblack/source"
)

// Write puts the planned lines into the text of the rig that they were planned for; all else in it
// stays. Lines whose units have all gone to others go.
func (l *Lines) Write(file string, data []byte, r *rig.Rig) ([]byte, error) {
	t, faults := source.OpenText(file, data)
	if t == nil {
		return nil, faults.Err()
	}
	var added []string
	on := map[int]string{}
	for i := range l.Lines {
		line := &l.Lines[i]
		for _, h := range line.Hops {
			on[h.To] = line.Name
		}
		switch {
		case r.Lines.Get(line.Name) != nil:
			if err := line.change(t, r); err != nil {
				return nil, err
			}
		case len(t.Keys("lines")) > 0:
			if err := t.SetKey(source.Quote(line.Name), line.inline(r), "lines"); err != nil {
				return nil, err
			}
		default:
			added = append(added, source.Quote(line.Name)+": "+line.inline(r))
		}
	}
	if err := l.drop(t, r); err != nil {
		return nil, err
	}
	for _, u := range slices.Sorted(maps.Keys(on)) {
		if r.Units[u].Line.Name == "" || r.Units[u].Line.Name == on[u] {
			continue
		}
		if err := t.SetKey("line", source.Quote(on[u]), "units", u); err != nil {
			return nil, err
		}
	}
	if added != nil {
		if err := t.AppendKey("lines", added...); err != nil {
			return nil, err
		}
	}
	return t.Bytes()
}

// names lists the units of a line as YAML.
func (l *Line) names(r *rig.Rig) string {
	var out []string
	for _, h := range l.Hops {
		out = append(out, source.Quote(r.Units[h.To].Name.Name))
	}
	return "[" + strings.Join(out, ", ") + "]"
}

// values are the keys of a line and what the plan says of them.
func (l *Line) values(r *rig.Rig) [][2]string {
	out := [][2]string{{"universe", fmt.Sprint(l.Universe)}, {"from", source.Quote(l.From)}, {"order", l.names(r)},
		{"length", l.Length.String()}, {"terminated", "yes"}}
	if l.Adaptors > 0 {
		out = append(out, [2]string{"adaptors", fmt.Sprint(l.Adaptors)})
	}
	return out
}

// inline is a line as one value, of data cable.
func (l *Line) inline(r *rig.Rig) string {
	var out []string
	for _, kv := range l.values(r) {
		out = append(out, kv[0]+": "+kv[1])
	}
	return "{" + strings.Join(out, ", ") + ", cable: data}"
}

// change sets the keys of a line that is there and is otherwise.
func (l *Line) change(t *source.Text, r *rig.Rig) error {
	old := r.Lines.Get(l.Name)
	names := make([]string, len(l.Hops))
	for i, h := range l.Hops {
		names[i] = r.Units[h.To].Name.Name
	}
	same := map[string]bool{"universe": old.Universe == l.Universe, "from": old.From == l.From, "order": slices.Equal(old.Order, names),
		"length": old.Length == l.Length, "terminated": old.Terminated != nil && *old.Terminated, "adaptors": old.Adaptors == l.Adaptors}
	for _, kv := range l.values(r) {
		if same[kv[0]] {
			continue
		}
		if err := t.Put(kv[0], kv[1], "lines", l.Name); err != nil {
			return err
		}
	}
	if l.Adaptors == 0 && old.Adaptors > 0 && l.known(r) {
		return t.Put("adaptors", "0", "lines", l.Name)
	}
	return nil
}

// known tells whether all of a line's units say which connectors they have.
func (l *Line) known(r *rig.Rig) bool {
	return !slices.ContainsFunc(l.Hops, func(h Hop) bool {
		t := r.Units[h.To].Type
		return t == nil || t.Pins == ""
	})
}

// drop takes out the lines that the plan has no more.
func (l *Lines) drop(t *source.Text, r *rig.Rig) error {
	var gone []string
	for i := range r.Lines {
		if name := r.Lines[i].Name; !slices.ContainsFunc(l.Lines, func(p Line) bool { return p.Name == name }) {
			gone = append(gone, name)
		}
	}
	if gone == nil {
		return nil
	}
	return t.RemoveKeys(gone, "lines")
}

// Write puts what feeds what, and the leads, into the text of the rig; all else in it stays.
func (c *Circuits) Write(file string, data []byte, r *rig.Rig) ([]byte, error) {
	t, faults := source.OpenText(file, data)
	if t == nil {
		return nil, faults.Err()
	}
	for i := range c.Circuits {
		for _, chain := range c.Circuits[i].Chains {
			for _, f := range chain {
				key, value := "circuit", c.Circuits[i].Name
				if f.From >= 0 {
					key, value = "fed by", r.Units[f.From].Name.Name
				}
				if err := plug(t, key, source.Quote(value), f.Unit); err != nil {
					return nil, err
				}
				if err := f.lead(t, &r.Units[f.Unit]); err != nil {
					return nil, err
				}
			}
		}
	}
	return t.Bytes()
}

// plug sets what a unit is plugged into: one of two keys, and not the other.
func plug(t *source.Text, key, value string, unit int) error {
	other := map[string]string{"circuit": "fed by", "fed by": "circuit"}[key]
	have := t.Keys("units", unit)
	switch {
	case slices.Contains(have, key) && slices.Contains(have, other):
		if err := t.RemoveKeys([]string{other}, "units", unit); err != nil {
			return err
		}
	case slices.Contains(have, other):
		return t.SwapKey(other, key, value, "units", unit)
	}
	return t.SetKey(key, value, "units", unit)
}

// lead writes the cable that reaches a unit, where it is another.
func (f *Feed) lead(t *source.Text, u *rig.Unit) error {
	if u.Lead.Length == f.Lead.Length && u.Lead.Section.Section == f.Lead.Section.Section && u.Lead.Connector == f.Lead.Connector {
		return nil
	}
	// As keyboards have it.
	values := [][2]string{{"length", f.Lead.Length.String()}, {"section", strings.ReplaceAll(f.Lead.Section.String(), "²", "2")}, {"connector", f.Lead.Connector.String()}}
	if len(t.Keys("units", f.Unit, "lead")) == 0 {
		var out []string
		for _, kv := range values {
			out = append(out, kv[0]+": "+kv[1])
		}
		return t.Put("lead", "{"+strings.Join(out, ", ")+"}", "units", f.Unit)
	}
	for _, kv := range values {
		if err := t.Put(kv[0], kv[1], "units", f.Unit, "lead"); err != nil {
			return err
		}
	}
	return nil
}
