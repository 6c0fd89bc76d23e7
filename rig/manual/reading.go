package manual

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"lampblack/rig"
)

// Reading is what a slot table was read as.
type Reading struct {
	Modes     []Mode
	Emitters  []string // those that slots drive, then those that the text only names
	Cells     int
	Traps     []Trap
	Questions []Question

	uvApart bool // a note says that ultraviolet follows no master
}

// Mode is a mode of the table.
type Mode struct {
	Name  string
	Line  int
	Slots []Slot
}

// Question is what a person must say: the table does not, or not for certain.
type Question struct {
	Mode string `json:"mode,omitempty"`
	Slot int    `json:"slot,omitempty"`
	Text string `json:"text"`
}

// Read reads a slot table of any build. It never fails: what it does not understand is a
// question, and a text in which it finds no slot at all is one too.
func Read(data []byte) *Reading {
	lines, whole := clean(data)
	r := walk(layout(lines))
	if len(r.plans) == 0 {
		if told := prose(lines); told != nil {
			r = walk(told)
		}
	}
	out := &Reading{}
	if !whole {
		out.ask("", 0, "the text was too long, and its end was left out")
	}
	percent := r.inPercent()
	if r.bound() {
		out.ask("", 0, "so many slots stand in the text that the rest was left out")
	}
	for i := range r.plans {
		out.Modes = append(out.Modes, r.plans[i].read(out, percent))
	}
	out.names(r)
	for _, h := range r.after {
		if h.count > 0 && !slices.ContainsFunc(out.Modes, func(m Mode) bool { return m.footprint() == h.count }) {
			out.ask("", 0, fmt.Sprintf("line %d speaks of %d slots, and no table of so many was found", h.line, h.count))
		}
	}
	for _, l := range r.left {
		out.ask("", 0, fmt.Sprintf("line %d belongs to no slot: %s", l.number, strings.TrimSpace(l.text)))
	}
	if len(out.Modes) == 0 {
		out.ask("", 0, "no slot was found: each begins with its number, as in \"CH1 Red 0-255\"")
		return out
	}
	out.uvApart = uvNote(r.notes)
	out.gather(r)
	for i := range out.Modes {
		out.finish(&out.Modes[i])
	}
	out.traps()
	return out
}

func (o *Reading) ask(mode string, slot int, text string) {
	q := Question{mode, slot, text}
	if !slices.Contains(o.Questions, q) {
		o.Questions = append(o.Questions, q)
	}
}

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
	case len(kinds) == n:
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

var likeMode = regexp.MustCompile(`(?i)^\W*(?:as|like|same as|the same as|see|wie|siehe|comme|voir|como|identical to|identisch mit)\b(?: in)?(.*)$`)

// copied is the slots of an earlier mode, where an entry says "as mode 1".
func (o *Reading) copied(e entry) []Slot {
	m := likeMode.FindStringSubmatch(textOf(e.toks))
	if m == nil || len(o.Modes) == 0 {
		return nil
	}
	of := &o.Modes[len(o.Modes)-1]
	for i := range o.Modes {
		if strings.Contains(SameName(m[1]), SameName(o.Modes[i].Name)) {
			of = &o.Modes[i]
		}
	}
	var out []Slot
	for _, n := range e.slots {
		for _, s := range of.Slots {
			if s.Coarse == n {
				out = append(out, s)
			}
		}
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
		if !any(has(s.words), "fine") || s.Fine > 0 {
			continue
		}
		for j := i - 1; j >= 0; j-- {
			c := &m.Slots[j]
			if c.Fine == 0 && !any(has(c.words), "fine") && c.same(s) {
				c.Fine = s.Coarse
				m.Slots = slices.Delete(m.Slots, i, i+1)
				i--
				break
			}
		}
	}
}

// same tells whether a fine slot is of what this one does; a fine slot that names nothing
// belongs to the slot before.
func (s *Slot) same(fine *Slot) bool {
	if fine.kind == unclear || len(fine.Dims) > 0 && fine.Drives == "" && !any(has(fine.words), "master") {
		return s.Coarse == fine.Coarse-1
	}
	return s.Drives == fine.Drives && s.Cell == fine.Cell && (len(s.Dims) > 0) == (len(fine.Dims) > 0)
}

