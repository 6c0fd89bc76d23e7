package manual

import (
	"fmt"
	"slices"

	"lampblack/rig"
)

// Slot is a slot as the table was read.
type Slot struct {
	rig.Slot
	Text     string // its name, as the text has it
	Line     int
	kind     kind
	words    []token  // of its name, all
	told     []marked // by range
	slip     []string // words that were read as others
	ask      []string // questions
	why      string   // of a slot that is kept out of as a whole
	inverted bool     // dark at 255
	apart    bool     // no master dims it, as the text says
	of, but  []int    // the slots that it dims, and those that it does not, as the text says
}

// marked is what is known of a range beside what it does.
type marked struct {
	text                    string
	program, sound, restart bool
}

// mostOfSlot bounds the pieces of text about one slot; real ones have a hundred.
const mostOfSlot = 1500

// readSlot makes a slot of its words.
func readSlot(e entry, toks []token, percent bool) Slot {
	long := len(toks) > mostOfSlot
	name, list := parts(toks[:min(len(toks), mostOfSlot)], percent)
	settle(list)
	list = joined(list)
	s := Slot{Text: nameOf(name), Line: e.line}
	s.Coarse = e.slots[0]
	for _, t := range toks {
		if t.slip != "" {
			s.slip = append(s.slip, t.text+" as "+t.slip)
		}
	}
	if len(list) == 1 && list[0].from == 1 && list[0].to >= 254 && plainLight(list[0].toks) {
		list[0].from, list[0].to = 0, 255 // "Red 1-255"
	}
	words := slices.Clone(name)
	if len(list) > 1 { // what a range over all says is said of the slot
		list = slices.DeleteFunc(list, func(p part) bool {
			all := p.from == 0 && p.to == 255
			if all {
				words = append(append(words, token{kind: isBreak, text: ","}), p.toks...)
			}
			return all
		})
	}
	if !slices.ContainsFunc(list, func(p part) bool { return p.from != 0 || p.to != 255 }) {
		// Ranges over all: their words belong to the name.
		for _, p := range list {
			words = append(append(words, token{kind: isBreak, text: ","}), p.toks...)
		}
		list = nil
	}
	if s.Text == "" {
		s.Text = nameOf(words)
	}
	if n := nonBreaks(words); len(n) == 1 && n[0].kind == isWord && len(n[0].text) == 1 && n[0].senses == nil {
		for i := range words { // "(r)"
			if l, known := letters[[]rune(fold(words[i].text))[0]]; known && words[i].kind == isWord {
				words[i].senses = []sense{l}
			} else if fold(words[i].text) == "u" {
				words[i].senses = []sense{"uv"}
			}
		}
	}
	words = untold(words)
	s.words, s.kind = words, kindByWords(words, list)
	if s.kind == resting && list == nil && slices.ContainsFunc(pieces(words), func(p []token) bool { return kindOfPiece(has(p)) == dimming }) {
		s.ask = append(s.ask, fmt.Sprintf("%q may be one or the other, and nothing says when", s.Text))
	}
	s.inverted = s.kind == dimming && slices.ContainsFunc(toks, func(t token) bool {
		return t.down && t.from == 0 && t.to == 255 || fold(t.text) == "inverted" || fold(t.text) == "invertiert"
	})
	if s.Text == "" && len(list) > 0 {
		s.Text = nameOf(list[0].toks)
	}
	for _, t := range words {
		if t.index > 0 && t.kind == isWord && (t.is("cell", "dim") || isLight(t.senses)) {
			s.Cell = t.index
		}
	}
	if long {
		s.ask = append(s.ask, "so much stands here that the end was left out")
	}
	if len(nonBreaks(name)) > 16 {
		s.ask = append(s.ask, "so many words stand here that they may be of several slots")
	}
	s.fill(words, list)
	return s
}

// fill says what the slot does.
func (s *Slot) fill(words []token, list []part) {
	senses := has(words)
	light := emitters(senses)
	wholly := len(list) == 0
	if s.kind == driving && len(light) == 0 { // its one range names it
		for _, p := range list {
			light = append(light, emitters(has(p.toks))...)
		}
		slices.Sort(light)
		light = slices.Compact(light)
	}
	if s.kind == driving && len(light) == 0 {
		s.kind = unclear
	}
	if len(light) > 1 && wholly && anyOf(senses, "on", "full") && !anyOf(senses, "dim") && (s.kind == driving || s.kind == dimming) {
		s.kind = running // it takes over what their own slots say
		s.never(s.Text)
		s.told[0].program = true
		return
	}
	switch s.kind {
	case driving:
		s.drive(words, senses, light)
		if !wholly {
			s.ranges(list)
		}
	case dimming:
		s.dims(words, light)
		if !wholly {
			s.ranges(list)
		}
		if anyOf(senses, "strobe") && wholly {
			s.ask = append(s.ask, "dims and flashes, without the values of each")
			s.never("dims and flashes")
		}
	case strobing:
		if wholly {
			s.whole(words, list)
			return
		}
		s.ranges(list)
	case resting:
		s.never(s.Text)
		if !wholly && slices.ContainsFunc(list, func(p part) bool { return p.to > p.from }) {
			s.Ranges, s.told = nil, nil
			s.ranges(list)
		}
	case running, minding, fanning:
		if wholly {
			s.whole(words, list)
			return
		}
		s.ranges(list)
	case unclear:
		if wholly && slices.Equal(senses, []sense{"off"}) { // "not used"
			s.Ranges, s.told = []rig.Range{{From: 0, To: 255, Does: rig.Nothing}}, []marked{{text: s.Text}}
			return
		}
		s.ask = append(s.ask, fmt.Sprintf("what %q does is not understood", s.Text))
		s.never("not understood")
		if !wholly {
			s.Ranges, s.told = nil, nil
			s.ranges(list)
		}
	}
}

// whole reads a slot without ranges.
func (s *Slot) whole(words []token, list []part) {
	m := marked{text: s.Text}
	senses := has(words)
	r := rig.Range{From: 0, To: 255, Does: rig.Never}
	switch s.kind {
	case strobing:
		flash(&r, words, senses)
		s.ask = append(s.ask, "the table does not say at which values it is steady light")
	case running:
		m.program, m.sound = true, anyOf(senses, "sound")
		s.ask = append(s.ask, "no values: up to which it does nothing")
	case minding:
		m.restart = anyOf(senses, "reset")
		s.ask = append(s.ask, "no values: up to which it does nothing")
	case fanning:
		if anyOf(senses, "speed", "slow", "fast") || len(senses) == 1 {
			r.Does = rig.Fan
		}
	}
	s.Ranges, s.told = []rig.Range{r}, []marked{m}
}

// stray asks for a number among the words of a range that flashes or is steady: it may be a value where something
// else begins.
func stray(p part, r rig.Range) string {
	if r.Does == rig.Never || r.Does == rig.Nothing {
		return ""
	}
	for _, t := range p.toks {
		if t.kind == isNumber && t.from > p.from && t.from < p.to && t.from <= 255 {
			return fmt.Sprintf("%d stands among the words of %d-%d: does something else begin there?", t.from, p.from, p.to)
		}
	}
	return ""
}

// ranges reads each range.
func (s *Slot) ranges(list []part) {
	for _, p := range list {
		r, m, ask := s.does(p)
		s.Ranges, s.told = append(s.Ranges, r), append(s.told, m)
		if ask == "" {
			ask = stray(p, r)
		}
		if ask != "" {
			s.ask = append(s.ask, ask)
		}
	}
	s.quickening(list)
}
