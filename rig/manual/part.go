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
		if slices.Contains([]string{"keep", "leave", "stay", "lassen", "bleiben", "laisser", "dejar", "laten", "afblijven", "lasciare", "laissez", "deja"}, fold(toks[i].text)) {
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
			return toks[i].kind == isWord || step > 0 && (toks[i].kind == isNumber || toks[i].kind == isAmount)
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
		if t.kind == isBreak && strings.Contains(":=(\n,;/", t.text) && len(nonBreaks(toks[i+1:at[0]])) > 0 || t.kind == isBreak && t.text == "  " && len(nonBreaks(toks[i+1:at[0]])) > 0 {
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
	if last := &out[len(out)-1]; len(nonBreaks(last.toks)) == 0 && len(nonBreaks(toks[from:])) > 0 {
		last.toks = toks[from:] // "above that on again"
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
