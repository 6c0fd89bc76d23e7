package manual

import (
	"regexp"
	"strconv"
	"strings"
)

// lead is what a line that begins a slot begins with: its numbers, and how many tokens
// they are; nil for any other line.
type lead struct {
	slots []int
	n     int
}

func (r *rows) lead(toks []token) *lead {
	toks = lessBreaks(toks)
	if len(toks) == 0 {
		return nil
	}
	t := toks[0]
	switch t.kind {
	case isSlots:
		if r.aside(toks) || !r.mixed && r.expected() == 1 && t.slots[0] > 1 && !r.countsUp(t.slots[len(t.slots)-1]) {
			return nil
		}
		return &lead{t.slots, 1}
	case isNumber:
		if r.isNext(toks, t.from) {
			return &lead{[]int{t.from}, 1}
		}
	case isRange: // "1-3 RGB", "1/2 dimmer 16 bit" without any word for slot
		if t.from == r.expected() && t.to > t.from && t.to-t.from < 40 && len(toks) > 1 && r.several(toks, t.to-t.from+1) {
			out := &lead{n: 1}
			for k := t.from; k <= t.to; k++ {
				out.slots = append(out.slots, k)
			}
			return out
		}
	case isWord: // "S  0-255" in a scan
		n, err := strconv.Atoi(misreadSlot.Replace(t.text))
		if err == nil && n == r.expected() && len(toks) > 2 && toks[1].kind == isBreak && toks[1].text == "  " && toks[2].kind == isRange {
			return &lead{[]int{n}, 1}
		}
	case isCount: // "1 channel: dimmer" is a heading, "1 Kanal Dimmer" too
	case isAmount:
		if m := leadingAmount.FindStringSubmatch(t.text); m != nil {
			n, _ := strconv.Atoi(m[1])
			if r.isNext(toks, n) {
				return &lead{[]int{n}, 1}
			}
		}
	}
	return nil
}

// misreadSlot are letters and pairs that a scan took for a slot's number.
var misreadSlot = strings.NewReplacer("O", "0", "o", "0", "Q", "0", "l", "1", "I", "1", "Z", "2", "S", "5", "s", "5", "G", "6", "b", "6", "B", "8", "g", "9")

var leadingAmount = regexp.MustCompile(`^(\d{1,3}) ?/?$`)

// several tells whether words name as many kinds of light as there are slots, or a pair.
func (r *rows) several(toks []token, n int) bool {
	kinds := 0
	for _, t := range toks[1:] {
		if isLight(t.senses) {
			kinds += len(t.senses)
		}
		if t.kind == isRange && !wholeRangeToken(t) {
			return false
		}
	}
	if saysSame(toks[1:]) {
		return true
	}
	return kinds == n || kinds == 2*n && n > 2 || n == 2 && hasSense(toks, "fine", "coarse") || n == 2 && strings.Contains(textOf(toks), "16")
}

func lessBreaks(toks []token) []token {
	for len(toks) > 0 && toks[0].kind == isBreak && !strings.Contains("<>=", toks[0].text) {
		toks = toks[1:]
	}
	return toks
}

// verbs follow slots that a note speaks of.
var verbs = regexp.MustCompile(`(?i)^(?:have|has|had|work|works|haben|hat|no longer|when|if|are|can|must|will|does|do|only|wenn|nur|then|need|needs|funktionieren|sind|muss|müssen|overrides?|stays?|wins?|schalten|gilt|gehen|must|n'agit|agit|n'affecte|affecte|affects?|doesn't|wirkt|beeinflusst|afecta|influisce)$`)

// aside tells whether a line that begins with slots only speaks of them.
func (r *rows) aside(toks []token) bool {
	if len(toks) < 2 || toks[1].kind != isWord {
		return false
	}
	return verbs.MatchString(toks[1].text) && r.expected() > toks[0].slots[0] && toks[0].slots[0] != 1
}

// expected is the slot that comes next.
func (r *rows) expected() int {
	if p := r.open(); p != nil && len(p.entries) > 0 {
		e := p.entries[len(p.entries)-1]
		return e.slots[len(e.slots)-1] + 1
	}
	return 1
}

// open is the mode that takes slots; nil when a heading waits for its own.
func (r *rows) open() *plan {
	if r.pending != nil || len(r.plans) == 0 {
		return nil
	}
	return &r.plans[len(r.plans)-1]
}

// isNext tells whether a bare number that begins a line is a slot's.
func (r *rows) isNext(toks []token, n int) bool {
	if n < 1 {
		return false
	}
	sign := ""
	if len(toks) > 1 && toks[1].kind == isBreak {
		sign = toks[1].text
	}
	p := r.open()
	switch {
	case n == r.expected():
		// A value that happens to be the next slot's number, inside a slot with other lone
		// values: "0 = off", "1 = on".
		return !(r.cur != nil && loneValues(r.cur.toks) && (sign == "=" || sign == ":"))
	case n == 1 && !r.insideRanges():
		return true
	case p != nil && r.cur != nil && n == r.cur.slots[len(r.cur.slots)-1]:
		return len(toks) > 1 && sign != "=" && sign != "-"
	case p == nil || len(p.entries) == 0:
		return r.countsUp(n)
	case p != nil && r.gap && n > r.expected():
		return true
	case p != nil && n > r.expected() && n <= r.expected()+1 && strings.Contains(").:  ", sign) && sign != "" && !r.insideRanges():
		return true
	case p != nil && n > r.expected() && n <= r.expected()+2 && sign == "-" && !r.insideRanges() && r.countsUp(n): // one is left out
		return true
	}
	return false
}

func loneValues(toks []token) bool {
	for i, t := range toks {
		if t.kind == isNumber && (i == 0 || toks[i-1].kind == isBreak) && i+1 < len(toks) && toks[i+1].kind == isBreak && strings.Contains("=:", toks[i+1].text) {
			return true
		}
	}
	return false
}

// insideRanges tells whether the ranges of the slot do not reach 255 yet.
func (r *rows) insideRanges() bool {
	if r.cur == nil {
		return false
	}
	top := -1
	for _, t := range r.cur.toks {
		if t.kind == isRange {
			top = max(top, t.to)
			if t.to == below {
				top = 255
			}
		}
	}
	return top >= 0 && top < 250
}

// countsUp tells whether the next line that begins with a number has the one after n: the
// table gives addresses, or begins late.
func (r *rows) countsUp(n int) bool {
	hits := 0
	for _, l := range r.lines[min(r.i+1, len(r.lines)):] {
		toks := lessBreaks(scan(strings.TrimSpace(l.text)))
		if len(toks) == 0 {
			continue
		}
		switch t := toks[0]; {
		case t.kind == isNumber && t.from == n+1+hits:
		case t.kind == isSlots && t.slots[0] == n+1+hits:
		case t.kind == isSlots && hits == 0 && t.slots[0] == n+1:
			hits++
		default:
			return false
		}
		if hits++; hits == 2 {
			return true
		}
	}
	return false
}
