package manual

import (
	"regexp"
	"slices"
	"strconv"
	"strings"
)

// entry is one slot, or a few in a row, as the text has them: what follows until the next.
type entry struct {
	slots []int
	line  int
	toks  []token
	gap   bool // "and so on" stands between it and the one before
}

// plan is a mode as the text has it.
type plan struct {
	heading heading
	entries []entry
}

// heading is a line that begins a mode.
type heading struct {
	name  string // as the text has it; "" without
	count int    // slots, as it says; 0 without
	line  int
	toks  []token
	whole bool // a mode's name stands in it, not a count alone
}

// rows goes through the lines and files each under its slot.
type rows struct {
	plans   []plan
	pending *heading
	cur     *entry // takes what follows
	blank   bool   // a blank line stands before this one
	noted   bool   // the line before this one belongs to no slot
	gap     bool
	titles  []token // of lines before the first slot and of headings
	notes   [][]token
	after   []heading // that nothing followed
	lines   []line
	i       int
	left    []line       // that look like a slot's, and are filed nowhere
	mixed   bool         // slots stand in any order
	said    map[int]bool // lines that somebody says in a chat
	amended []amendment
	asides  int // lines that were looked at for more of slots before them
}

// walk goes through the lines.
func walk(lines []line, said map[int]bool) *rows {
	r := &rows{said: said, lines: offsets(fromNought(endPairs(initials(countedUp(namesFirst(inline(footnotes(sides(slashes(dashes(ordinalLines(lines))))))))))))}
	r.mixed = mixed(r.lines)
	for r.i = 0; r.i < len(r.lines); r.i++ {
		r.take(r.lines[r.i])
	}
	if r.pending != nil {
		r.after = append(r.after, *r.pending)
	}
	return r
}

// take files one line.
func (r *rows) take(l line) {
	toks := scan(strings.TrimSpace(strings.ReplaceAll(l.text, "\t", "   ")))
	if len(toks) == 0 {
		r.blank, r.noted = true, false
		return
	}
	if pageEnd.MatchString(l.text) {
		return
	}
	defer func() { r.blank = false }()
	if more.MatchString(l.text) && r.lead(toks) == nil {
		r.gap = true
		return
	}
	noted := r.noted
	r.noted = false
	lead := r.lead(toks)
	if lead != nil && lead.slots[0] > 1 && lead.slots[0] < r.expected() && (r.corrected(l) || r.cur != nil && r.cur.slots[0] != lead.slots[0]) && !r.mixed && r.amends(toks, l) {
		return
	}
	if lead != nil {
		r.begin(lead, l, toks)
		return
	}
	if r.below(toks, l) {
		return
	}
	if r.amends(toks, l) {
		r.notes = append(r.notes, toks)
		return
	}
	if h := headingOf(toks, l); h != nil && (!r.continues(toks) || h.count > 0 && len(nonBreaks(toks)) <= 8 && r.slotFollows()) {
		r.heading(h)
		return
	}
	if !(inWords(toks) && (noted || r.said[l.number])) && r.continues(toks) {
		if r.full() {
			return
		}
		r.cur.toks = append(r.cur.toks, token{kind: isBreak, text: "\n"})
		r.cur.toks = append(r.cur.toks, toks...)
		return
	}
	if len(r.plans) == 0 {
		r.titles = append(r.titles, toks...)
	}
	r.notes, r.noted = append(r.notes, toks), true
	if len(r.plans) > 0 && speaksOfSlots(toks) {
		r.left = append(r.left, l)
	}
}

// inWords tells whether a line begins with a word in small letters, as one that goes on with the line before.
func inWords(toks []token) bool {
	t := lessBreaks(toks)
	return len(t) > 0 && t[0].kind == isWord && unicodeLower(t[0].text)
}

// speaksOfSlots tells whether a line that is filed nowhere may change what slots do: it names kinds of light,
// or what slots are for, or slots themselves.
func speaksOfSlots(toks []token) bool {
	if slices.ContainsFunc(toks, func(t token) bool { return t.kind == isSlots || t.kind == isCount }) {
		return true
	}
	n := 0
	for _, t := range toks {
		if isLight(t.senses) && t.slip == "" || t.is("strobe", "shutter", "program", "dim", "master", "open", "closed", "only") && t.slip == "" || t.kind == isRange {
			n++
		}
	}
	return n > 1
}

var pageEnd = regexp.MustCompile(`(?i)^\W*(?:(?:page|seite|pagina|página|p\.|s\.) ?\d+(?: ?(?:/|of|von|de) ?\d+)?|(?:continued|fortsetzung|suite|continuación)(?: .{0,20})?)\W*$`)

