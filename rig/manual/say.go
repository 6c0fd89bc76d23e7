package manual

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"lampblack/rig"
	"lampblack/si"
	"lampblack/source"
)

// saidSlot is a slot for people and programs.
type saidSlot struct {
	Slot   string   `json:"slot"`
	Called string   `json:"called,omitempty"` // by the table
	Does   string   `json:"does"`
	Values []string `json:"values,omitempty"`
	Read   []string `json:"read,omitempty"` // words that were taken for others
}

type saidMode struct {
	Mode  string     `json:"mode"`
	Slots []saidSlot `json:"slots"`
}

// MarshalJSON writes what was understood, traps and questions.
func (o *Reading) MarshalJSON() ([]byte, error) {
	out := struct {
		Modes     []saidMode `json:"modes"`
		Emitters  []string   `json:"emitters"`
		Cells     int        `json:"cells,omitempty"`
		Traps     []Trap     `json:"traps"`
		Questions []Question `json:"questions"`
	}{[]saidMode{}, o.Emitters, o.Cells, o.Traps, o.Questions}
	for i := range o.Modes {
		m := saidMode{Mode: o.Modes[i].Name}
		for k := range o.Modes[i].Slots {
			m.Slots = append(m.Slots, o.Modes[i].Slots[k].said())
		}
		out.Modes = append(out.Modes, m)
	}
	return json.Marshal(out)
}

func (s *Slot) said() saidSlot {
	out := saidSlot{Slot: s.number(), Called: source.Visible(s.Text), Does: s.purpose(), Read: s.slip}
	if s.rests() {
		return out
	}
	for _, r := range s.Ranges {
		out.Values = append(out.Values, values(r.From, r.To)+" "+said(r))
	}
	return out
}

// said is what a range does, in words for people.
func said(r rig.Range) string {
	switch r.Does {
	case rig.Open:
		return "steady light"
	case rig.Closed:
		return "dark"
	case rig.Level:
		return "dark to full"
	case rig.Nothing:
		return "nothing"
	case rig.Never:
		return "kept out of"
	case rig.Flash, rig.FlashRandom:
		return strings.Replace(strings.Replace(r.Meaning(), "flash", "flashes", 1), "unknown", "at an unknown rate", 1)
	}
	return r.Meaning()
}

// purpose is what a slot is for, in words for people.
func (s *Slot) purpose() string {
	cell := ""
	if s.Cell > 0 && (s.Drives != "" || len(s.Dims) > 0) {
		cell = fmt.Sprintf(", cell %d", s.Cell)
	}
	switch {
	case s.Drives != "":
		return s.Drives + cell
	case slices.Contains(s.Dims, "all"):
		return "dims all" + cell
	case len(s.Dims) > 0:
		return "dims " + strings.Join(s.Dims, ", ")
	}
	switch s.kind {
	case strobing:
		return "flashes"
	case running:
		return "programs"
	case resting:
		return "left at 0"
	case fanning:
		return "fan"
	case minding:
		return "the lamp itself"
	}
	return "not understood"
}

// Words tells what was understood as a table, then what to beware of, then what is to be
// asked; each in a line of its own.
func (o *Reading) Words() string {
	var b strings.Builder
	for i := range o.Modes {
		m := &o.Modes[i]
		fmt.Fprintf(&b, "%s, %s\n", source.Visible(m.Name), si.Count(m.footprint(), "slot", "slots"))
		wide := 0
		for k := range m.Slots {
			wide = max(wide, len([]rune(m.Slots[k].purpose())))
		}
		for _, g := range runs(m.Slots) {
			s := g.first.said()
			b.WriteString(strings.TrimRight(fmt.Sprintf("  %-7s  %-*s  %s", g.slots, wide, g.does, strings.Join(s.Values, ", ")), " ") + "\n")
		}
	}
	if len(o.Traps) > 0 {
		b.WriteString("\nBeware\n")
	}
	for _, t := range o.grouped() {
		fmt.Fprintf(&b, "  %s\n", t)
	}
	if len(o.Questions) > 0 {
		b.WriteString("\nNot told by the table\n")
	}
	for _, q := range o.Questions {
		fmt.Fprintf(&b, "  %s%s\n", q.where(), source.Visible(q.Text))
	}
	var slips []string
	for i := range o.Modes {
		for _, s := range o.Modes[i].Slots {
			for _, w := range s.slip {
				if !slices.Contains(slips, w) {
					slips = append(slips, w)
				}
			}
		}
	}
	if len(slips) > 0 {
		fmt.Fprintf(&b, "\nRead as other words: %s\n", source.Visible(strings.Join(slips, ", ")))
	}
	return b.String()
}

