package manual

import (
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
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
	gap     bool
	titles  []token // of lines before the first slot and of headings
	notes   [][]token
	after   []heading // that nothing followed
	lines   []line
	i       int
	left    []line // that look like a slot's, and are filed nowhere
	mixed   bool   // slots stand in any order
}

var offset = regexp.MustCompile(`(?i)^\s*(?:(?:start |base )?(?:addr(?:ess)?|adresse|adr|channel|ch|slot|kanal|base)?\.?[ :]*)\(?(?:n|start|x|base|s)\)? ?(?:\+ ?(\d{1,3}))?\)? *([:=)| \t-].*)$`)

// offsets turns "N", "N+1" into slot numbers, where such lines count up.
func offsets(lines []line) []line {
	out := slices.Clone(lines)
	next := 0
	for i, l := range lines {
		m := offset.FindStringSubmatch(l.text)
		if m == nil {
			continue
		}
		n, _ := strconv.Atoi(m[1])
		if n != next {
			return lines
		}
		out[i].text = "CH" + strconv.Itoa(n+1) + "  " + m[2]
		next++
	}
	if next < 2 {
		return lines
	}
	return out
}

var counted = regexp.MustCompile(`(?i)^\s*(\d{1,3}) ?-?(?:ch|channel|kanal|canal|kanaal)\b[ .:)=-]*([\p{L}(].*)$`)

// countedUp turns "1CH Dimmer", "2CH Red" into slot numbers, where four or more such lines count
// up: modes of one slot, two, three and four are rare.
func countedUp(lines []line) []line {
	out := slices.Clone(lines)
	next := 1
	for i, l := range lines {
		m := counted.FindStringSubmatch(l.text)
		if m == nil {
			continue
		}
		n, _ := strconv.Atoi(m[1])
		if n != next {
			if next < 5 {
				return lines
			}
			continue
		}
		out[i].text = "CH" + m[1] + "  " + m[2]
		next++
	}
	if next < 5 {
		return lines
	}
	return out
}

var initial = regexp.MustCompile(`(?i)^\s*(?:k|c|d|s|nr|no|n°|nº|#)\.? ?(\d{1,3})\b[ :.)=-]*(.*)$`)

// initials turns "K1" and "no. 1" into slot numbers, where such lines count up.
func initials(lines []line) []line {
	out := slices.Clone(lines)
	next := 1
	for i, l := range lines {
		m := initial.FindStringSubmatch(l.text)
		if m == nil {
			continue
		}
		if n, _ := strconv.Atoi(m[1]); n == next {
			out[i].text = "CH" + m[1] + "  " + m[2]
			next++
		} else if n != 1 {
			return lines
		} else {
			out[i].text = "CH1  " + m[2]
			next = 2
		}
	}
	if next < 3 {
		return lines
	}
	return out
}

// inline breaks a line that has many slots, or several modes, into as many.
func inline(lines []line) (out []line) {
	for _, l := range lines {
		at := slotStarts(l.text)
		if len(at) < 3 || ledBySlot(l.text[:at[0][0]]) {
			at = modeStarts.FindAllStringIndex(l.text, -1)
			if len(at) < 2 {
				out = append(out, l)
				continue
			}
		}
		from := 0
		for _, a := range at {
			if head := strings.TrimSpace(l.text[from:a[0]]); head != "" {
				out = append(out, line{l.number, head})
			}
			from = a[0]
		}
		out = append(out, line{l.number, l.text[from:]})
	}
	return out
}

var (
	noteMark = regexp.MustCompile(`^(.*[\p{L}\d)])\s+\(?(\d|\*{1,3})\)\s*$`)
	noteText = regexp.MustCompile(`^\s*\(?(\d|\*{1,3})\)\s+(.*)$`)
)

// footnotes puts what stands below a table as "2) ..." behind the lines that end in "2)".
func footnotes(lines []line) []line {
	out := slices.Clone(lines)
	at := map[string]int{}
	for i, l := range lines {
		if m := noteMark.FindStringSubmatch(l.text); m != nil {
			at[m[2]] = i
		}
	}
	for i, l := range lines {
		m := noteText.FindStringSubmatch(l.text)
		if m == nil {
			continue
		}
		if k, marked := at[m[1]]; marked && k < i {
			out[k].text = noteMark.FindStringSubmatch(lines[k].text)[1] + "  " + m[2]
			out[i].text = ""
		}
	}
	return out
}