var more = regexp.MustCompile(`(?i)\band so on\b|\betc\b|\busw\b|\bu\. ?s\. ?w\b|^\s*(?:\.{2,}|\.\s*\.\s*\.|:|\|)\s*$|\bund so weiter\b|\bcontinu(?:es|ing)\b|^\s*\.{3}|\bet ainsi de suite\b|\by as[ií] sucesivamente\b`)

// begin begins a slot, and with slot 1 a mode.
func (r *rows) begin(lead *lead, l line, toks []token) {
	toks = lessBreaks(toks)[lead.n:]
	first := lead.slots[0]
	p := r.open()
	if p == nil || !r.mixed && first == 1 && len(p.entries) > 0 && p.entries[0].slots[0] == 1 && !r.repeats(lead) {
		h := heading{line: l.number}
		if r.pending != nil {
			h = *r.pending
		}
		r.plans = append(r.plans, plan{heading: h})
		r.pending = nil
		p = &r.plans[len(r.plans)-1]
	}
	if r.cur != nil && r.repeats(lead) && r.full() {
		return
	}
	if r.cur != nil && len(p.entries) > 0 && r.repeats(lead) && r.goesOn(toks) {
		if turned := rangeFirst(toks); len(turned) > 0 && len(toks) > 0 && turned[0].kind == isRange && toks[0].kind != isRange {
			if n := nonBreaks(r.cur.toks); n[len(n)-1].kind == isRange {
				r.cur.toks = rangeFirst(r.cur.toks) // it has words before its range too
			}
			toks = turned
		}
		r.cur.toks = append(append(r.cur.toks, token{kind: isBreak, text: "\n"}), toks...)
		return
	}
	own, rest := r.cutAtNext(lead.slots[len(lead.slots)-1], toks)
	p.entries = append(p.entries, entry{slots: lead.slots, line: l.number, toks: own, gap: r.gap})
	r.cur, r.gap = &p.entries[len(p.entries)-1], false
	if rest != nil {
		if next := r.lead(rest); next != nil {
			r.begin(next, l, rest)
		}
	}
}

// rangeFirst puts the words before the only range of a row behind it: they are of that range, and not of the
// one in the row above.
func rangeFirst(toks []token) []token {
	at := -1
	for i, t := range toks {
		if t.kind != isRange {
			continue
		}
		if at >= 0 {
			return toks
		}
		at = i
	}
	if at <= 0 || len(nonBreaks(toks[:at])) == 0 {
		return toks
	}
	out := append([]token{toks[at], {kind: isBreak, text: ":"}}, toks[:at]...)
	return append(append(out, token{kind: isBreak, text: ","}), toks[at+1:]...)
}

// cutAtNext ends a slot where the next begins in the same line.
func (r *rows) cutAtNext(last int, toks []token) (own, rest []token) {
	for i, t := range toks {
		if i == 0 || toks[i-1].kind != isBreak || i+1 >= len(toks) {
			continue
		}
		switch t.kind {
		case isSlots:
			if t.slots[0] == last+1 && strings.Contains(",;|/  .)", toks[i-1].text) {
				return toks[:i], toks[i:]
			}
		case isNumber:
			if t.from != last+1 || !strings.Contains(",;|/  ", toks[i-1].text) {
				continue
			}
			n := toks[i+1]
			if n.kind == isWord && n.senses != nil || n.kind == isBreak && strings.Contains(".):=", n.text) {
				if !slices.ContainsFunc(toks[:i], func(t token) bool { return t.kind == isRange && !(t.from == 0 && t.to == 255) }) {
					return toks[:i], toks[i:]
				}
			}
		}
	}
	return toks, nil
}

func nonBreaks(toks []token) (out []token) {
	for _, t := range toks {
		if t.kind != isBreak {
			out = append(out, t)
		}
	}
	return out
}

func splitLines(toks []token) (out [][]token) {
	from := 0
	for i, t := range toks {
		if t.kind == isBreak && t.text == "\n" {
			out = append(out, toks[from:i])
			from = i + 1
		}
	}
	return append(out, toks[from:])
}

func hasSense(toks []token, s ...sense) bool {
	return slices.ContainsFunc(toks, func(t token) bool { return t.is(s...) })
}

func textOf(toks []token) string {
	var b strings.Builder
	for i, t := range toks {
		if i > 0 && t.kind != isBreak && toks[i-1].kind != isBreak {
			b.WriteString(" ")
		}
		if t.kind == isBreak && (t.text == "  " || t.text == "\n") {
			b.WriteString(" ")
		} else {
			b.WriteString(t.text)
		}
		if t.index > 0 && !t.glued {
			b.WriteString(" " + strconv.Itoa(t.index))
		}
	}
	return strings.Join(strings.Fields(b.String()), " ")
}
