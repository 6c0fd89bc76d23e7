package manual

import (
	"slices"
	"unicode"
	"unicode/utf8"
)

// repeats tells whether a line names the slot that is open again: a row for each range.
func (r *rows) repeats(lead *lead) bool {
	return r.cur != nil && slices.Equal(lead.slots, r.cur.slots)
}

// full tells whether the open slot has more than is looked at.
func (r *rows) full() bool { return len(r.cur.toks) > mostOfSlot }

// goesOn tells whether a line on the open slot brings a range that comes after its last.
func (r *rows) goesOn(toks []token) bool {
	top := -1
	for _, t := range r.cur.toks {
		if t.kind == isRange || t.kind == isNumber {
			top = max(top, t.to)
		}
	}
	for _, t := range toks {
		if t.kind == isRange || t.kind == isNumber {
			return top >= 0 && t.from > top-8 && t.from > 0
		}
	}
	return top < 0
}

// continues tells whether a line belongs to the slot that is open.
func (r *rows) continues(toks []token) bool {
	if r.cur == nil || r.pending != nil {
		return false
	}
	t := lessBreaks(toks)
	if len(t) == 0 {
		return true
	}
	if r.full() {
		return t[0].kind != isSlots
	}
	switch t[0].kind {
	case isRange:
		return true
	case isNumber:
		return t[0].from <= 255 && (len(t) == 1 || t[1].kind == isBreak || t[1].kind == isWord) && !r.blank
	case isWord, isRate, isAmount:
		if r.blank {
			return false
		}
		if n := nonBreaks(r.cur.toks); len(n) > 1 && n[len(n)-1].kind == isRange && len(splitLines(r.cur.toks)) < 3 && anyRange(n[:len(n)-1]) {
			return true // a line was broken behind a range
		}
		if anyRange(t) && !reaches(r.cur.toks) && r.fits(t) {
			return true
		}
		return waits(r.cur.toks) || unicodeLower(t[0].text) && !sentence(t) || len(nonBreaks(r.cur.toks)) == 0
	}
	return false
}

// fits tells whether words with ranges can be of the open slot: not where it is a colour's,
// and they flash or run programs.
func (r *rows) fits(t []token) bool {
	name := r.cur.toks
	for i, t := range name {
		if t.kind == isRange || t.kind == isBreak && t.text == "\n" {
			name = name[:i]
			break
		}
	}
	switch kindOfPiece(has(name)) {
	case driving, dimming:
		return kindOfPiece(has(t)) != strobing && kindOfPiece(has(t)) != running
	}
	return true
}

func reaches(toks []token) bool {
	return slices.ContainsFunc(toks, func(t token) bool { return t.kind == isRange && t.to >= 250 })
}

func sentence(t []token) bool { return len(nonBreaks(t)) > 14 }

func unicodeLower(s string) bool {
	r, _ := utf8.DecodeRuneInString(s)
	return unicode.IsLower(r)
}

// waits tells whether ranges of a slot have no words yet: as many as there are more
// ranges at its end than lines of words behind them.
func waits(toks []token) bool {
	ranges, texts := 0, 0
	alone := false
	for _, part := range splitLines(toks) {
		n := nonBreaks(part)
		switch {
		case len(n) == 0:
		case len(n) == 1 && n[0].kind == isRange:
			ranges, alone = ranges+1, true
		case alone:
			texts++
		default:
			ranges, texts = 0, 0
		}
	}
	return ranges > texts
}