// ledBySlot tells whether a line begins with a slot's number before its first inline one.
func ledBySlot(before string) bool {
	t := nonBreaks(scan(strings.TrimSpace(before)))
	return len(t) > 0 && (t[0].kind == isNumber || t[0].kind == isSlots)
}

var (
	modeStarts = regexp.MustCompile(`(?i)(?:mode|modus|personality|betriebsart) \w{1,4} ?\(\d{1,3} ?-?(?:ch|channels?|kanal|kanäle|slots?)\)`)
	slotStart  = regexp.MustCompile(`(?i)(?:^|[\s,;/|(.])((?:ch|channel|slot|kanal|dmx|canal|k|c)[ .]*(\d{1,3})|(\d{1,3}))(?:[ ):=.-]+)[\p{L}(]`)
)

// slotStarts finds where slots 1, 2, 3 and so on begin within one line.
func slotStarts(text string) (at [][]int) {
	next, named := 1, false
	for from := 0; from < len(text); {
		m := slotStart.FindStringSubmatchIndex(text[from:])
		if m == nil {
			return at
		}
		k := 3
		if m[4] >= 0 {
			k = 2
		}
		n, _ := strconv.Atoi(text[from+m[2*k] : from+m[2*k+1]])
		if n == next && (k == 2 || !named || from+m[0] > 0 && strings.HasSuffix(strings.TrimSpace(text[:from+m[6]]), ",")) {
			named = named || k == 2
			at = append(at, []int{from + m[2], from + m[3]})
			next++
		}
		from += m[3]
	}
	return at
}

// mixed tells whether the lines that name their slot name each from 1 on once, in another
// order.
func mixed(lines []line) bool {
	var all []int
	for _, l := range lines {
		if t := lessBreaks(scan(strings.TrimSpace(l.text))); len(t) > 0 && t[0].kind == isSlots && len(t[0].slots) == 1 {
			all = append(all, t[0].slots[0])
		}
	}
	if len(all) < 3 || slices.IsSorted(all) {
		return false
	}
	slices.Sort(all)
	for i, n := range all {
		if n != i+1 {
			return false
		}
	}
	return true
}

// walk goes through the lines.
func walk(lines []line) *rows {
	r := &rows{lines: offsets(initials(countedUp(namesFirst(inline(footnotes(lines))))))}
	r.mixed = mixed(r.lines)
	for r.i = 0; r.i < len(r.lines); r.i++ {
		r.take(r.lines[r.i])
	}
	if r.pending != nil {
		r.after = append(r.after, *r.pending)
	}
	return r
}

// namesFirst turns lines as "R1 = 1" and "red ..... 4" round, where such lines count up.
func namesFirst(lines []line) []line {
	type found struct {
		at, slot int
		name     string
	}
	var all []found
	for i, l := range lines {
		text, more := strings.TrimSpace(l.text), ""
		if b := bracketed.FindStringSubmatch(text); b != nil && nameFirst.MatchString(strings.TrimSpace(b[1]+b[3])) {
			text, more = strings.TrimSpace(b[1]+b[3]), b[2]+b[4]
		}
		m := nameFirst.FindStringSubmatch(text)
		if m == nil || leadingNumber.MatchString(l.text) {
			continue
		}
		n, _ := strconv.Atoi(m[2])
		all = append(all, found{i, n, strings.TrimRight(m[1], " .") + "  " + more})
	}
	up := 0
	for k := 1; k < len(all); k++ {
		if all[k].slot == all[k-1].slot+1 {
			up++
		}
	}
	if len(all) < 3 || up < 2 || up*3 < len(all)*2-4 {
		return lines
	}
	out := slices.Clone(lines)
	for _, f := range all {
		out[f.at].text = "CH" + strconv.Itoa(f.slot) + "  " + f.name
	}
	return out
}

