package manual

import (
	"fmt"
	"slices"
	"strings"
)

// amendment is a slot that a later line tells other than the line it stood in.
type amendment struct {
	plan, slot, line int
	was, is          string
}

// statement is what a sentence says of a slot.
type statement struct {
	slot  int
	toks  []token
	ends  bool // nothing follows: it says of which slot the next lines are
	equal bool // "4 = white", "CH5 is white"
}

// cues say that what was told before is wrong.
var cues = []string{"correction", "corrected", "sorry", "wrong", "wrongly", "actually", "swapped", "falsch", "vertauscht", "umgekehrt", "korrektur", "stimmt", "erreur", "inverse", "faux", "error", "reves", "equivocado", "sbagliato", "invertiti", "fout", "omgekeerd", "true", "newer"}

// amends files a line that tells more of slots which the open mode has: the values of one that had none yet,
// "on 6 under 16 nothing happens", or, where it says so, what they are instead: "sorry, 4 = white, 5 = blue".
func (r *rows) amends(toks []token, l line) bool {
	const mostSlots, mostLines, mostWords = 600, 400, 300 // real texts have fewer
	if len(r.plans) == 0 || len(toks) > mostWords || r.slots() > mostSlots || r.asides > mostLines {
		return false
	}
	r.asides++
	p := r.spokenOf(toks)
	used, lost := false, false
	subject := 0
	cue := slices.ContainsFunc(toks, func(t token) bool { return slices.Contains(cues, fold(t.text)) }) || r.corrected(l)
	var instead []statement
	for _, sentence := range sentences(toks) {
		list := p.statements(sentence)
		if t := lessBreaks(sentence); len(list) == 0 && subject > 0 && len(t) > 0 && t[0].kind == isRange {
			list = []statement{{slot: subject, toks: t}}
		}
		before := used
		if len(list) == 0 && subject == 0 && r.ofKind(sentence) {
			used = true
		}
		for _, s := range list {
			subject = s.slot
			e := p.entry(s.slot)
			switch {
			case e == nil:
			case s.ends && e.lacksValues():
				r.cur, r.pending, used = e, nil, true
			case anyRange(s.toks) && e.lacksValues() && !s.equal:
				e.toks = append(append(e.toks, token{kind: isBreak, text: "\n"}), unbracketed(s.toks)...)
				r.cur, r.pending, used = e, nil, true
			case cue && s.equal && !hasSense(s.toks, "not") && kindByWords(named(s.toks), nil) != unclear:
				instead = append(instead, s)
			}
		}
		lost = lost || !used && anyRange(sentence) || used && before && len(list) == 0 && anyRange(sentence)
	}
	if len(instead) > 0 && r.correct(p, instead, l) {
		used = true
	}
	if used && lost {
		r.left = append(r.left, l)
	}
	return used
}

// spokenOf is the mode that a line names by its count of slots; the last without.
func (r *rows) spokenOf(toks []token) *plan {
	of := &r.plans[len(r.plans)-1]
	for _, t := range toks {
		if t.kind != isCount {
			continue
		}
		for i := range r.plans {
			if r.plans[i].heading.count == t.from {
				of = &r.plans[i]
			}
		}
	}
	return of
}

// ofKind files values that stand behind what they are of, "strobe: 0-10 off, 11-255 slow to fast", under the only
// slot of each mode that is for it and has none.
func (r *rows) ofKind(toks []token) bool {
	name := named(lessBreaks(toks))
	for i, t := range name {
		if t.kind == isBreak && strings.Contains(":=", t.text) {
			name = name[:i]
			break
		}
	}
	k := kindOfPiece(has(name))
	if len(name) == len(toks) || len(nonBreaks(name)) > 4 || k != strobing && k != running || conditional(name) || slices.ContainsFunc(toks, func(t token) bool { return t.kind == isSlots }) {
		return false
	}
	if r.cur != nil && kindByWords(named(r.cur.toks), nil) == k {
		return false
	}
	used := false
	for i := range r.plans {
		var of []*entry
		for j := range r.plans[i].entries {
			if e := &r.plans[i].entries[j]; len(e.slots) == 1 && kindByWords(e.toks, nil) == k && e.lacksValues() {
				of = append(of, e)
			}
		}
		if len(of) == 1 {
			of[0].toks = append(append(slices.Clone(of[0].toks), token{kind: isBreak, text: "\n"}), toks[len(name):]...)
			used = true
			if i == len(r.plans)-1 && r.pending == nil {
				r.cur = of[0]
			}
		}
	}
	return used
}

