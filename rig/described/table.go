package described

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"lampblack/rig"
	"lampblack/wire/gdtf"
)

// tabler reads the channels of a mode.
type tabler struct {
	r      *reader
	mode   int
	m      *gdtf.Mode
	layout *gdtf.Layout
	name   string
	slots  []rig.Slot
	used   map[int]bool
	kept   map[*gdtf.Channel][][2]uint64 // values that switch on something else
}

func (t *tabler) note(slot int, format string, args ...any) {
	t.r.note(t.name, slot, format, args...)
}

func (t *tabler) run() {
	t.used, t.kept = map[int]bool{}, map[*gdtf.Channel][][2]uint64{}
	active := make([][]gdtf.Span, len(t.layout.Channels))
	for i := range t.layout.Channels {
		active[i] = t.active(&t.layout.Channels[i])
	}
	for i := range t.layout.Channels {
		c := &t.layout.Channels[i]
		switch {
		case len(c.Slots) == 0:
			if len(c.Offset) == 0 {
				t.note(0, "%s has no slot of its own: what stands behind it does not count", c.Called())
			}
		case c.Input != 1:
			t.note(0, "%s listens at data input %d: a type has one, and its slots are left out", c.Called(), c.Input)
		case slices.ContainsFunc(c.Slots, func(s int) bool { return t.used[s] }):
			t.note(c.Slots[0], "it stands twice in the description: the first counts")
		default:
			for _, s := range c.Slots {
				t.used[s] = true
			}
			t.channel(c, active[i])
		}
	}
}

// active is what functions hold while their masters rest. The values of masters that switch on others are
// kept out of.
func (t *tabler) active(c *gdtf.Placed) []gdtf.Span {
	var out []gdtf.Span
	for _, s := range c.Spans() {
		if s.Function.Master == "" {
			out = append(out, s)
			continue
		}
		master, f := t.m.Find(s.Function.Master)
		if master == nil {
			t.note(first(c), "%q holds only while %q says so, which is not there: it is kept out of", s.Function.Name, s.Function.Master)
			continue
		}
		size := max(len(master.Offset), 1)
		from, to := s.Function.ModeFrom.At(size), s.Function.ModeTo.At(size)
		if f != nil && s.Function.ModeTo.Bytes == 0 {
			from, to = f.From.At(size), end(master, f)
		}
		if v := rests(master); v >= from && v <= to {
			out = append(out, s)
			continue
		}
		t.note(first(c), "%q holds only while %s is from %d to %d: those values are kept out of", cmp.Or(s.Function.Name, s.Function.Does()), master.Called(), from, to)
		t.kept[master] = append(t.kept[master], [2]uint64{from, to})
	}
	return out
}

func first(c *gdtf.Placed) int {
	if len(c.Slots) == 0 {
		return 0
	}
	return c.Slots[0]
}

// end is the last value of a function.
func end(c *gdtf.Channel, f *gdtf.Function) uint64 {
	for _, s := range c.Spans() {
		if s.Function == f {
			return s.To
		}
	}
	return 0
}

// rests is the value of a channel of which nobody wants anything: the default of the function that it
// begins with.
func rests(c *gdtf.Channel) uint64 {
	spans := c.Spans()
	if len(spans) == 0 {
		return 0
	}
	f := spans[0].Function
	parts := strings.SplitN(c.Initial, ".", 3)
	for i := range c.Logical {
		for j := range c.Logical[i].Functions {
			if len(parts) == 3 && c.Logical[i].Attribute == parts[1] && c.Logical[i].Called(j) == parts[2] {
				f = &c.Logical[i].Functions[j]
			}
		}
	}
	return f.Default.At(max(len(c.Offset), 1))
}

// channel makes slots of one.
func (t *tabler) channel(c *gdtf.Placed, spans []gdtf.Span) {
	s := rig.Slot{Coarse: c.Slots[0]}
	if len(c.Slots) > 1 {
		s.Fine = c.Slots[1]
	}
	for _, more := range c.Slots[min(2, len(c.Slots)):] {
		t.slots = append(t.slots, rig.Slot{Coarse: more, Idle: fmt.Sprintf("finer than slot %d", s.Coarse)})
		t.note(more, "it is the third octet of %s, finer than a type tells: it stays at 0", c.Called())
	}
	v := values{t: t, c: c, slot: &s, spans: spans, size: len(c.Slots)}
	v.read()
	t.slots = append(t.slots, s)
	if v.coarse { // the fine one is let go
		t.slots = append(t.slots, rig.Slot{Coarse: v.fine, Idle: fmt.Sprintf("fine of slot %d", s.Coarse)})
	}
}

// cell is the cell that a channel lights, from 1, or 0 for all.
func (t *tabler) cell(c *gdtf.Placed) int {
	cells := t.r.of(t.mode, c)
	switch {
	case len(cells) == max(len(t.r.first), 1):
		return 0
	case len(cells) > 1:
		t.note(first(c), "it lights %d of the cells together, which a type cannot say: it counts for the first of them alone", len(cells))
	}
	return cells[0] + 1
}

// coloured tells whether some channel of the mode drives a colour where c is, so that c dims it.
func (t *tabler) coloured(c *gdtf.Placed) bool {
	own := t.r.of(t.mode, c)
	for i := range t.layout.Channels {
		other := &t.layout.Channels[i]
		if other.Channel == c.Channel && other.Path == c.Path || !lights(other.Channel) {
			continue
		}
		for _, cell := range t.r.of(t.mode, other) {
			if slices.Contains(own, cell) {
				return true
			}
		}
	}
	// A dimmer over others that dim parts of it.
	for i := range t.layout.Channels {
		other := &t.layout.Channels[i]
		if other.Path != c.Path && strings.HasPrefix(other.Path, c.Path+"/") && dims(other.Channel) {
			return true
		}
	}
	return false
}

// lights tells whether a channel adds a colour.
func lights(c *gdtf.Channel) bool {
	return slices.ContainsFunc(c.Logical, func(l gdtf.LogicalChannel) bool {
		return slices.ContainsFunc(l.Functions, func(f gdtf.Function) bool { _, ok := colourOf(f.Does()); return ok })
	})
}

func dims(c *gdtf.Channel) bool {
	return slices.ContainsFunc(c.Logical, func(l gdtf.LogicalChannel) bool { return strings.EqualFold(l.Attribute, "Dimmer") })
}

// followers are the emitters of the functions that a channel multiplies.
func (t *tabler) followers(c *gdtf.Placed) []string {
	var out []string
	for _, rel := range t.m.Relations {
		if master, _ := t.m.Find(rel.Master); master != c.Channel || rel.Type == "Override" {
			continue
		}
		_, f := t.m.Find(rel.Follower)
		if f == nil {
			continue
		}
		if word, ok := colourOf(f.Does()); ok {
			name := t.r.out.emitters[t.r.emitter(f, word, t.beamOf(f))].name
			if !slices.Contains(out, name) {
				out = append(out, name)
			}
		}
	}
	return out
}

// beamOf is the opening of the channel that a function belongs to.
func (t *tabler) beamOf(f *gdtf.Function) *gdtf.Geometry {
	for i := range t.layout.Channels {
		c := &t.layout.Channels[i]
		for j := range c.Logical {
			for k := range c.Logical[j].Functions {
				if &c.Logical[j].Functions[k] == f && len(c.Openings) > 0 {
					return t.layout.Openings[c.Openings[0]].Beam
				}
			}
		}
	}
	return nil
}
