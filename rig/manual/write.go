package manual

import (
	"fmt"
	"slices"
	"strings"

	"lampblack/rig"
	"lampblack/source"
)

// generic is the light of an emitter whose output nobody told: as wide as what is sold. Peaks
// and widths are those of common LEDs, outputs those of small pars, bars and floods together
// (from memory; no source).
var generic = map[string]string{
	"red":        "{peak: 625 nm, width: 18 nm, output: 40 lm to 600 lm}",
	"green":      "{peak: 522 nm, width: 33 nm, output: 100 lm to 1300 lm}",
	"blue":       "{peak: 460 nm, width: 22 nm, output: 20 lm to 260 lm}",
	"white":      "{like: phosphor 6000 K, output: 100 lm to 4000 lm}",
	"warm white": "{like: phosphor 3000 K, output: 100 lm to 4000 lm}",
	"cold white": "{like: phosphor 6500 K, output: 100 lm to 4000 lm}",
	"amber":      "{peak: 592 nm, width: 16 nm, output: 40 lm to 450 lm}",
	"uv":         "{peak: 395 nm, width: 14 nm, output: 0.3 W to 15 W}",
	"lime":       "{peak: 562 nm, width: 100 nm, output: 100 lm to 1500 lm}",
	"cyan":       "{peak: 502 nm, width: 30 nm, output: 40 lm to 600 lm}",
	"yellow":     "{peak: 575 nm, width: 75 nm, output: 60 lm to 900 lm}",
	"orange":     "{peak: 605 nm, width: 17 nm, output: 40 lm to 450 lm}",
	"magenta":    "{spectrum: [{at: 440 nm, power: 0}, {at: 455 nm, power: 1}, {at: 475 nm, power: 0}, {at: 605 nm, power: 0}, {at: 627 nm, power: 1}, {at: 645 nm, power: 0}], output: 40 lm to 600 lm}",
	"pink":       "{spectrum: [{at: 440 nm, power: 0}, {at: 455 nm, power: 0.6}, {at: 475 nm, power: 0.1}, {at: 560 nm, power: 0.3}, {at: 625 nm, power: 1}, {at: 700 nm, power: 0}], output: 60 lm to 900 lm}",
	"lamp":       "{like: black body 3000 K, output: 500 lm to 12000 lm}",
	"light":      "{like: phosphor 4500 K, output: 40 lm to 4000 lm}",
}

// aboutTraps is what a trap means for whoever drives the lamp.
var aboutTraps = map[string]string{
	DimAndStrobe:    "dims and flashes on one slot: only the values that dim are used for light",
	ClosedAtZero:    "dark at 0: with all other slots up, nothing is seen until it is opened",
	Programs:        "some values run programs or fixed colours, over what the other slots say: they are kept out of",
	SoundActive:     "some values follow sound: they are kept out of",
	DeadRange:       "some values do nothing",
	Gap:             "the table says nothing of some values: they are kept out of",
	Overlap:         "ranges of the table overlap: a value in two goes to the worse",
	OutsideMaster:   "no master dims the ultraviolet: it shines on when the master is down",
	StrobeNoFigures: "no figures for the flashing: it is counted at up to 30 a second",
	Restart:         "some values reset the lamp, which goes dark: they are kept out of",
	Inverted:        "it is full at its low end and dark at its high one: with its slot at 0 the lamp is at full, also when nothing sends it anything",
}

// About says what a trap means.
func (t *Trap) About() string {
	if t.Trap == NotDriven {
		return fmt.Sprintf("no slot of this mode drives %s", t.Emitter)
	}
	return aboutTraps[t.Trap]
}

// YAML writes the fixture type: the file of fixtures/ that units call by its name. Traps and
// questions are comments beside their slots.
func (o *Reading) YAML(name string) []byte {
	var b strings.Builder
	b.WriteString("# Made from a slot table. What ends in ? could not be told from it and is kept out of:\n# `lampblack bench UNIT` tries the slots on the lamp, one after another.\n")
	fmt.Fprintf(&b, "name: %s\n", source.Quote(name))
	b.WriteString("# No slot table tells size, beam and outputs: these are those of many such lamps. Put in what its label says, or what you measure.\n")
	fmt.Fprintf(&b, "%sbeam: {half: %s}\n", o.size(), o.beam())
	b.WriteString("emitters:\n")
	list := o.Emitters
	if len(list) == 0 || o.nameless() {
		list = append(slices.Clone(list), "light")
	}
	for _, e := range list {
		fmt.Fprintf(&b, "  %s: %s\n", source.Quote(e), generic[e])
	}
	b.WriteString("modes:\n")
	for _, q := range o.Questions {
		if q.Slot == 0 {
			fmt.Fprintf(&b, "  # %s?\n", comment(q.Text))
		}
	}
	for i := range o.Modes {
		o.writeMode(&b, &o.Modes[i])
	}
	return []byte(b.String())
}