// slots counts the entries of all modes.
func (r *rows) slots() (n int) {
	for i := range r.plans {
		n += len(r.plans[i].entries)
	}
	return n
}

// corrected tells whether the line before, of the same speaker, began a correction.
func (r *rows) corrected(l line) bool {
	return slices.ContainsFunc(r.amended, func(a amendment) bool { return a.line >= l.number-2 })
}

// correct files slots anew; a slot that another was takes over its values.
func (r *rows) correct(p *plan, list []statement, l line) bool {
	was := map[int][]token{}
	for _, e := range p.entries {
		if len(e.slots) == 1 {
			was[e.slots[0]] = e.toks
		}
	}
	done := false
	for _, s := range list {
		e := p.entry(s.slot)
		is := s.toks
		k, light := kindByWords(named(is), nil), emitters(has(named(is)))
		if k == kindByWords(named(e.toks), nil) && slices.Equal(light, emitters(has(named(e.toks)))) {
			continue // as it was
		}
		if !anyRange(is) {
			for _, other := range list {
				if o := was[other.slot]; o != nil && other.slot != s.slot && kindByWords(named(o), nil) == k && slices.Equal(light, emitters(has(named(o)))) {
					is = o
				}
			}
		}
		r.amended = append(r.amended, amendment{r.indexOf(p), s.slot, l.number, nameOf(named(e.toks)), nameOf(named(is))})
		e.toks, done = is, true
	}
	return done
}

func (r *rows) indexOf(p *plan) int {
	for i := range r.plans {
		if p == &r.plans[i] {
			return i
		}
	}
	return len(r.plans) - 1
}

// named is the words of a slot before its first values.
func named(toks []token) []token {
	for i, t := range toks {
		if t.kind == isRange || t.kind == isBreak && (t.text == "\n" || t.text == ",") && i > 0 {
			return toks[:i]
		}
	}
	return toks
}

// entry is the one of a slot alone; nil without.
func (p *plan) entry(slot int) *entry {
	for i := range p.entries {
		if e := &p.entries[i]; len(e.slots) == 1 && e.slots[0] == slot {
			return e
		}
	}
	return nil
}

// lacksValues tells whether a slot should have values, and none are told.
func (e *entry) lacksValues() bool {
	if slices.ContainsFunc(e.toks, func(t token) bool { return t.kind == isRange && !wholeRangeToken(t) }) {
		return false
	}
	switch kindByWords(e.toks, nil) {
	case strobing, running, dimming, unclear, minding, resting:
		return true
	}
	return false
}

// sentences takes a line apart at full stops.
func sentences(toks []token) (out [][]token) {
	from := 0
	for i, t := range toks {
		if t.kind == isBreak && strings.Contains(".!?", t.text) && strings.TrimSpace(t.text) != "" {
			out = append(out, toks[from:i+1])
			from = i + 1
		}
	}
	return append(out, toks[from:])
}

// pointers stand before a slot's bare number: "on 6", "keep 7 at zero".
var pointers = []string{"on", "auf", "bei", "en", "el", "sur", "su", "op", "keep", "leave", "set", "for", "fur"}

