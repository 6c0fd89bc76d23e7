package manual

import (
	"fmt"
	"slices"

	"lampblack/rig"
)

// finish settles what only the whole mode tells.
func (o *Reading) finish(m *Mode) {
	driven := map[string]bool{}
	for i := range m.Slots {
		driven[m.Slots[i].Drives] = m.Slots[i].Drives != ""
	}
	for i := range m.Slots {
		m.Slots[i].doubts()
	}
	flashes := !slices.ContainsFunc(m.Slots, func(s Slot) bool { return s.Drives != "" || len(s.Dims) > 0 || s.kind == running })
	m.repeats()
	o.Cells = max(o.Cells, m.cells())
	o.leaveOut(m)
	for i := range m.Slots {
		s := &m.Slots[i]
		s.exclude(m)
		s.simple()
		s.order(o, m.Name)
		s.complete()
		s.wideGaps()
		if flashes || o.flashLamp(m) {
			s.darkOff()
		}
		for _, q := range s.ask {
			o.ask(m.Name, s.Coarse, q)
		}
	}
	o.twice(m)
	o.holes(m)
}

// twice keeps out of a slot that stands in the text again as something else.
func (o *Reading) twice(m *Mode) {
	first := map[int]int{}
	m.Slots = slices.DeleteFunc(m.Slots, func(s Slot) bool {
		k, again := first[s.Coarse]
		if !again {
			first[s.Coarse] = len(first)
			return false
		}
		o.ask(m.Name, s.Coarse, fmt.Sprintf("slot %d stands twice in the text, as %q and as %q", s.Coarse, m.Slots[k].Text, s.Text))
		m.Slots[k].Drives, m.Slots[k].Dims, m.Slots[k].Fine = "", nil, 0
		m.Slots[k].never("stands twice in the text")
		return true
	})
}

// doubts asks what is odd for a slot that drives a kind of light.
func (s *Slot) doubts() {
	if s.Drives == "" && len(s.Dims) == 0 {
		return
	}
	level := func(r rig.Range) bool { return r.Does == rig.Level }
	if len(s.Ranges) > 0 && !slices.ContainsFunc(s.Ranges, level) && s.Ranges[len(s.Ranges)-1].To > s.Ranges[len(s.Ranges)-1].From {
		s.ask = append(s.ask, "it is light's, and none of its values is told to dim")
	}
	if s.Drives == "" {
		return
	}
	for _, r := range s.Ranges {
		switch r.Does {
		case rig.Flash, rig.FlashRandom, rig.Never:
			s.ask = append(s.ask, fmt.Sprintf("%d-%d of a slot that is %s's does something else: does it belong here?", r.From, r.To, s.Drives))
			return
		}
	}
}

// simple takes ranges off a slot that only says that it dims: off at 0, then level.
func (s *Slot) simple() {
	if s.Drives == "" && len(s.Dims) == 0 || len(s.Ranges) == 0 {
		return
	}
	if n := len(s.Ranges); s.Ranges[0].From == 0 && s.Ranges[0].Does == rig.Open && s.Ranges[n-1].To == 255 && s.Ranges[n-1].Does == rig.Closed {
		s.inverted, s.Ranges, s.told = true, nil, nil
		return
	}
	for _, r := range s.Ranges {
		switch {
		case r.Does == rig.Level:
		case r.Does == rig.Closed && r.To <= 1:
		case r.Does == rig.Open && r.From == 255:
		case r.From == r.To && (r.From == 0 || r.From == 255) && r.Does != rig.Flash && r.Does != rig.Never:
		default:
			return
		}
	}
	if s.Ranges[0].From <= 1 && (s.Ranges[len(s.Ranges)-1].To == 255 || s.Ranges[len(s.Ranges)-1].To == 0) {
		s.Ranges, s.told = nil, nil
	}
}

// order puts ranges in order, and parts those that overlap: a value in two goes to the one
// that it is worse to be in, of two alike to the later.
func (s *Slot) order(o *Reading, mode string) {
	var owner [256]int // 1 + index of the range
	for i, r := range s.Ranges {
		for v := max(r.From, 0); v <= min(r.To, 255); v++ {
			if k := owner[v]; k == 0 || worse(r.Does) >= worse(s.Ranges[k-1].Does) {
				owner[v] = i + 1
			}
		}
		s.overlaps(o, mode, i)
	}
	old, told := s.Ranges, s.told
	s.Ranges, s.told = nil, nil
	for v := 0; v < 256; v++ {
		k := owner[v]
		if k == 0 {
			continue
		}
		if v == 0 || owner[v-1] != k {
			s.Ranges, s.told = append(s.Ranges, old[k-1]), append(s.told, told[k-1])
			s.Ranges[len(s.Ranges)-1].From = v
		}
		s.Ranges[len(s.Ranges)-1].To = v
	}
}

// overlaps tells of a range that shares values with one before it.
func (s *Slot) overlaps(o *Reading, mode string, i int) {
	b := s.Ranges[i]
	for _, a := range s.Ranges[:i] {
		if a.To < b.From || b.To < a.From {
			continue
		}
		o.trap(mode, s.Coarse, Overlap)
		if min(a.To, b.To)-max(a.From, b.From) > 1 {
			o.ask(mode, s.Coarse, fmt.Sprintf("%d-%d and %d-%d overlap by much", a.From, a.To, b.From, b.To))
		}
	}
}