func (o *Reading) size() string {
	if o.Cells > 1 {
		return fmt.Sprintf("size: [1.0 m, 0.09 m, 0.1 m]\ncells: %d\n", o.Cells)
	}
	return "size: [0.25 m, 0.25 m, 0.15 m]\n"
}

func (o *Reading) beam() string {
	switch {
	case slices.Equal(o.Emitters, []string{"uv"}):
		return "70°"
	case o.Cells > 1:
		return "30°"
	}
	return "25°"
}

// nameless tells whether a mode dims light that no slot of it drives, so that the type
// needs one to dim.
func (o *Reading) nameless() bool {
	return slices.ContainsFunc(o.Modes, func(m Mode) bool { return m.nameless() || m.drives() == 0 })
}

func (m *Mode) drives() (n int) {
	for i := range m.Slots {
		if m.Slots[i].Drives != "" {
			n++
		}
	}
	return n
}

func (m *Mode) nameless() bool {
	return m.drives() == 0 && slices.ContainsFunc(m.Slots, func(s Slot) bool { return len(s.Dims) > 0 })
}

func comment(text string) string { return strings.TrimRight(source.Visible(text), "?. ") }

func (o *Reading) writeMode(b *strings.Builder, m *Mode) {
	fmt.Fprintf(b, "  %s:\n", source.Quote(m.Name))
	for _, t := range o.Traps {
		if t.Mode == m.Name && t.Slot == 0 {
			fmt.Fprintf(b, "    # %s\n", t.About())
		}
	}
	written := map[int]bool{}
	for i := range m.Slots {
		s := &m.Slots[i]
		if written[s.Coarse] || s.Fine > 0 && written[s.Fine] {
			fmt.Fprintf(b, "    # slot %d stands twice in the text: %s\n", s.Coarse, comment(s.Text))
			continue
		}
		written[s.Coarse], written[s.Fine] = true, s.Fine > 0
		for _, t := range o.Traps {
			if t.Mode == m.Name && t.Slot == s.Coarse && t.Trap != DeadRange && t.Trap != Gap {
				fmt.Fprintf(b, "    # %d: %s\n", s.Coarse, t.About())
			}
		}
		for _, q := range o.Questions {
			if q.Mode == m.Name && q.Slot == s.Coarse {
				fmt.Fprintf(b, "    # %d: %s?\n", s.Coarse, comment(q.Text))
			}
		}
		fmt.Fprintf(b, "    %s: %s%s\n", s.number(), s.entry(m.nameless()), s.remark())
	}
}

// number is the slot's key: its number, or coarse and fine.
func (s *Slot) number() string {
	if s.Fine > 0 {
		return fmt.Sprintf("%d-%d", s.Coarse, s.Fine)
	}
	return fmt.Sprint(s.Coarse)
}

// remark is what the text calls a slot, where the type has no word for that.
func (s *Slot) remark() string {
	if s.Drives != "" || len(s.Dims) > 0 || s.Text == "" || s.rests() {
		return ""
	}
	return "  # " + comment(s.Text)
}

// rests tells whether the slot is one to leave at 0: a speed, or the like, that does no
// harm there and of which no value is known to do nothing.
func (s *Slot) rests() bool {
	if s.kind != resting && s.kind != fanning && s.kind != minding {
		return false
	}
	return len(s.Ranges) > 0 && !slices.ContainsFunc(s.Ranges, func(r rig.Range) bool { return r.Does != rig.Never })
}

// entry is the slot as the type's file has it. Values that no range has are kept out of.
func (s *Slot) entry(nameless bool) string {
	var parts []string
	switch {
	case s.rests():
		text := s.Text
		if text == "" {
			text = "not used"
		}
		return fmt.Sprintf("{idle: %s}", source.Quote(source.Visible(text)))
	case s.Drives != "":
		parts = append(parts, "drives: "+source.Quote(s.Drives))
		if s.Cell > 0 {
			parts = append(parts, fmt.Sprintf("cell: %d", s.Cell))
		}
	case len(s.Dims) > 0 && nameless:
		parts = append(parts, "drives: light")
	case slices.Contains(s.Dims, "all"):
		parts = append(parts, "dims: all")
	case len(s.Dims) > 0:
		parts = append(parts, "dims: ["+strings.Join(s.Dims, ", ")+"]")
	}
	if s.inverted && len(s.Ranges) == 0 && s.Fine == 0 {
		parts = append(parts, "0-255: "+string(rig.LevelDown))
	}
	next := 0
	for _, r := range append(slices.Clone(s.Ranges), rig.Range{From: 256, To: 256}) {
		if r.From > next && len(s.Ranges) > 0 {
			parts = append(parts, values(next, r.From-1)+": never")
		}
		if r.From < 256 {
			if s.inverted && r.Does == rig.Level {
				r.Does = rig.LevelDown
			}
			parts = append(parts, values(r.From, r.To)+": "+r.Meaning())
		}
		next = r.To + 1
	}
	return "{" + strings.Join(parts, ", ") + "}"
}

func values(from, to int) string {
	if from == to {
		return fmt.Sprint(from)
	}
	return fmt.Sprintf("%d-%d", from, to)
}