// names makes the names of modes differ, and gives a mode the name that a later line has for
// one of its size.
func (o *Reading) names(r *rows) {
	for i := range o.Modes {
		m := &o.Modes[i]
		if r.plans[i].heading.name == "" {
			for _, h := range r.after {
				if h.count == m.footprint() {
					m.Name = strings.TrimSpace(h.name)
				}
			}
		}
		for k := range i {
			if SameName(o.Modes[k].Name) == SameName(m.Name) {
				m.Name = fmt.Sprintf("%s (%d)", m.Name, i+1)
			}
		}
	}
	for i := range o.Modes {
		for j := range o.Questions { // asked before the mode had its name
			if q := &o.Questions[j]; strings.HasPrefix(q.Mode, "0 channel") {
				q.Mode = o.Modes[i].Name
			}
		}
	}
}

// gather finds what kinds of light there are, in slots and in words alone.
func (o *Reading) gather(r *rows) {
	add := func(e string) {
		if e != "" && !slices.Contains(o.Emitters, e) {
			o.Emitters = append(o.Emitters, e)
		}
	}
	colours := false
	for i := range o.Modes {
		for _, s := range o.Modes[i].Slots {
			add(s.Drives)
			for _, d := range s.Dims {
				if d != "all" && d != "not" {
					add(d)
				}
			}
			o.Cells = max(o.Cells, s.Cell)
			colours = colours || s.Drives != "" || s.kind == running && slices.ContainsFunc(s.told, func(m marked) bool { return len(emitters(has(scan(m.text)))) > 0 })
		}
	}
	var named []sense
	for _, t := range r.titles {
		if isLight(t.senses) && t.slip == "" && !t.glued && len(t.text) > 1 {
			named = append(named, t.senses...)
		}
	}
	named = emitters(slices.Compact(named))
	o.only(named, colours, r)
	for _, e := range named {
		if e == "violet" {
			e = "uv"
		}
		if colours || len(o.Emitters) == 0 {
			add(string(e))
		}
	}
}

// only gives a lamp with one kind of light, which the text names and no slot does, to its
// dimmer.
func (o *Reading) only(named []sense, colours bool, r *rows) {
	if colours {
		return
	}
	uv, white := false, false
	for _, list := range append([][]token{r.titles}, r.notes...) {
		for _, t := range list {
			uv = uv || t.is("uv") && t.slip == ""
			white = white || t.is("white") && t.slip == ""
		}
	}
	for _, p := range r.plans {
		for _, e := range p.entries {
			uv = uv || hasSense(e.toks, "uv")
		}
	}
	light := ""
	switch {
	case uv && !white:
		light = "uv"
	case len(named) == 1 && named[0] != "violet":
		light = string(named[0])
	}
	o.pack(hasSense(r.titles, "dim"))
	for i := range o.Modes {
		m := &o.Modes[i]
		dims := 0
		for k := range m.Slots {
			if len(m.Slots[k].Dims) > 0 {
				dims++
			}
		}
		for k := range m.Slots {
			s := &m.Slots[k]
			switch {
			case len(s.Dims) == 0:
			case light != "" && (dims == 1 || s.Cell > 0):
				s.Drives, s.Dims = light, nil
			case dims > 1 && s.Cell > 0 && light == "":
				s.Drives, s.Dims = "lamp", nil
			}
			if s.Drives != "" && !slices.Contains(o.Emitters, s.Drives) {
				o.Emitters = append(o.Emitters, s.Drives)
			}
			if s.Drives != "" {
				o.Cells = max(o.Cells, s.Cell)
			}
		}
	}
	if light != "" && !slices.Contains(o.Emitters, light) && len(o.Modes) > 0 {
		o.Emitters = append(o.Emitters, light)
	}
}

// outlets are words for what a dimmer pack, or a lamp of several, has a slot for each of.
var outlets = []string{"output", "outlet", "lamp", "circuit", "zone", "ausgang", "lampe", "sortie", "salida", "blinder", "load", "dose", "steckdose", "birne", "bulb", "eye"}

