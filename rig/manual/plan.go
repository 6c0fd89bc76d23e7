package manual

import (
	"fmt"
	"slices"
	"strings"

	"lampblack/rig"
)

// maxSlots bounds the slots of all modes together: eight universes.
const maxSlots = 4096

// bound leaves out what lies beyond it, and tells so.
func (r *rows) bound() bool {
	n := 0
	for i := range r.plans {
		for k, e := range r.plans[i].entries {
			if n += len(e.slots); n > maxSlots {
				r.plans[i].entries = r.plans[i].entries[:k]
				r.plans = r.plans[:i+1]
				if k == 0 {
					r.plans = r.plans[:i]
				}
				return true
			}
		}
	}
	return false
}

// inPercent tells whether the ranges of the table are percents: it has some that are
// not all, and no others.
func (r *rows) inPercent() bool {
	percents := false
	for _, p := range r.plans {
		for _, e := range p.entries {
			for _, t := range e.toks {
				if t.kind == isRange && !t.percent {
					return false
				}
				percents = percents || t.kind == isAmount && t.percent && !(t.low == 0 && t.top == 100)
			}
		}
	}
	return percents
}

// read reads the slots of a mode, in the order of their numbers.
func (p *plan) read(o *Reading, percent bool) Mode {
	slices.SortStableFunc(p.entries, func(a, b entry) int { return a.slots[0] - b.slots[0] })
	p.renumber(o)
	m := Mode{Line: p.heading.line}
	for _, e := range p.entries {
		slots := o.copied(e)
		if slots == nil {
			slots = m.again(e)
		}
		if slots == nil {
			slots = p.spread(e, percent)
		}
		if e.gap {
			m.between(slots)
		}
		m.Slots = append(m.Slots, slots...)
	}
	m.pair()
	m.Name = p.name(m.footprint())
	if c := p.heading.count; c > 0 && c != m.footprint() {
		o.ask(m.Name, 0, fmt.Sprintf("the text speaks of %d slots, and %d were read", c, m.footprint()))
	}
	return m
}

func (m *Mode) footprint() (n int) {
	for i := range m.Slots {
		n = max(n, m.Slots[i].Coarse, m.Slots[i].Fine)
	}
	return n
}

// renumber takes addresses for slots, and mends a number that stands twice where the next is
// missing.
func (p *plan) renumber(o *Reading) {
	if len(p.entries) == 0 {
		return
	}
	first := p.entries[0].slots[0]
	if first > 1 && consecutive(p.entries) {
		for i := range p.entries {
			for k := range p.entries[i].slots {
				p.entries[i].slots[k] -= first - 1
			}
		}
	}
	for i := 1; i < len(p.entries); i++ {
		e, before := &p.entries[i], &p.entries[i-1]
		next := before.slots[len(before.slots)-1] + 1
		if len(e.slots) == 1 && e.slots[0] == next-1 && (i+1 == len(p.entries) || p.entries[i+1].slots[0] > next) {
			o.ask(p.name(0), next, fmt.Sprintf("slot %d stands twice in the text and %d is missing: %s is taken to be on %d", next-1, next, strings.TrimSpace(textOf(e.toks)), next))
			e.slots[0] = next
		}
	}
}

func consecutive(list []entry) bool {
	for i := 1; i < len(list); i++ {
		if list[i].slots[0] != list[i-1].slots[len(list[i-1].slots)-1]+1 {
			return false
		}
	}
	return true
}