// statements are what a sentence says of slots that the mode has.
func (p *plan) statements(toks []token) (out []statement) {
	last := 0
	for _, e := range p.entries {
		last = max(last, e.slots[len(e.slots)-1])
	}
	open := false
	for i := 0; i < len(toks); i++ {
		t := toks[i]
		n, extra := 0, []token(nil)
		switch {
		case t.kind == isSlots && (conditional(toks[:i]) || i+1 < len(toks) && toks[i+1].kind == isWord && verbs.MatchString(toks[i+1].text) && !equals(toks, i)):
		case t.kind == isSlots && len(t.slots) == 1:
			n = t.slots[0]
		case t.kind == isSlots && t.slots[0] <= last && t.slots[len(t.slots)-1] > last: // "channel 7 to 9 off" of eight
			n, extra = t.slots[0], []token{{kind: isRange, text: t.text, from: above, to: t.slots[len(t.slots)-1]}}
		case t.kind == isWord && t.glued && hasWord(token{kind: isWord, text: strings.TrimRight(t.text, "0123456789")}, "k", "c") && !conditional(toks[:i]):
			n = t.index
		case t.kind == isNumber && t.from >= 1 && t.from <= last && (i > 0 && toks[i-1].kind == isWord && slices.Contains(pointers, fold(toks[i-1].text)) && !conditional(toks[:i-1]) || equals(toks, i) && (i == 0 || toks[i-1].kind == isBreak || hasWord(toks[i-1], "and", "und", "et", "y", "there", "da", "jetzt", "now"))):
			n = t.from
		}
		if n > 0 && n <= last {
			s := statement{slot: n, toks: extra, equal: extra == nil && equals(toks, i)}
			s.ends = len(nonBreaks(toks[i+1:])) == 0 && i+1 < len(toks)
			if s.equal {
				i++
			}
			out, open = append(out, s), true
			continue
		}
		if open {
			s := &out[len(out)-1]
			s.toks = append(s.toks, t)
		}
	}
	for i := range out {
		out[i].toks = trimmedEnds(out[i].toks)
	}
	return out
}

// equals tells whether what stands behind a slot's number says what it is.
func equals(toks []token, i int) bool {
	return i+2 < len(toks) && (toks[i+1].kind == isBreak && toks[i+1].text == "=" || hasWord(toks[i+1], "is", "ist", "est", "es", "its"))
}

func hasWord(t token, words ...string) bool {
	return t.kind == isWord && slices.Contains(words, fold(t.text))
}

// conditional tells whether words end in a condition: "if ch", "as long as".
func conditional(before []token) bool {
	for i := len(before) - 1; i >= 0 && len(before)-i <= 3; i-- {
		if f := fold(before[i].text); slices.Contains(conditions, f) || slices.Contains(whiles, f) {
			return true
		}
	}
	return false
}

// trimmedEnds takes signs and "and" off the end.
func trimmedEnds(toks []token) []token {
	for len(toks) > 0 && (toks[len(toks)-1].kind == isBreak && toks[len(toks)-1].text != ")" || hasWord(toks[len(toks)-1], "and", "und", "et", "y", "there")) {
		toks = toks[:len(toks)-1]
	}
	return toks
}

// unbracketed leaves out what stands in brackets behind values: it speaks of other slots.
func unbracketed(toks []token) (out []token) {
	depth, ranged := 0, false
	for _, t := range toks {
		switch {
		case t.text == "(":
			depth++
		case t.text == ")":
			depth = max(depth-1, 0)
		case depth == 0 || !ranged:
			out = append(out, t)
			ranged = ranged || t.kind == isRange
		}
	}
	return out
}

// askAmended asks for what was taken for a correction.
func (o *Reading) askAmended(r *rows) {
	for _, a := range r.amended {
		if a.plan < len(o.Modes) {
			o.ask(o.Modes[a.plan].Name, a.slot, fmt.Sprintf("line %d is taken to correct it: %q, and not %q", a.line, a.is, a.was))
		}
	}
}
