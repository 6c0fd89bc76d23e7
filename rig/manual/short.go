package manual

import (
	"regexp"
	"slices"
	"strings"
)

// short is the slots of a mode that is told in short; nil where that is not certain.
func (o *Reading) short(b brief) []Slot {
	for _, read := range []func(brief) []Slot{o.onlySome, o.without, o.doubled, inARow, alone} {
		if slots := read(b); slots != nil {
			return slots
		}
	}
	return nil
}

// firstSentence is what stands before the first full stop.
func firstSentence(toks []token) []token {
	for i, t := range toks {
		if i > 0 && t.kind == isBreak && strings.Contains(".!;", t.text) {
			return toks[:i]
		}
	}
	return toks
}

// inARow reads as many kinds of light in a row as the mode has slots.
func inARow(b brief) []Slot {
	var run, found [][]token
	times := 0
	close := func() {
		if len(run) == b.count {
			found = run
			times++
		}
		run = nil
	}
	toks := firstSentence(b.toks)
	small := smallLetters(toks)
	for i, t := range toks {
		switch senses := t.senses; {
		case t.kind == isWord && small[i] != "":
			run = append(run, []token{{kind: isWord, text: string(small[i]), senses: []sense{small[i]}}})
		case t.kind == isWord && t.slip == "" && (isLight(senses) || t.is("dim", "master")):
			if isLight(senses) && len(senses) > 1 {
				for _, s := range senses {
					run = append(run, []token{{kind: isWord, text: string(s), senses: []sense{s}}})
				}
				continue
			}
			run = append(run, []token{t})
		case t.kind == isBreak && strings.Contains(",/+-  ", t.text), hasWord(t, "and", "und", "et", "y", "e", "en"):
		default:
			close()
		}
	}
	close()
	if times != 1 || b.count < 2 {
		return nil
	}
	var out []Slot
	seen := map[string]bool{}
	for i, word := range found {
		s := readSlot(entry{slots: []int{i + 1}, line: b.line}, word, false)
		what := s.Drives + strings.Join(s.Dims, ",")
		if s.kind != driving && s.kind != dimming || seen[what] {
			return nil
		}
		seen[what] = true
		out = append(out, s)
	}
	return out
}

// smallLetters are kinds of light as single small letters, three or more in a row: "r g w b".
func smallLetters(toks []token) map[int]sense {
	out := map[int]sense{}
	var run []int
	close := func() {
		if len(run) < 3 {
			for _, i := range run {
				delete(out, i)
			}
		}
		run = nil
	}
	for i, t := range toks {
		switch {
		case t.kind == isWord && len(t.text) == 1 && letters[rune(t.text[0])] != "":
			out[i] = letters[rune(t.text[0])]
			run = append(run, i)
		case t.kind == isWord && t.text == "uv":
			out[i] = "uv"
			run = append(run, i)
		case t.kind == isBreak:
		default:
			close()
		}
	}
	close()
	return out
}

// alone reads the only slot of a mode: "1 ch is only the dimmer".
func alone(b brief) []Slot {
	toks := firstSentence(b.toks)
	if b.count != 1 || anyRange(toks) || len(nonBreaks(toks)) > 14 {
		return nil
	}
	senses := has(toks)
	if k := kindOfPiece(senses); (k != dimming && k != driving) || anyOf(senses, "strobe", "program", "sound", "not", "off") {
		return nil
	}
	var own []token
	for _, t := range toks {
		if isLight(t.senses) || t.is("dim", "master") {
			own = append(own, t)
		}
	}
	return []Slot{readSlot(entry{slots: []int{1}, line: b.line}, own, false)}
}

var (
	sameAs   = regexp.MustCompile(`(?i)\b(?:same|mismo|misma|igual|gleiche[nrs]?|gleich|wie|même|pareil|comme|stesso|uguale|hetzelfde|zelfde|like|identical|as)\b`)
	withOut  = regexp.MustCompile(`(?i)\b(?:without|ohne|sans|sin|senza|zonder|minus|lacks|less)\b`)
	twoEach  = regexp.MustCompile(`(?i)\b(?:two|2|zwei|deux|dos|due|twee|pairs? of)\b[^.;]{0,12}\b(?:addresses|channels?|ch|slots?|adressen|kanäle|adresses|canaux|direcciones|canales|indirizzi|canali|kanalen)\b|\b16[ -]?bit\b`)
	lowFirst = regexp.MustCompile(`(?i)\b(?:low|fine|lsb)(?: byte)? first\b`)
	topFirst = regexp.MustCompile(`(?i)\b(?:high|coarse|msb)(?: byte)? first\b|\bcoarse\b.{1,12}\bfine\b|\band ?\+ ?1\b`)
)

