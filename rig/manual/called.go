package manual

import (
	"slices"
	"strings"

	"lampblack/rig"
)

// untold cuts off what a person tells behind what a slot is: "is master. but it kills the uv as well".
func untold(words []token) []token {
	n := nonBreaks(words)
	if len(n) < 2 || n[0].kind != isWord || !slices.Contains([]string{"is", "ist", "est", "es", "its"}, fold(n[0].text)) {
		return words
	}
	for i, t := range words {
		if i > 1 && (t.kind == isBreak && t.text == "." || t.kind == isWord && slices.Contains([]string{"but", "aber", "mais", "pero"}, fold(t.text))) {
			return words[:i]
		}
	}
	return words
}

// plainLight tells whether words say no more than which light it is, or nothing.
func plainLight(toks []token) bool {
	s := has(toks)
	k := kindOfPiece(s)
	return len(nonBreaks(toks)) == 0 || (k == driving || k == dimming) && !anyOf(s, "off", "open", "closed", "strobe")
}

// nameOf is a name for people: the words up to a bracket or a comma.
func nameOf(toks []token) string {
	from := 0
	for from < len(toks) && toks[from].kind == isBreak {
		from++
	}
	to := from
	for to < len(toks) && !(toks[to].kind == isBreak && strings.Contains("(,;\n", toks[to].text)) && toks[to].kind != isAmount {
		to++
	}
	return strings.Trim(textOf(toks[from:to]), " ,;:.-=|()!/")
}

// never keeps out of the slot as a whole.
func (s *Slot) never(why string) {
	s.why = why
	s.Ranges = []rig.Range{{From: 0, To: 255, Does: rig.Never}}
	s.told = []marked{{text: s.Text}}
}

// drive makes the slot an emitter's.
func (s *Slot) drive(words []token, senses, light []sense) {
	if len(light) > 1 {
		if anyOf(senses, "dim", "master") {
			s.dims(words, light)
			s.kind = dimming
			return
		}
		s.ask = append(s.ask, "several kinds of light stand on one slot")
		s.never("several kinds of light on one slot")
		return
	}
	s.Drives = string(light[0])
	s.apart = anyOf(senses, "not") && (anyOf(senses, "dim", "master") || slices.ContainsFunc(words, func(t token) bool { return fold(t.text) == "affected" || fold(t.text) == "controlled" }))
	if light[0] == "violet" {
		s.Drives = "uv"
		s.ask = append(s.ask, "violet is taken for ultraviolet, which most lamps mean by it; look whether a white shirt glows in it")
	}
}

// dims makes the slot a master, of all or of those that are named.
func (s *Slot) dims(words []token, light []sense) {
	s.Dims = []string{"all"}
	not := false
	for _, t := range words {
		not = not || t.is("not", "off")
		switch {
		case t.kind == isSlots && not:
			s.but = append(s.but, t.slots...)
		case t.kind == isSlots && len(t.slots) > 1:
			s.of = t.slots
		}
	}
	also := slices.ContainsFunc(words, func(t token) bool {
		return slices.Contains([]string{"too", "also", "incl", "including", "auch", "inkl", "inklusive", "aussi", "tambien"}, fold(t.text))
	})
	if len(light) == 0 || also {
		return
	}
	not = false
	for _, t := range words {
		if t.is("not") || t.is("off") && fold(t.text) != "off" {
			not = true
		}
		if isLight(t.senses) {
			break
		}
	}
	s.Dims = nil
	if not {
		s.Dims = append(s.Dims, "not")
	}
	for _, l := range light {
		if l == "violet" {
			l = "uv"
		}
		s.Dims = append(s.Dims, string(l))
	}
}
