package manual

import (
	"slices"
	"strings"
)

// part is a range of values with the words that tell what it does.
type part struct {
	from, to int // from above and to below are told by the neighbours
	toks     []token
	down     bool // written from its top
	kept     bool // the text says to stay in it
}

// parts takes what stands behind a slot's number apart: its name, and its ranges.
//
// Ranges stand before their words, "0-9 off", or behind them, "off (0-9)". Which, is told by
// what stands directly on either side of each.
func parts(toks []token, percent bool) (name []token, out []part) {
	toks = marks(advice(toks), percent)
	var at []int
	for i, t := range toks {
		if t.kind == isRange {
			at = append(at, i)
		}
	}
	if len(at) == 0 {
		return toks, nil
	}
	if name, out, ok := apart(toks, at); ok {
		return name, out
	}
	before, behind := 0, 0
	for k, i := range at {
		end := len(toks)
		if k+1 < len(at) {
			end = at[k+1]
		}
		left := i > 0 && !divides(toks[i-1])
		right := i+1 < len(toks) && !divides(toks[i+1]) || i+1 < len(toks) && strings.Contains("=:", toks[i+1].text) && len(nonBreaks(toks[i+1:end])) > 0
		if !left && !right { // a gap parts less than a sign does
			left, right = reached(toks[:i], -1), reached(toks[i+1:end], 1)
		}
		if right && !left {
			before++
		}
		if left && !right {
			behind++
		}
	}
	last := at[len(at)-1]
	if before == behind && len(nonBreaks(toks[last+1:])) == 0 && len(at) > 1 && before > 0 {
		behind++
	}
	if behind > before && len(at) > 1 || behind > before && len(at) == 1 && !wholeRangeToken(toks[at[0]]) && len(nonBreaks(toks[last+1:])) == 0 {
		return rangesBehind(toks, at)
	}
	name = toks[:at[0]]
	for k, i := range at {
		end := len(toks)
		if k+1 < len(at) {
			end = at[k+1]
		}
		p := part{from: toks[i].from, to: toks[i].to, down: toks[i].down, toks: toks[i+1 : end]}
		p.kept = advised(toks[:i])
		out = append(out, p)
	}
	return name, out
}

// advised tells whether words before a range say to stay in it: "leave it below 10",
// "keep at 0".
func advised(toks []token) bool {
	for i := len(toks) - 1; i >= 0 && len(toks)-i <= 3 && toks[i].kind == isWord; i-- {
		if slices.Contains([]string{"keep", "leave", "stay", "lassen", "bleiben", "laisser", "dejar"}, fold(toks[i].text)) {
			return true
		}
	}
	return false
}

// reached tells whether a word stands beside a range with no more than a gap between.
func reached(toks []token, step int) bool {
	i := 0
	if step < 0 {
		i = len(toks) - 1
	}
	for ; i >= 0 && i < len(toks); i += step {
		if toks[i].kind != isBreak {
			return toks[i].kind == isWord
		}
		if toks[i].text != "  " && toks[i].text != "|" {
			return false
		}
	}
	return false
}

func wholeRangeToken(t token) bool { return t.from == 0 && t.to == 255 }

// divides tells whether a sign parts a range from what stands beside it.
func divides(t token) bool { return t.kind == isBreak && strings.Contains(",;/|()[]:\n  .", t.text) }

// rangesBehind reads "off 0-9, slow to fast 10-255". Words before a colon name the slot.
func rangesBehind(toks []token, at []int) (name []token, out []part) {
	from := 0
	for i, t := range toks[:at[0]] {
		if t.kind == isBreak && strings.Contains(":=(\n", t.text) && len(nonBreaks(toks[i+1:at[0]])) > 0 || t.kind == isBreak && t.text == "  " && len(nonBreaks(toks[i+1:at[0]])) > 0 {
			from = i + 1
		}
	}
	name = toks[:from]
	if from == 0 && len(at) == 1 {
		name = toks[:at[0]]
	}
	for _, i := range at {
		out = append(out, part{from: toks[i].from, to: toks[i].to, down: toks[i].down, toks: toks[from:i]})
		from = i + 1
	}
	return name, out
}

