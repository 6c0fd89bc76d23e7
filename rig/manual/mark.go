package manual

import (
	"slices"
	"strings"
)

// advice cuts off what is said to the reader and not of values.
func advice(toks []token) []token {
	for i, t := range toks {
		if t.kind != isWord || !slices.Contains([]string{"careful", "caution", "warning", "vorsicht", "achtung", "attention", "beware", "cuidado", "ojo", "opgelet", "attenzione", "nb", "note", "hinweis", "tip"}, fold(t.text)) {
			continue
		}
		for k := i; k < len(toks); k++ { // to the end of the line
			if toks[k].kind == isBreak && toks[k].text == "\n" {
				return append(slices.Clone(toks[:i]), advice(toks[k:])...)
			}
		}
		return toks[:i]
	}
	return toks
}

// rests are words for all values that are left.
var rests = []string{"then", "danach", "dann", "rest", "otherwise", "else", "afterwards", "sonst", "puis", "luego", "beyond", "darüber", "darueber", "daruber", "ensuite", "remaining", "thereafter"}

// anything and overs are "anything above", all values that are left.
var (
	anything = []string{"anything", "everything", "all", "alles", "tout", "todo", "tutto", "whatever", "values"}
	overs    = []string{"above", "over", "higher", "beyond", "more", "daruber", "hoher", "else", "boven", "erboven"}
)

// marks makes ranges of what means one: a lone value before its meaning, "above that",
// "then", percents in a table of percents.
func marks(toks []token, percent bool) []token {
	var out []token
	for i := 0; i < len(toks); i++ {
		t := toks[i]
		switch {
		case t.kind == isAmount && t.percent && percent && !(t.low == 0 && t.top == 100) && (t.top > t.low || i+1 < len(toks) && valueBefore(toks, i)):
			t = token{kind: isRange, text: t.text, from: ofPercent(t.low, false), to: ofPercent(t.top, true)}
		case t.kind == isRange && (ofCells(out, t) || ofOthers(toks, i)):
			t.kind = isAmount
		case t.kind == isRange && doubled(out):
			continue // the same in percent, or in other figures
		case t.kind == isRange && counts(out, t):
			t.kind = isAmount
		case t.kind == isNumber && t.from <= 255 && isValue(toks, i):
			t.kind = isRange
		case t.kind == isWord && (fold(t.text) == "above" || fold(t.text) == "over" || fold(t.text) == "daruber" || fold(t.text) == "dessus" || fold(t.text) == "ab") && i+1 < len(toks) && (fold(toks[i+1].text) == "that" || fold(toks[i+1].text) == "this" || fold(toks[i+1].text) == "it" || fold(toks[i+1].text) == "da"):
			t = token{kind: isRange, text: t.text, from: above, to: below}
			i++
		case t.kind == isWord && i+1 < len(toks) && slices.Contains(anything, fold(t.text)) && slices.Contains(overs, fold(toks[i+1].text)) && closedRange(out):
			t = token{kind: isRange, text: t.text, from: above, to: below}
			i++
		case t.kind == isWord && slices.Contains(rests, fold(t.text)) && closedRange(out) && restsHere(toks, i):
			t = token{kind: isRange, text: t.text, from: above, to: below}
		case t.kind == isWord && slices.Contains(unders, fold(t.text)) && lastFrom(out) > 0:
			t = token{kind: isRange, text: t.text, from: 0, to: lastFrom(out) - 1}
		}
		out = append(out, t)
	}
	return out
}

// unders are "below that": the values under those that were told before.
var unders = []string{"darunter", "underneath", "dessous", "eronder"}

// lastFrom is where the last range begins; 0 without.
func lastFrom(toks []token) int {
	for i := len(toks) - 1; i >= 0; i-- {
		if toks[i].kind == isRange {
			return max(toks[i].from, 0)
		}
	}
	return 0
}

// restsHere tells whether "then" stands for values of its own: what it means stands behind it, and no range that
// goes on at once, or that these words are of.
func restsHere(toks []token, at int) bool {
	told := false
	for _, t := range toks[at+1:] {
		if t.kind == isRange {
			return told && t.to == below && t.from > lastTo(toks[:at])+1
		}
		told = told || t.senses != nil || t.kind == isRate
	}
	return told
}

func lastTo(toks []token) int {
	for i := len(toks) - 1; i >= 0; i-- {
		if toks[i].kind == isRange {
			return toks[i].to
		}
	}
	return 0
}

// doubled tells whether a range stands directly before, in the same line.
func doubled(before []token) bool {
	for i := len(before) - 1; i >= 0; i-- {
		switch b := before[i]; {
		case b.kind == isBreak && strings.Contains("  |()", b.text):
		default:
			return b.kind == isRange
		}
	}
	return false
}

// ofCells tells whether a range counts parts of the lamp: "zones 1 to 4".
func ofCells(before []token, t token) bool {
	n := len(before)
	return n > 0 && before[n-1].is("cell") && before[n-1].index == 0 && t.from == 1 && t.to <= 100
}

// whiles begin a condition, beside [conditions].
var whiles = []string{"long", "solange", "tant", "mientras", "finche", "zolang", "sofern", "siempre", "quando", "als"}