// pack makes slots that are called by such a word and a letter or a number, two or more, dimmers
// of a lamp each; in a text about dimmers all that are called alike.
func (o *Reading) pack(dimmers bool) {
	for i := range o.Modes {
		m := &o.Modes[i]
		var list []*Slot
		for k := range m.Slots {
			s := &m.Slots[k]
			n := nonBreaks(s.words)
			if s.kind != unclear || len(n) == 0 || len(s.Ranges) > 1 {
				continue
			}
			if slices.Contains(outlets, fold(n[0].text)) || dimmers && len(n) <= 2 {
				list = append(list, s)
			}
		}
		if len(list) < 2 {
			continue
		}
		for k, s := range list {
			s.kind, s.Dims, s.Cell, s.Ranges, s.told, s.ask = dimming, []string{"all"}, k+1, nil, nil, nil
		}
	}
}

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
	o.holes(m)
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

// repeats gives slots that drive the same lights over and over, as of left and right, the
// cells in their order.
func (m *Mode) repeats() {
	var list []*Slot
	count := map[string]int{}
	for i := range m.Slots {
		if s := &m.Slots[i]; s.Drives != "" {
			if s.Cell > 0 {
				return
			}
			list = append(list, s)
			count[s.Drives]++
		}
	}
	period := len(count)
	if period == 0 || len(list) <= period {
		return
	}
	for i, s := range list {
		if len(list)%period != 0 || s.Drives != list[i%period].Drives {
			s.ask = append(s.ask, fmt.Sprintf("%s stands on several slots: of which part of the lamp is each?", s.Drives))
			return
		}
	}
	for i, s := range list {
		s.Cell = i/period + 1
	}
	list[0].ask = append(list[0].ask, fmt.Sprintf("its lights stand %d times: they are taken for cells 1 to %d", len(list)/period, len(list)/period))
}

func (m *Mode) cells() (n int) {
	for i := range m.Slots {
		if m.Slots[i].Drives != "" {
			n = max(n, m.Slots[i].Cell)
		}
	}
	return n
}

// leaveOut takes what no master dims, as its own line or a note says, out of masters of
// all.
func (o *Reading) leaveOut(m *Mode) {
	var out []string
	for _, s := range m.Slots {
		if s.apart || s.Drives == "uv" && o.uvApart {
			out = append(out, s.Drives)
		}
	}
	for i := range m.Slots {
		if s := &m.Slots[i]; len(out) > 0 && slices.Equal(s.Dims, []string{"all"}) {
			s.Dims = append([]string{"not"}, out...)
		}
	}
}

// uvNote tells whether a note says that ultraviolet follows no master.
func uvNote(notes [][]token) bool {
	for _, n := range notes {
		words := textOf(n)
		if hasSense(n, "uv") && hasSense(n, "not") && (hasSense(n, "dim", "master") || strings.Contains(words, "follow") || strings.Contains(words, "affect")) {
			return true
		}
	}
	return false
}

// exclude writes out a master of all but some.
func (s *Slot) exclude(m *Mode) {
	if len(s.Dims) == 0 || s.Dims[0] != "not" {
		return
	}
	out := s.Dims[1:]
	s.Dims = nil
	for i := range m.Slots {
		if d := m.Slots[i].Drives; d != "" && !slices.Contains(out, d) && !slices.Contains(s.Dims, d) {
			s.Dims = append(s.Dims, d)
		}
	}
	if len(s.Dims) == 0 {
		s.Dims = []string{"all"}
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
		case r.Does == rig.Closed && r.From == 0 && r.To == 0:
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
		s.told = append(s.told, marked{text: s.Text, program: true, sound: any(has(scan(s.Text)), "sound")})
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
		if s.Ranges[i].Does == rig.Open && any(has(scan(s.told[i].text)), "off") {
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
	for n := 1; n < m.footprint(); n++ {
		if !there[n] {
			o.ask(m.Name, n, fmt.Sprintf("slot %d is missing in the text", n))
		}
	}
}
