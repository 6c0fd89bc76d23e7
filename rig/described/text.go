package described

import (
	"fmt"
	"strconv"
	"strings"

	"lampblack/rig"
	"lampblack/si"
	"lampblack/source"
)

// YAML writes the fixture type: the file of fixtures/ that units call by its name. Doubts are
// comments beside what they are about.
func (o *Reading) YAML() []byte {
	var b strings.Builder
	b.WriteString("# Made from a description by DIN SPEC 15800. Comments that end in a full stop are doubts:\n# `lampblack bench UNIT` tries the slots on the lamp, one after another.\n")
	name := strings.TrimSpace(source.Visible(o.Name))
	if name == "" {
		name = "no name told"
	}
	fmt.Fprintf(&b, "name: %s\n", source.Quote(name))
	o.comments(&b, "", "", 0)
	for _, l := range o.lines {
		b.WriteString(l + "\n")
	}
	b.WriteString("emitters:\n")
	for _, e := range o.emitters {
		fmt.Fprintf(&b, "  %s: %s\n", source.Quote(source.Visible(e.name)), e.text)
	}
	b.WriteString("modes:\n")
	for i := range o.modes {
		m := &o.modes[i]
		fmt.Fprintf(&b, "  %s:\n", source.Quote(source.Visible(m.name)))
		o.comments(&b, "    ", m.name, 0)
		for j := range m.slots {
			s := &m.slots[j]
			o.comments(&b, "    ", m.name, s.Coarse)
			fmt.Fprintf(&b, "    %s: %s\n", number(s), entry(s))
		}
	}
	return []byte(b.String())
}

func (o *Reading) comments(b *strings.Builder, indent, mode string, slot int) {
	for _, n := range o.Notes {
		switch {
		case n.Mode != mode || n.Slot != slot:
		case slot > 0:
			fmt.Fprintf(b, "%s# %d: %s.\n", indent, slot, source.Visible(n.Text))
		default:
			fmt.Fprintf(b, "%s# %s.\n", indent, source.Visible(n.Text))
		}
	}
}

// number is the slot's key: its number, or coarse and fine.
func number(s *rig.Slot) string {
	if s.Fine > 0 {
		return fmt.Sprintf("%d-%d", s.Coarse, s.Fine)
	}
	return fmt.Sprint(s.Coarse)
}

// entry is the slot as the type's file has it.
func entry(s *rig.Slot) string {
	var parts []string
	add := func(format string, args ...any) { parts = append(parts, fmt.Sprintf(format, args...)) }
	quoted := func(text string) string { return source.Quote(source.Visible(text)) }
	if s.Drives != "" {
		add("drives: %s", quoted(s.Drives))
	}
	if len(s.Dims) > 0 {
		var list []string
		for _, d := range s.Dims {
			list = append(list, quoted(d))
		}
		if len(list) == 1 {
			add("dims: %s", list[0])
		} else {
			add("dims: [%s]", strings.Join(list, ", "))
		}
	}
	if s.Cell > 0 {
		add("cell: %d", s.Cell)
	}
	if c := curve(&s.Curve); c != "" {
		add("curve: {%s}", c)
	}
	if s.Idle != "" {
		add("idle: %s", quoted(s.Idle))
	}
	if s.Set != nil {
		add("set: %d", *s.Set)
	}
	for i := range s.Ranges {
		r := &s.Ranges[i]
		key := fmt.Sprintf("%d-%d", r.From, r.To)
		if r.From == r.To {
			key = fmt.Sprint(r.From)
		}
		add("%s: %s", key, r.Meaning())
	}
	return "{" + strings.Join(parts, ", ") + "}"
}

func curve(c *rig.Curve) string {
	var parts []string
	if c.DarkTo > 0 {
		parts = append(parts, fmt.Sprintf("dark to: %d", c.DarkTo))
	}
	if c.Then != "" {
		parts = append(parts, fmt.Sprintf("then: %s", c.Then))
	}
	if c.FullFrom > 0 {
		parts = append(parts, fmt.Sprintf("full from: %d", c.FullFrom))
	}
	if len(c.Table) > 0 {
		var rows []string
		for _, v := range c.Table {
			rows = append(rows, strconv.FormatFloat(v, 'f', -1, 64))
		}
		parts = append(parts, "table: ["+strings.Join(rows, ", ")+"]")
	}
	return strings.Join(parts, ", ")
}

// Words tells what was understood, a slot a line.
func (o *Reading) Words() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s: %s", o.Name, si.Count(len(o.emitters), "colour", "colours"))
	for i, e := range o.emitters {
		if i == 0 {
			b.WriteString(" (" + e.name)
		} else {
			b.WriteString(", " + e.name)
		}
	}
	fmt.Fprintf(&b, "), %s\n", si.Count(max(o.cells, 1), "cell", "cells"))
	for i := range o.modes {
		m := &o.modes[i]
		fmt.Fprintf(&b, "\n%s\n", m.name)
		for j := range m.slots {
			fmt.Fprintf(&b, "  %-6s%s\n", number(&m.slots[j]), strings.TrimSuffix(strings.TrimPrefix(entry(&m.slots[j]), "{"), "}"))
		}
	}
	return b.String()
}