// spread makes slots of an entry: one, or several in a row.
func (p *plan) spread(e entry, percent bool) []Slot {
	if len(e.slots) == 1 {
		return []Slot{readSlot(e, e.toks, percent)}
	}
	n := len(e.slots)
	cell := 0
	var kinds, each []sense
	for _, t := range e.toks {
		if t.is("cell") && t.index > 0 {
			cell = t.index
		}
		if !isLight(t.senses) {
			continue
		}
		kinds = append(kinds, t.senses...)
		for _, s := range t.senses {
			if !slices.Contains(each, s) {
				each = append(each, s)
			}
		}
	}
	var out []Slot
	switch u := len(each); {
	case u > 1 && n > u && n%u == 0 && hasSense(e.toks, "cell"): // all cells in one line
		for i := range e.slots {
			out = append(out, Slot{Slot: rig.Slot{Coarse: e.slots[i], Drives: string(each[i%u]), Cell: i/u + 1}, Text: string(each[i%u]), Line: e.line, kind: driving})
		}
		return out
	case n == 2 && (hasSense(e.toks, "fine", "coarse") || strings.Contains(textOf(e.toks), "16") || len(kinds) <= 1 && cell == 0):
		s := readSlot(e, e.toks, percent)
		s.Coarse, s.Fine = e.slots[0], e.slots[1]
		return []Slot{s}
	case len(kinds) == n || len(each) == n && len(kinds) == 2*n: // the second time in another language
		kinds = kinds[:n]
		for i, k := range kinds {
			s := readSlot(entry{slots: e.slots[i : i+1], line: e.line}, []token{{kind: isWord, text: string(k), senses: []sense{k}}}, percent)
			s.Cell = cell
			out = append(out, s)
		}
		return out
	}
	first := readSlot(entry{slots: e.slots[:1], line: e.line}, e.toks, percent)
	for i := range e.slots {
		s := first
		s.Coarse, s.Ranges, s.told = e.slots[i], slices.Clone(s.Ranges), slices.Clone(s.told)
		if s.ask = nil; i == 0 { // a question is the same for all
			s.ask = slices.Clone(first.ask)
		}
		if s.Drives != "" || len(s.Dims) > 0 {
			s.Cell = i + 1
		}
		s.ask = append(s.ask, fmt.Sprintf("the text has one line for slots %d to %d", e.slots[0], e.slots[n-1]))
		out = append(out, s)
	}
	return out
}

// between fills slots that "and so on" stands for: the pattern of the cells before is gone
// on with, and must arrive at the slot that comes next.
func (m *Mode) between(next []Slot) {
	if len(m.Slots) == 0 || len(next) == 0 {
		return
	}
	from := m.Slots[len(m.Slots)-1].Coarse + 1
	period := m.period()
	if period == 0 {
		return
	}
	first := next[0]
	for n := from; n < first.Coarse && n <= 512; n++ {
		if s := m.like(n, period); s != nil {
			m.Slots = append(m.Slots, *s)
		}
	}
	if s := m.like(first.Coarse, period); s == nil || s.Drives != first.Drives || s.Cell != first.Cell {
		next[0].ask = append(next[0].ask, "\"and so on\" does not arrive here")
	}
}

// period is how many slots a cell has.
func (m *Mode) period() int {
	last := m.Slots[len(m.Slots)-1]
	for i := len(m.Slots) - 2; i >= 0; i-- {
		s := m.Slots[i]
		if s.Drives != "" && s.Drives == last.Drives && s.Cell == last.Cell-1 {
			return last.Coarse - s.Coarse
		}
	}
	return 0
}

// like is the slot a cell's width before, moved on by a cell.
func (m *Mode) like(n, period int) *Slot {
	for i := range m.Slots {
		if s := m.Slots[i]; s.Coarse == n-period && s.Drives != "" {
			s.Coarse, s.Cell = n, s.Cell+1
			return &s
		}
	}
	return nil
}

// pair joins coarse and fine slots.
func (m *Mode) pair() {
	for i := 0; i < len(m.Slots); i++ {
		s := &m.Slots[i]
		if !anyOf(has(s.words), "fine") || s.Fine > 0 {
			continue
		}
		for j := i - 1; j >= 0; j-- {
			c := &m.Slots[j]
			if m.hasCoarse(i) && !anyOf(has(c.words), "coarse") {
				continue
			}
			if c.Fine == 0 && !anyOf(has(c.words), "fine") && c.same(s) {
				c.Fine = s.Coarse
				m.Slots = slices.Delete(m.Slots, i, i+1)
				i--
				break
			}
		}
	}
}

// hasCoarse tells whether a slot before one says that it is the coarse one of a pair.
func (m *Mode) hasCoarse(before int) bool {
	return slices.ContainsFunc(m.Slots[:before], func(s Slot) bool { return s.Fine == 0 && anyOf(has(s.words), "coarse") })
}

// same tells whether a fine slot is of what this one does; a fine slot that names nothing
// belongs to the slot before.
func (s *Slot) same(fine *Slot) bool {
	if anyOf(has(s.words), "coarse") && s.kind == fine.kind && s.Drives == fine.Drives {
		return true
	}
	if fine.kind == unclear || len(fine.Dims) > 0 && fine.Drives == "" && !anyOf(has(fine.words), "master") {
		return s.Coarse == fine.Coarse-1
	}
	return s.Drives == fine.Drives && s.Cell == fine.Cell && (len(s.Dims) > 0) == (len(fine.Dims) > 0)
}
