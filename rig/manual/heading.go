package manual

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

var (
	modeWord   = regexp.MustCompile(`(?i)\b(?:mode|modus|modo|personality|personalities|betriebsart|pers)\b`)
	modeName   = regexp.MustCompile(`(?i)\b(?:mode|modus|modo|personality|betriebsart)\b[ :#.]*([A-Za-z]{0,3}[ -]?\d{0,3}[A-Za-z]{0,3})(?:\b|$)`)
	kindMode   = regexp.MustCompile(`(?i)\b(?:basic|extended|standard|full|simple|advanced|normal|expert|compact|short|long|complete) mode$`)
	bitMode    = regexp.MustCompile(`(?i)^mode \d{1,2}[ -]?bit\b`)
	joinedMode = regexp.MustCompile(`(?i)\b(mode|modus|modo)(\d)`)
	shortName  = regexp.MustCompile(`^\s*([A-Z]{1,3}\d{1,2})\s*[:(=-]`)
	quotedName = regexp.MustCompile(`"([^"]{1,24})"`)
	countNames = regexp.MustCompile(`(?i)(\d{1,3}) ?-? ?(ch(?:annels?|s)?|chan|kanal|kanäle|kanale|slots?|canaux|canal|canales|canali|canale|kanalen|kanaele|kanaal|kan|voies)\b\.?`)
	lists      = regexp.MustCompile(`(?i)\d{1,3} ?(?:/|,|&|und|and|or|oder|et|ou|\+) ?\d{1,3} ?(?:/|,|and|und|or)? ?(?:\d{1,3})? ?-? ?(?:ch|chan|channels?|kanal|kanäle|slots?|canaux|canales|dmx)`)
)

// headingOf reads a line that names a mode, or how many slots one has; nil for others.
func headingOf(toks []token, l line) *heading {
	text := joinedMode.ReplaceAllString(strings.TrimSpace(l.text), "$1 $2")
	if len(text) > 120 || lists.MatchString(text) {
		return nil
	}
	if m := countNames.FindStringIndex(text); m != nil && denied.MatchString(text[:m[0]]) {
		return nil
	}
	h := &heading{line: l.number, toks: toks}
	for _, t := range toks {
		if t.kind == isCount && h.count == 0 {
			h.count = t.from
		}
	}
	if m := quotedName.FindStringSubmatchIndex(text); m != nil && modeWord.MatchString(text[:m[0]]) {
		h.name, h.whole = text[m[2]:m[3]], true
		return h
	}
	if m := bitMode.FindString(text); m != "" {
		h.name, h.whole = m, true
		return h
	}
	if m := kindMode.FindString(text); m != "" && len(nonBreaks(toks)) < 8 {
		h.name, h.whole = m, true
		return h
	}
	if m := modeName.FindStringSubmatch(text); m != nil {
		name := strings.TrimSpace(m[1])
		if name != "" && (strings.ContainsAny(name, "0123456789") || len(name) == 1 || strings.ToUpper(name) == name) {
			if n := countNames.FindString(text); h.count > 0 && strings.HasPrefix(strings.ToLower(n), strings.ToLower(name)) {
				h.name = n
			} else {
				h.name = strings.TrimSpace(m[0])
			}
			h.whole = true
			return h
		}
	}
	if m := shortName.FindStringSubmatch(text); m != nil && h.count > 0 {
		h.name, h.whole = m[1], true
		return h
	}
	if h.count > 0 {
		h.name = strings.TrimRight(countNames.FindString(text), ". ")
		h.whole = modeWord.MatchString(text)
		return h
	}
	return nil
}

// heading takes a heading: it waits for its slots, unless it brings them.
func (r *rows) heading(h *heading) {
	if r.pending != nil {
		r.after = append(r.after, *r.pending)
	}
	r.titles = append(r.titles, h.toks...)
	if r.goesOnWith(h) {
		return
	}
	r.pending, r.cur = h, nil
	rest := afterCount(h.toks)
	if one := h.count == 1 && hasSense(rest, "dim", "strobe", "uv", "white", "program"); one && !r.slotFollows() {
		r.brings([][]token{rest}, h.line)
	} else if list := listed(rest); h.count > 1 && len(list) == h.count && !r.slotFollows() && !h.titles(rest) {
		r.brings(list, h.line)
	}
}

// titles tells whether a heading is what a lamp is called, "bar 12 x 3 W, 3 channel RGB", and no mode.
func (h *heading) titles(rest []token) bool {
	return !h.whole && len(nonBreaks(rest)) == 1 && len(nonBreaks(h.toks)) > 4
}