// wideGaps asks what values do that no range has, where there are many.
func (s *Slot) wideGaps() {
	const many = 25
	next := 0
	for _, r := range append(slices.Clone(s.Ranges), rig.Range{From: 256}) {
		if len(s.Ranges) > 0 && r.From-next > many {
			s.ask = append(s.ask, fmt.Sprintf("the text says nothing of %d-%d", next, r.From-1))
		}
		next = r.To + 1
	}
}

// worse ranks what it is bad to be in by mistake.
func worse(a rig.Action) int {
	switch a {
	case rig.Never:
		return 2
	case rig.Flash, rig.FlashRandom:
		return 1
	}
	return 0
}

// complete adds what a text leaves out as a matter of course: values below the first
// of a program's slot do nothing, those above the last "none" start it.
func (s *Slot) complete() {
	if s.kind == resting && len(s.Ranges) > 0 && s.Ranges[0].From > 0 && !slices.ContainsFunc(s.Ranges, func(r rig.Range) bool { return r.Does != rig.Never }) {
		s.never(s.Text) // "speed of 9, at 251-255 sensitivity": no value is of use
	}
	if len(s.Ranges) == 0 || s.kind != running && s.kind != strobing {
		return
	}
	first, last := s.Ranges[0], s.Ranges[len(s.Ranges)-1]
	if s.kind == running && first.From > 0 && first.Does == rig.Never && last.To == 255 {
		s.Ranges = append([]rig.Range{{From: 0, To: first.From - 1, Does: rig.Nothing}}, s.Ranges...)
		s.told = append([]marked{{}}, s.told...)
		s.ask = append(s.ask, fmt.Sprintf("the text says nothing of 0-%d: they are taken to do nothing", first.From-1))
	}
	if len(s.Ranges) == 1 && first.From == 0 && first.To < 255 && (first.Does == rig.Nothing && s.kind == running) {
		s.Ranges = append(s.Ranges, rig.Range{From: first.To + 1, To: 255, Does: rig.Never})
		s.told = append(s.told, marked{text: s.Text, program: true, sound: anyOf(has(scan(s.Text)), "sound")})
	}
	if s.kind == strobing && first.From > 0 && first.From < 40 && first.Does == rig.Flash && last.To == 255 {
		s.Ranges = append([]rig.Range{{From: 0, To: first.From - 1, Does: rig.Open}}, s.Ranges...)
		s.told = append([]marked{{}}, s.told...)
		s.ask = append(s.ask, fmt.Sprintf("the text says nothing of 0-%d: they are taken to be steady light", first.From-1))
	}
	if s.kind == running && len(s.Ranges) > 1 && !slices.ContainsFunc(s.Ranges, func(r rig.Range) bool { return r.Does != rig.Never }) {
		s.ask = append(s.ask, "no value is told at which it does nothing")
	}
	if len(s.Ranges) == 1 && first.From == 0 && first.To < 255 && first.Does == rig.Open && s.kind == strobing {
		r := rig.Range{From: first.To + 1, To: 255}
		flash(&r, scan(s.Text), nil)
		s.Ranges, s.told = append(s.Ranges, r), append(s.told, marked{text: s.Text})
	}
}

// flashLamp tells whether the lamp's only light is a white flash: no colours, and in some
// mode a strobe slot is all there is.
func (o *Reading) flashLamp(m *Mode) bool {
	if len(o.Emitters) > 1 {
		return false
	}
	return slices.ContainsFunc(o.Modes, func(m Mode) bool {
		return !slices.ContainsFunc(m.Slots, func(s Slot) bool { return s.kind != strobing })
	})
}

// darkOff makes "off" of a flash lamp dark.
func (s *Slot) darkOff() {
	if s.kind != strobing {
		return
	}
	for i := range s.Ranges {
		if s.Ranges[i].Does == rig.Open && anyOf(has(scan(s.told[i].text)), "off") {
			s.Ranges[i].Does = rig.Closed
		}
	}
}

// holes asks for slots that no line has.
func (o *Reading) holes(m *Mode) {
	there := map[int]bool{}
	for i := range m.Slots {
		for _, n := range []int{m.Slots[i].Coarse, m.Slots[i].Fine} {
			if n > 0 && there[n] {
				o.ask(m.Name, n, fmt.Sprintf("slot %d stands twice in the text", n))
			}
			there[n] = true
		}
	}
	var missing []int
	for n := 1; n < m.footprint(); n++ {
		if !there[n] {
			o.ask(m.Name, n, fmt.Sprintf("slot %d is missing in the text", n))
			missing = append(missing, n)
		}
	}
	for _, n := range missing { // a note speaks of it: it is there, and kept out of
		if !o.noted[n] {
			continue
		}
		s := Slot{Slot: rig.Slot{Coarse: n}, Line: m.Line}
		s.never("missing in the text")
		m.Slots = append(m.Slots, s)
	}
	slices.SortStableFunc(m.Slots, func(a, b Slot) int { return a.Coarse - b.Coarse })
}
