package manual

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"lampblack/rig"
)

// does reads what a range of a slot does.
func (s *Slot) does(p part) (r rig.Range, m marked, ask string) {
	r, m, ask = s.means(p)
	if p.down { // its words too run from the top down
		r.Low, r.High = r.High, r.Low
		switch r.Told {
		case rig.SlowToFast:
			r.Told = rig.FastToSlow
		case rig.FastToSlow:
			r.Told = rig.SlowToFast
		}
	}
	return r, m, ask
}

func (s *Slot) means(p part) (r rig.Range, m marked, ask string) {
	r = rig.Range{From: p.from, To: p.to}
	senses := has(own(p.toks))
	m.text = strings.Trim(textOf(p.toks), " ,;:.-=|()")
	set := func(a rig.Action) (rig.Range, marked, string) {
		r.Does = a
		return r, m, ""
	}
	rates := false
	for _, t := range p.toks {
		rates = rates || t.kind == isRate
	}
	off := anyOf(senses, "off")
	switch {
	case p.kept:
		return set(s.nothing())
	case s.kind == resting && p.from > 0 && slices.ContainsFunc(p.toks, func(t token) bool { return strings.HasPrefix(fold(t.text), "reserv") }):
		return set(rig.Never)
	case anyOf(senses, "reset"):
		m.restart = true
		return set(rig.Never)
	case s.kind == resting && anyOf(has(s.words), "time", "curve") && slices.ContainsFunc(p.toks, func(t token) bool { return strings.HasPrefix(fold(t.text), "menu") }):
		return set(rig.Nothing) // "as the menu has it"
	case anyOf(senses, "display") && !anyOf(senses, "manual"), anyOf(senses, "sense", "curve", "time") && s.kind != strobing && !off:
		return set(rig.Never)
	case anyOf(senses, "sound") && !off:
		m.sound, m.program = true, true
		return set(rig.Never)
	case off && s.kind == resting && p.from > 0 && anyOf(has(s.words), "time", "curve") && !noFunction.MatchString(fold(m.text)):
		return set(rig.Never) // a response that is off is another than what the menu has
	case off && s.kind == fanning && !anyOf(senses, "fan") && !anyOf(has(s.words), "fan"):
		return set(rig.Nothing) // of a slot that has the fan in other ranges
	case off && (anyOf(senses, "strobe", "shutter", "program", "sound", "dim", "fan", "colour", "pulse") || len(senses) == 1):
		return set(s.nothing())
	case s.kind == running && p.from == 0 && len(senses) == 0 && slices.ContainsFunc(p.toks, func(t token) bool { return t.kind == isSlots }):
		return set(rig.Nothing) // "use CH4-CH6"
	case s.kind == running && p.from == 0 && len(emitters(senses)) >= 3 && len(emitters(senses)) == len(senses):
		return set(rig.Nothing) // "RGB": by their own slots
	case anyOf(senses, "manual") && s.kind == strobing && !anyOf(senses, "strobe", "program"):
		return set(rig.Open)
	case anyOf(senses, "manual") && s.kind == resting && p.from == 0:
		return set(rig.Nothing) // "as set"
	case anyOf(senses, "falling") && (s.kind == dimming || s.kind == driving):
		s.inverted = true
		return set(rig.Level)
	case anyOf(senses, "open") && anyOf(senses, "closed") && anyOf(senses, "slow", "fast"):
		return set(rig.Never) // it opens and closes at speeds of its own
	case anyOf(senses, "manual") && (p.from == 0 && s.kind == running || !anyOf(senses, "strobe", "program", "dim", "colour") && len(emitters(senses)) == 0):
		return set(rig.Nothing)
	case anyOf(senses, "pulse") && !rates:
		m.program = s.kind == running || anyOf(senses, "program")
		return set(rig.Never)
	case anyOf(senses, "open") && s.kind == running && p.from == 0 && !anyOf(senses, "program"):
		return set(rig.Nothing) // no colour stands before the light
	case anyOf(senses, "open") && !anyOf(senses, "slow", "fast", "program") && !(s.kind == running && anyOf(senses, "colour")):
		return set(rig.Open)
	case anyOf(senses, "closed"):
		return set(rig.Closed)
	case anyOf(senses, "strobe") && !(anyOf(senses, "speed", "time") && anyOf(senses, "program")), rates:
		if s.kind == running && anyOf(senses, "program", "colour") {
			m.program = true
			return set(rig.Never)
		}
		flash(&r, p.toks, senses)
		return r, m, ""
	case off && !anyOf(senses, "slow", "fast"):
		return set(s.nothing())
	}
	return s.byKind(r, m, p, senses)
}