func (q *Question) where() string {
	switch {
	case q.Mode != "" && q.Slot > 0:
		return fmt.Sprintf("%s, slot %d: ", source.Visible(q.Mode), q.Slot)
	case q.Mode != "":
		return source.Visible(q.Mode) + ": "
	}
	return ""
}

// grouped tells each trap once, with all slots that it is in.
func (o *Reading) grouped() (out []string) {
	type key struct{ mode, about string }
	var order []key
	slots := map[key][]string{}
	for i := range o.Traps {
		t := &o.Traps[i]
		k := key{t.Mode, t.About()}
		if _, known := slots[k]; !known {
			order = append(order, k)
			slots[k] = nil
		}
		if t.Slot > 0 {
			slots[k] = append(slots[k], fmt.Sprint(t.Slot))
		}
	}
	for _, k := range order {
		where := source.Visible(k.mode)
		switch n := len(slots[k]); {
		case n == 1:
			where += ", slot " + slots[k][0]
		case n > 1:
			where += ", slots " + strings.Join(slots[k], ", ")
		}
		out = append(out, where+": "+k.about)
	}
	return out
}

// group is one slot, or cells that go on as the first do.
type group struct {
	slots, does string
	first       *Slot
}

// runs joins slots of many cells: each kind of cell is told once.
func runs(slots []Slot) (out []group) {
	for i := 0; i < len(slots); {
		n, period := cells(slots[i:])
		if n < 3 {
			out = append(out, group{slots[i].number(), slots[i].purpose(), &slots[i]})
			i++
			continue
		}
		var names []string
		for k := range period {
			names = append(names, slots[i+k].Drives)
		}
		last := &slots[i+n*period-1]
		out = append(out, group{fmt.Sprintf("%d-%d", slots[i].Coarse, max(last.Coarse, last.Fine)), fmt.Sprintf("%s of cells %d to %d in turn", strings.Join(names, ", "), slots[i].Cell, last.Cell), &Slot{}})
		i += n * period
	}
	return out
}

// cells counts how many cells follow each other with the same kinds of light.
func cells(slots []Slot) (n, period int) {
	if slots[0].Cell == 0 || slots[0].Drives == "" {
		return 0, 0
	}
	for period < len(slots) && slots[period].Cell == slots[0].Cell && slots[period].Drives != "" {
		period++
	}
	for i := range slots {
		s, w := &slots[i], &slots[i%period]
		if s.Drives != w.Drives || s.Cell != slots[0].Cell+i/period {
			break
		}
		n = (i + 1) / period
	}
	return n, period
}

// Answer takes what a person says of a slot that a question is about, in the words of a
// table: "red", "0-9 off, 10-255 slow to fast". It tells whether that was understood.
func (o *Reading) Answer(q Question, text string) bool {
	for i := range o.Modes {
		m := &o.Modes[i]
		for k := range m.Slots {
			s := &m.Slots[k]
			if m.Name != q.Mode || s.Coarse != q.Slot {
				continue
			}
			toks := scan(strings.TrimSpace(unmark(text)))
			said := readSlot(entry{slots: []int{s.Coarse}, line: s.Line}, toks, false)
			if said.kind == unclear || len(said.ask) > 0 { // the name tells what it is of
				toks = append(append(slices.Clone(s.words), token{kind: isBreak, text: "  "}), toks...)
				said = readSlot(entry{slots: []int{s.Coarse}, line: s.Line}, toks, false)
			}
			if said.kind == unclear || len(said.ask) > 0 {
				return false
			}
			said.Fine, said.Text = s.Fine, s.Text
			*s = said
			o.settled()
			return true
		}
	}
	return false
}

// settled looks at all modes anew, after an answer.
func (o *Reading) settled() {
	var rest []Question
	for _, q := range o.Questions {
		if q.Slot == 0 {
			rest = append(rest, q)
		}
	}
	o.Questions, o.Traps = rest, nil
	for i := range o.Modes {
		for _, s := range o.Modes[i].Slots {
			if s.Drives != "" && !slices.Contains(o.Emitters, s.Drives) {
				o.Emitters = append(o.Emitters, s.Drives)
			}
			if s.Drives != "" {
				o.Cells = max(o.Cells, s.Cell)
			}
		}
		o.finish(&o.Modes[i])
	}
	o.traps()
}