// brings files the slots that a heading brings itself, or the line below it.
func (r *rows) brings(list [][]token, at int) {
	p := plan{heading: *r.pending}
	for i := range list {
		p.entries = append(p.entries, entry{slots: []int{i + 1}, line: at, toks: list[i]})
	}
	r.plans, r.pending, r.cur = append(r.plans, p), nil, nil
}

// below takes a line below a heading that lists as many slots as that says: "dim, r, g, b".
func (r *rows) below(toks []token, l line) bool {
	if r.pending == nil || r.pending.count < 2 || labelled(l.text) {
		return false
	}
	list := listed(toks)
	if len(list) != r.pending.count { // by gaps alone
		list = nil
		from := 0
		for i, t := range append(slices.Clone(toks), token{kind: isBreak, text: "  "}) {
			if t.kind == isBreak && t.text == "  " {
				if i > from {
					list = append(list, toks[from:i])
				}
				from = i + 1
			}
		}
	}
	if len(list) != r.pending.count {
		return false
	}
	r.brings(list, l.number)
	return true
}

// afterCount is what stands behind the count of slots.
func afterCount(toks []token) []token {
	for i, t := range toks {
		if t.kind == isCount {
			rest := toks[i+1:]
			for len(rest) > 0 && (rest[0].kind == isBreak || rest[0].kind == isWord && rest[0].senses == nil && modeWord.MatchString(rest[0].text)) {
				rest = rest[1:]
			}
			return rest
		}
	}
	return nil
}

// listed takes a list of slots apart: "dimmer, red, green, blue", "RGBW".
func listed(toks []token) (out [][]token) {
	from := 0
	add := func(part []token) {
		n := nonBreaks(part)
		if len(n) == 1 && len(n[0].senses) > 1 && isLight(n[0].senses) {
			for _, s := range n[0].senses {
				out = append(out, []token{{kind: isWord, text: string(s), senses: []sense{s}}})
			}
		} else if len(n) > 0 {
			out = append(out, part)
		}
	}
	depth := 0
	for i, t := range toks {
		switch t.text {
		case "(":
			depth++
		case ")":
			depth--
		}
		if depth > 0 {
			continue
		}
		if t.kind == isBreak && strings.Contains(",;/+-|", t.text) || t.kind == isWord && (fold(t.text) == "and" || fold(t.text) == "und") {
			add(toks[from:i])
			from = i + 1
		}
	}
	add(toks[from:])
	return out
}

// slotFollows tells whether the next line with words begins slot 1.
func (r *rows) slotFollows() bool {
	for _, l := range r.lines[min(r.i+1, len(r.lines)):] {
		toks := lessBreaks(scan(strings.TrimSpace(l.text)))
		if len(toks) == 0 {
			continue
		}
		switch t := toks[0]; t.kind {
		case isSlots:
			return t.slots[0] == 1
		case isNumber:
			return t.from == 1
		}
		if !labelled(l.text) {
			return false
		}
	}
	return false
}

// labelled tells whether a line is the head of a table.
func labelled(s string) bool { return known(columnTexts(s)) >= 2 }

func columnTexts(s string) []string {
	return strings.FieldsFunc(s, func(r rune) bool { return r == '\t' || r == '|' || r == ' ' })
}

// name names a mode that has slots: as the text has it, or by their count.
func (p *plan) name(slots int) string {
	if p.heading.name != "" && (p.heading.whole || p.heading.count == slots) {
		return strings.TrimSpace(p.heading.name)
	}
	return fmt.Sprintf("%d channel", slots)
}

// shortK is a count of channels as one letter: "4K", "4 Kan.".
var shortK = regexp.MustCompile(`^(\d{1,3})(?:kanäle|kanaele|kanal|kanalen|kanaal|kan\.?|k|channels?|ch|slots?|can\.?|canaux|canales|canali|canal|canale)$`)

// SameName folds names of modes that mean the same: 6CH, 6 channel, 6-channel mode.
func SameName(name string) string {
	n := strings.NewReplacer(" ", "", "-", "", "model", "", "mode", "", "modus", "", "modo", "", "betriebsart", "", "personality", "").Replace(strings.ToLower(name))
	n = shortK.ReplaceAllString(n, "${1}k")
	if m := shortK.FindStringSubmatch(n); m != nil {
		return strings.TrimLeft(m[1], "0")
	}
	if m := countNames.FindStringSubmatch(n); m != nil {
		if k, err := strconv.Atoi(m[1]); err == nil {
			return strconv.Itoa(k)
		}
	}
	return n
}