// apart reads ranges that stand alone on lines of their own, with their words on as many
// lines before or behind: what is left of a table whose columns a copy pulled apart.
func apart(toks []token, at []int) (name []token, out []part, ok bool) {
	var ranges []part
	var texts [][]token
	started := false
	for _, l := range splitLines(toks) {
		n := nonBreaks(l)
		switch {
		case len(n) == 0:
		case len(n) == 1 && n[0].kind == isRange:
			if started && len(texts) > 0 && len(ranges) > 0 && len(texts) >= len(ranges) {
				return nil, nil, false
			}
			ranges, started = append(ranges, part{from: n[0].from, to: n[0].to}), true
		case slices.ContainsFunc(n, func(t token) bool { return t.kind == isRange }):
			return nil, nil, false
		case !started:
			name = append(append(name, l...), token{kind: isBreak, text: "\n"})
		case len(texts) > 0 && (unicodeLower(n[0].text) || len(texts) == len(ranges)):
			texts[len(texts)-1] = append(append(texts[len(texts)-1], token{kind: isBreak, text: "  "}), l...)
		default:
			texts = append(texts, l)
		}
	}
	if len(ranges) < 2 || len(texts) != len(ranges) {
		return nil, nil, false
	}
	for i := range ranges {
		ranges[i].toks = texts[i]
	}
	return name, ranges, true
}

// advice cuts off what is said to the reader and not of values.
func advice(toks []token) []token {
	for i, t := range toks {
		if t.kind != isWord || !slices.Contains([]string{"careful", "caution", "warning", "vorsicht", "achtung", "attention", "beware", "cuidado", "nb", "note", "hinweis", "tip"}, fold(t.text)) {
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

// marks makes ranges of what means one: a lone value before its meaning, "above that",
// "then", percents in a table of percents.
func marks(toks []token, percent bool) []token {
	var out []token
	for i := 0; i < len(toks); i++ {
		t := toks[i]
		switch {
		case t.kind == isAmount && t.percent && percent && !(t.low == 0 && t.top == 100) && (t.top > t.low || i+1 < len(toks) && valueBefore(toks, i)):
			t = token{kind: isRange, text: t.text, from: ofPercent(t.low, false), to: ofPercent(t.top, true)}
		case t.kind == isRange && doubled(out):
			continue // the same in percent, or in other figures
		case t.kind == isRange && counts(out, t):
			t.kind = isAmount
		case t.kind == isNumber && t.from <= 255 && isValue(toks, i):
			t.kind = isRange
		case t.kind == isWord && (fold(t.text) == "above" || fold(t.text) == "over" || fold(t.text) == "daruber" || fold(t.text) == "dessus" || fold(t.text) == "ab") && i+1 < len(toks) && (fold(toks[i+1].text) == "that" || fold(toks[i+1].text) == "this" || fold(toks[i+1].text) == "it" || fold(toks[i+1].text) == "da"):
			t = token{kind: isRange, text: t.text, from: above, to: below}
			i++
		case t.kind == isWord && slices.Contains(rests, fold(t.text)) && closedRange(out) && !anyRange(toks[i:]):
			t = token{kind: isRange, text: t.text, from: above, to: below}
		}
		out = append(out, t)
	}
	return out
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

// counts tells whether a range counts programs and the like: "11-255 program 1-16".
func counts(before []token, t token) bool {
	if n := len(before); n > 0 && before[n-1].kind == isWord && slices.Contains([]string{"by", "durch", "per", "slots", "channels", "of", "von", "with"}, fold(before[n-1].text)) && t.from > 0 {
		return slices.ContainsFunc(before, func(b token) bool { return b.kind == isRange && b.to >= t.from })
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
			if i > 0 && list[i-1].to >= 0 {
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