// ofOthers tells whether a range is of another slot's values, in a condition: "as long as ch 5 is below 250".
func ofOthers(toks []token, at int) bool {
	slot := -1
	for i := at - 1; i >= 0 && at-i <= 5; i-- {
		switch t := toks[i]; {
		case t.kind == isSlots && len(t.slots) == 1:
			slot = i
		case t.kind == isBreak && !strings.Contains("<>=  ", t.text):
			return false
		}
		if slot >= 0 {
			break
		}
	}
	for i := slot - 1; i >= 0 && slot-i <= 3; i-- {
		if f := fold(toks[i].text); slices.Contains(conditions, f) || slices.Contains(whiles, f) {
			return true
		}
	}
	return false
}

// counts tells whether a range counts programs and the like: "11-255 program 1-16".
func counts(before []token, t token) bool {
	if n := len(before); n > 0 && before[n-1].kind == isWord && slices.Contains([]string{"by", "durch", "per", "slots", "channels", "of", "von", "with"}, fold(before[n-1].text)) && t.from > 0 {
		return slices.ContainsFunc(before, func(b token) bool { return b.kind == isRange && b.to >= t.from })
	}
	if n := len(before); n > 0 && before[n-1].kind == isWord && t.from == 1 && lastFrom(before) > 1 && t.to <= lastTo(before)-lastFrom(before)+1 {
		return true // "10-189 run 1 to 18"
	}
	if len(before) == 0 || !before[len(before)-1].is("program", "colour", "cell", "sound") {
		return false
	}
	for _, b := range before {
		if b.kind == isRange && b.from >= 0 && t.from >= 0 && t.from <= b.from {
			return true
		}
	}
	return false
}

// closedRange tells whether the last range ends below 255.
func closedRange(toks []token) bool {
	for i := len(toks) - 1; i >= 0; i-- {
		if toks[i].kind == isRange {
			return toks[i].to >= 0 && toks[i].to < 255
		}
	}
	return false
}

func anyRange(toks []token) bool {
	return slices.ContainsFunc(toks, func(t token) bool { return t.kind == isRange })
}

// isValue tells whether a lone number is a value with its meaning: at the beginning of a piece,
// and followed by a sign or by a word.
func isValue(toks []token, i int) bool {
	starts := i == 0 || divides(toks[i-1]) || i > 0 && toks[i-1].kind == isWord && (fold(toks[i-1].text) == "at" || fold(toks[i-1].text) == "bei" || fold(toks[i-1].text) == "value" || fold(toks[i-1].text) == "wert")
	if i+1 >= len(toks) {
		return false
	}
	if n := toks[i+1]; !starts {
		// "strobe 0=off", "strobe 0 none"
		return n.kind == isBreak && n.text == "=" && i+2 < len(toks) || (toks[i].from == 0 || toks[i].from == 255) && n.is("off", "open", "closed", "on", "full")
	}
	return valueBefore(toks, i)
}

// valueBefore tells whether what follows a number says what that value does.
func valueBefore(toks []token, i int) bool {
	n := toks[i+1]
	if n.kind == isBreak && n.text == "  " && i+2 < len(toks) && toks[i+2].kind == isBreak && strings.Contains("=:", toks[i+2].text) {
		return i+3 < len(toks)
	}
	if n.kind == isBreak && strings.Contains("=:-", n.text) {
		return i+2 < len(toks)
	}
	if n.kind == isBreak && n.text == "  " {
		return i+2 < len(toks) && toks[i+2].kind == isWord && toks[i+2].senses != nil
	}
	return n.kind == isWord && (fold(n.text) == "is" || fold(n.text) == "ist" || fold(n.text) == "means" || n.is("off", "open", "closed", "on", "full", "slow", "fast") || n.senses != nil && i > 0 && strings.Contains("\n", toks[i-1].text))
}

// ofPercent is the value at a percent: where it begins, or the last one before the next.
func ofPercent(p float64, last bool) int {
	if last {
		if p >= 100 {
			return 255
		}
		return int(2.55*(p+1)+.5) - 1
	}
	return int(2.55*p + .5)
}

// joined makes one range of two lone values between which a rate or a level grows: "1 = slowest,
// 255 = fastest".
func joined(list []part) []part {
	for i := 1; i < len(list); i++ {
		a, b := list[i-1], list[i]
		if a.from == 0 && a.to == 0 && b.from == 255 && hasSense(b.toks, "fast") && hasSense(a.toks, "off") { // "0 = off, 255 = fastest"
			list[i].from = 1
			list[i].toks = append(slices.Clone(b.toks), token{kind: isWord, senses: []sense{"up"}})
			continue
		}
		if a.from == a.to && b.from == b.to && b.from > a.from+1 && hasSense(a.toks, "slow", "fast") && hasSense(b.toks, "slow", "fast") {
			toks := append(append(slices.Clone(a.toks), token{kind: isBreak, text: ","}), b.toks...)
			list = append(list[:i-1:i-1], append([]part{{from: a.from, to: b.to, toks: toks}}, list[i+1:]...)...)
		}
	}
	return list
}

// settle finds the open ends of ranges by their neighbours.
func settle(list []part) {
	for i := range list {
		p := &list[i]
		if p.from == above {
			p.from = 0
			if i > 0 && list[i-1].to >= 0 && (p.to == below || list[i-1].to < p.to) {
				p.from = list[i-1].to + 1
			}
		}
		if p.to == below {
			p.to = 255
			if i+1 < len(list) && list[i+1].from > p.from {
				p.to = list[i+1].from - 1
			}
		}
		if p.kept && p.from == 0 && p.to == 0 && i+1 < len(list) && list[i+1].from > 1 {
			p.to = list[i+1].from - 1
		}
	}
}