// onlySome takes slots of another mode from one number to another: "the same but only 2 to 7".
func (o *Reading) onlySome(b brief) []Slot {
	toks := firstSentence(b.toks)
	if !sameAs.MatchString(textOf(toks)) && !hasSense(toks, "only") {
		return nil
	}
	for _, t := range toks {
		if t.kind != isRange && t.kind != isSlots {
			continue
		}
		from, to := t.from, t.to
		if t.kind == isSlots {
			from, to = t.slots[0], t.slots[len(t.slots)-1]
		}
		m := o.spoken(textOf(toks))
		if from < 1 || to-from+1 != b.count || to > m.footprint() {
			continue
		}
		return m.copyOf(func(s *Slot) bool { return s.Coarse >= from && s.Coarse <= to && s.Fine == 0 }, b)
	}
	return nil
}

// without takes another mode but for what the text says that it has not: "like 8 ch without the strobe".
func (o *Reading) without(b brief) []Slot {
	text := textOf(firstSentence(b.toks))
	at := withOut.FindStringIndex(text)
	if at == nil || !sameAs.MatchString(text[:at[0]]) {
		return nil
	}
	gone := pieces(scan(text[at[1]:]))
	return o.spoken(text[:at[0]]).copyOf(func(s *Slot) bool {
		return !slices.ContainsFunc(gone, func(p []token) bool {
			senses := has(p)
			k, light := kindOfPiece(senses), emitters(senses)
			if k == resting || k == unclear || k != s.kind {
				return k == resting && s.kind == resting
			}
			return len(light) == 0 || slices.Contains(light, sense(s.Drives))
		})
	}, b)
}

// copyOf is the slots of a mode that are kept, numbered anew; nil where they are not as many as the mode is to have.
func (m *Mode) copyOf(kept func(*Slot) bool, b brief) (out []Slot) {
	for i := range m.Slots {
		s := m.Slots[i]
		if !kept(&s) {
			continue
		}
		s.Coarse, s.Line, s.ask = len(out)+1, b.line, nil
		s.Ranges, s.told, s.Dims = slices.Clone(s.Ranges), slices.Clone(s.told), slices.Clone(s.Dims)
		out = append(out, s)
	}
	if len(out) != b.count {
		return nil
	}
	return out
}

// doubled takes two slots for each of another mode, coarse and fine.
func (o *Reading) doubled(b brief) []Slot {
	text := b.name + " " + textOf(b.toks)
	if !twoEach.MatchString(text) {
		return nil
	}
	for i := range o.Modes {
		m := &o.Modes[i]
		if m.footprint()*2 != b.count || slices.ContainsFunc(m.Slots, func(s Slot) bool { return s.Fine > 0 || s.Drives == "" && len(s.Dims) == 0 }) {
			continue
		}
		out := m.copyOf(func(*Slot) bool { return true }, brief{count: len(m.Slots), line: b.line})
		for k := range out {
			s := &out[k]
			s.Coarse, s.Fine = 2*s.Coarse-1, 2*s.Coarse
			if lowFirst.MatchString(text) {
				s.Coarse, s.Fine = s.Fine, s.Coarse
			}
		}
		if !lowFirst.MatchString(text) && !topFirst.MatchString(text) && len(out) > 0 {
			out[0].ask = append(out[0].ask, "the text does not say which of two slots is the coarse one: the first is taken for it")
		}
		return out
	}
	return nil
}

// goesOnWith takes the slots of the mode before for a heading that says "the same and then", where the next
// line begins the slot behind them.
func (r *rows) goesOnWith(h *heading) bool {
	if len(r.plans) == 0 || !sameAs.MatchString(textOf(h.toks)) {
		return false
	}
	p := &r.plans[len(r.plans)-1]
	last := p.entries[len(p.entries)-1].slots
	if !r.nextLeads(last[len(last)-1]+1) || h.count > 0 && h.count <= last[len(last)-1] {
		return false
	}
	copied := plan{heading: *h}
	for _, e := range p.entries {
		e.slots, e.toks = slices.Clone(e.slots), slices.Clone(e.toks)
		copied.entries = append(copied.entries, e)
	}
	r.plans, r.pending, r.cur = append(r.plans, copied), nil, nil
	return true
}

// nextLeads tells whether the next line with words begins with a slot's number.
func (r *rows) nextLeads(n int) bool {
	for _, l := range r.lines[min(r.i+1, len(r.lines)):] {
		toks := lessBreaks(scan(strings.TrimSpace(l.text)))
		if len(toks) == 0 {
			continue
		}
		t := toks[0]
		return t.kind == isNumber && t.from == n || t.kind == isSlots && t.slots[0] == n
	}
	return false
}
