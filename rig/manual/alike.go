package manual

import (
	"regexp"
	"slices"
	"strconv"
	"strings"
)

var (
	likeMode = regexp.MustCompile(`(?i)^\W*(?:as|like|same as|the same as|see|wie|siehe|comme|voir|como|identical to|identisch mit)\b(?: in)?(.*)$`)
	likeSlot = regexp.MustCompile(`(?i)^\W*(.+?)\W+(?:as|like|same as|the same as|wie|comme|como|identisch mit|come|zoals) (.+)$`)
	overhead = regexp.MustCompile(`(?i)^(?:above|oben|ci dessus|plus haut|arriba|antes|sopra|hierboven|before|vorher|avant)\b`)
	sameWord = regexp.MustCompile(`(?i)^\W*(?:the )?(?:same|idem|id|dito|ditto|desgleichen|ebenso|lo mismo|stesso)\b`)
	lastSlot = regexp.MustCompile(`(\d{1,3})\W*$`)
)

// copied is the slots of an earlier mode, where an entry says "as mode 1", or is a slot of one, as in "strobe
// as above", "strobe as 5 channel 4".
func (o *Reading) copied(e entry) []Slot {
	if len(o.Modes) == 0 {
		return nil
	}
	text := textOf(e.toks)
	if m := likeMode.FindStringSubmatch(text); m != nil {
		var out []Slot
		for _, n := range e.slots {
			for _, s := range o.spoken(m[1]).Slots {
				if s.Coarse == n {
					out = append(out, s)
				}
			}
		}
		return out
	}
	m := likeSlot.FindStringSubmatch(text)
	if m == nil || len(e.slots) != 1 || anyRange(e.toks) {
		return nil
	}
	s := o.named(m[1], m[2])
	if s == nil {
		return nil
	}
	out := *s
	out.Coarse, out.Fine, out.Line = e.slots[0], 0, e.line
	out.Ranges, out.told, out.ask = slices.Clone(s.Ranges), slices.Clone(s.told), slices.Clone(s.ask)
	return []Slot{out}
}

// spoken is the mode of which words speak; the last without.
func (o *Reading) spoken(words string) *Mode {
	of := &o.Modes[len(o.Modes)-1]
	for i := range o.Modes {
		if strings.Contains(SameName(words), SameName(o.Modes[i].Name)) {
			of = &o.Modes[i]
		}
	}
	return of
}

// named is the slot that does what a word says: of any mode before, or of the one that is spoken of, at the
// number that is; nil where there is none, or where it does something else.
func (o *Reading) named(does, where string) *Slot {
	want := kindOfPiece(has(scan(does)))
	if want == unclear {
		return nil
	}
	if overhead.MatchString(where) {
		for i := len(o.Modes) - 1; i >= 0; i-- {
			if s := o.Modes[i].first(want, 0); s != nil {
				return s
			}
		}
		return nil
	}
	n := 0
	if m := lastSlot.FindStringSubmatch(where); m != nil {
		n, _ = strconv.Atoi(m[1])
	}
	return o.spoken(where).first(want, n)
}

// first is the first slot of a kind that has ranges; the one of a number, where that is not 0.
func (m *Mode) first(k kind, n int) *Slot {
	for i := range m.Slots {
		if s := &m.Slots[i]; s.kind == k && len(s.Ranges) > 0 && (n == 0 || s.Coarse == n) {
			return s
		}
	}
	return nil
}

// saysSame tells whether words, behind a range over all, begin with "the same".
func saysSame(toks []token) bool {
	toks = lessBreaks(toks)
	if len(toks) > 0 && toks[0].kind == isRange && wholeRangeToken(toks[0]) {
		toks = toks[1:]
	}
	return sameWord.MatchString(textOf(toks))
}

// again is the lights of the slots before once more, where an entry of as many slots says "the same" of
// another part of the lamp: "5-8 same right".
func (m *Mode) again(e entry) []Slot {
	n := len(e.slots)
	if n > len(m.Slots) || !saysSame(e.toks) || slices.ContainsFunc(e.toks, func(t token) bool { return isLight(t.senses) }) {
		return nil
	}
	cell := 0
	for _, t := range e.toks {
		if t.is("cell") && t.index > 0 {
			cell = t.index
		}
	}
	out := slices.Clone(m.Slots[len(m.Slots)-n:])
	for i := range out {
		s := &out[i]
		if s.Drives == "" || s.Fine > 0 {
			return nil
		}
		s.Coarse, s.Line, s.ask = e.slots[i], e.line, nil
		if s.Cell = cell; cell == 0 {
			s.ask = []string{"the text says \"the same\" here: of which part of the lamp?"}
		}
	}
	return out
}