var (
	bracketed     = regexp.MustCompile(`(?i)^(.*?\d) *(\([^)]*\)?)$|^(.*?(?:channel|ch|kanal|slot)[ .]*\d{1,3})[,;:.] +(.*)$`)
	nameFirst     = regexp.MustCompile(`(?i)^([\p{L}][\p{L}\d .+/()-]{0,40}?)(?: ?[=:] ?| ?\.{3,} ?| {2,}|\t+| - | \(?)(?:(?:channel|ch|kanal|slot|dmx|canal)[ .]*)?(\d{1,3})\)?$`)
	leadingNumber = regexp.MustCompile(`(?i)^\s*(?:ch|channel|kanal|slot|dmx|canal)?[ .]*\d`)
)

// take files one line.
func (r *rows) take(l line) {
	toks := scan(strings.TrimSpace(strings.ReplaceAll(l.text, "\t", "   ")))
	if len(toks) == 0 {
		r.blank = true
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
	if lead := r.lead(toks); lead != nil {
		r.begin(lead, l, toks)
		return
	}
	if h := headingOf(toks, l); h != nil && !r.continues(toks) {
		r.heading(h)
		return
	}
	if r.continues(toks) {
		r.cur.toks = append(r.cur.toks, token{kind: isBreak, text: "\n"})
		r.cur.toks = append(r.cur.toks, toks...)
		return
	}
	if len(r.plans) == 0 {
		r.titles = append(r.titles, toks...)
	}
	r.notes = append(r.notes, toks)
	if anyRange(toks) && hasSense(toks, "strobe", "shutter", "program", "dim", "open", "closed") && !slices.ContainsFunc(toks, func(t token) bool { return t.kind == isSlots }) && !sentence(toks) && len(r.plans) > 0 {
		r.left = append(r.left, l)
	}
}

var pageEnd = regexp.MustCompile(`(?i)^\W*(?:(?:page|seite|pagina|página|p\.|s\.) ?\d+(?: ?(?:/|of|von|de) ?\d+)?|(?:continued|fortsetzung|suite|continuación)(?: .{0,20})?)\W*$`)

var more = regexp.MustCompile(`(?i)\band so on\b|\betc\b|\busw\b|\bu\. ?s\. ?w\b|^\s*(?:\.{2,}|\.\s*\.\s*\.|:|\|)\s*$|\bund so weiter\b|\bcontinu(?:es|ing)\b|^\s*\.{3}|\bet ainsi de suite\b|\by as[ií] sucesivamente\b`)

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

var leadingAmount = regexp.MustCompile(`^(\d{1,3}) ?/?$`)

// several tells whether words name as many kinds of light as there are slots, or a pair.
func (r *rows) several(toks []token, n int) bool {
	kinds := 0
	for _, t := range toks[1:] {
		if isLight(t.senses) {
			kinds += len(t.senses)
		}
		if t.kind == isRange {
			return false
		}
	}
	return kinds == n || n == 2 && hasSense(toks, "fine", "coarse") || n == 2 && strings.Contains(textOf(toks), "16")
}

func lessBreaks(toks []token) []token {
	for len(toks) > 0 && toks[0].kind == isBreak && !strings.Contains("<>=", toks[0].text) {
		toks = toks[1:]
	}
	return toks
}

// verbs follow slots that a note speaks of.
var verbs = regexp.MustCompile(`(?i)^(?:have|has|had|work|works|haben|hat|no longer|when|if|are|can|must|will|does|do|only|wenn|nur|then|need|needs|funktionieren|sind|muss|müssen|overrides?|stays?|wins?|schalten|gilt|gehen|must)$`)

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
	if r.cur != nil && len(p.entries) > 0 && r.repeats(lead) && r.goesOn(toks) {
		r.cur.toks = append(r.cur.toks, token{kind: isBreak, text: "\n"})
		r.cur.toks = append(r.cur.toks, toks...)
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

// repeats tells whether a line names the slot that is open again: a row for each range.
func (r *rows) repeats(lead *lead) bool {
	return r.cur != nil && slices.Equal(lead.slots, r.cur.slots)
}

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

// continues tells whether a line belongs to the slot that is open.
func (r *rows) continues(toks []token) bool {
	if r.cur == nil || r.pending != nil {
		return false
	}
	t := lessBreaks(toks)
	if len(t) == 0 {
		return true
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

func nonBreaks(toks []token) (out []token) {
	for _, t := range toks {
		if t.kind != isBreak {
			out = append(out, t)
		}
	}
	return out
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