// own cuts off what is said of other slots: "fixed colours. Channels 2-6 then have no effect".
func own(toks []token) []token {
	for i, t := range toks {
		if t.kind == isSlots && len(has(toks[:i])) > 0 {
			return toks[:i]
		}
	}
	return toks
}

// byKind reads what a range does where its words alone do not tell.
func (s *Slot) byKind(r rig.Range, m marked, p part, senses []sense) (rig.Range, marked, string) {
	set := func(a rig.Action) (rig.Range, marked, string) {
		r.Does = a
		return r, m, ""
	}
	moves := anyOf(senses, "slow", "fast", "up", "down", "speed")
	switch s.kind {
	case dimming, driving:
		switch {
		case anyOf(senses, "program", "colour") || s.kind == dimming && len(emitters(senses)) > 0 && !anyOf(senses, "dim"):
			m.program = true
			return set(rig.Never)
		case anyOf(senses, "dim", "up") || hasAmount(p.toks) || anyOf(senses, "master") && !anyOf(senses, "full", "on"):
			return set(rig.Level)
		case anyOf(senses, "full", "on"):
			return set(rig.Open)
		case p.from <= 1 && lowest(p.toks):
			return set(rig.Closed)
		case moves:
			flash(&r, p.toks, senses)
			return r, m, ""
		case len(nonBreaks(p.toks)) == 0:
			return set(rig.Level)
		}
	case strobing:
		switch {
		case anyOf(senses, "program", "colour") || len(emitters(senses)) > 0:
			m.program = true
			return set(rig.Never)
		case moves || anyOf(senses, "random", "shutter", "time"):
			flash(&r, p.toks, senses)
			return r, m, ""
		case anyOf(senses, "full", "on", "dim") || len(nonBreaks(p.toks)) == 1 && fold(nonBreaks(p.toks)[0].text) == "auf":
			return set(rig.Open)
		case len(nonBreaks(p.toks)) == 0:
			flash(&r, p.toks, senses)
			return r, m, "" // the slot's name says it
		}
	case fanning:
		if (anyOf(senses, "speed") || moves) && !anyOf(senses, "program") {
			return set(rig.Fan)
		}
		return set(rig.Never)
	case running:
		if len(senses) == 0 && p.from == 0 && len(nonBreaks(p.toks)) > 0 {
			r.Does = rig.Never
			return r, m, fmt.Sprintf("what %q does at %d-%d is not understood", m.text, r.From, r.To)
		}
		m.program = !moves || anyOf(senses, "program", "colour") || len(emitters(senses)) > 0
		return set(rig.Never)
	case resting, minding:
		return set(rig.Never)
	}
	r.Does = rig.Never
	return r, m, fmt.Sprintf("what %q does at %d-%d is not understood", m.text, r.From, r.To)
}

var noFunction = regexp.MustCompile(`fun[ckz]|fonc`)

// lowest tells whether all that is said of the foot of a level is that it is the least.
func lowest(toks []token) bool {
	n := nonBreaks(toks)
	return len(n) == 1 && slices.Contains([]string{"out", "min", "min.", "minimum", "minimal", "minimo", "lowest", "least", "zero", "nil", "gone", "weg"}, fold(n[0].text))
}

// nothing is what "off" and "no function" mean on a slot.
func (s *Slot) nothing() rig.Action {
	switch s.kind {
	case strobing:
		return rig.Open
	case dimming, driving:
		return rig.Closed
	case fanning:
		return rig.FanOff
	}
	return rig.Nothing
}

// hasAmount tells whether a percent stands in words.
func hasAmount(toks []token) bool {
	for _, t := range toks {
		if t.kind == isAmount && strings.Contains(t.text, "%") {
			return true
		}
	}
	return false
}
