package line

import (
	"slices"
	"strconv"
	"strings"

	"lampblack/wire/artnet"
	"lampblack/wire/sacn"
)

// Range is universes From to To, both included.
type Range struct{ From, To uint16 }

// Renumber sends the universes of Show under the numbers that begin with Wire.
type Renumber struct {
	Show Range
	Wire uint16
}

// Wire returns the number of the show's universe on the wire, and whether it
// goes out at all. A universe whose number another one was given stays away.
//
// A map moves the universes that it names; others keep their numbers, unless a moved
// one has come there, since two universes on one number would be mixed by receivers.
// Port-Addresses of Art-Net end at 32 767, so higher universes do not go out.
func (s *Out) Wire(universe uint16) (uint16, bool) {
	if len(s.Universes) > 0 && !slices.ContainsFunc(s.Universes, func(r Range) bool { return r.From <= universe && universe <= r.To }) {
		return 0, false
	}
	for _, m := range s.Map {
		if m.Show.From <= universe && universe <= m.Show.To {
			return m.Wire + universe - m.Show.From, true
		}
	}
	for _, m := range s.Map {
		if m.Wire <= universe && universe <= m.Wire+m.Show.To-m.Show.From {
			return 0, false
		}
	}
	return universe, s.Kind != "artnet" || universe <= artnet.MaxPortAddress
}

// First is the universe of an output that carries one.
func (s *Out) First() uint16 {
	if len(s.Universes) > 0 {
		return s.Universes[0].From
	}
	return 1
}

// universes reads which of the show's universes go out.
func (p *outReader) universes(w word) {
	for _, part := range parts(w) {
		if r, ok := p.universeRange(part, 1, sacn.MaxUniverse); ok {
			p.out.Universes = append(p.out.Universes, r)
		}
	}
	if one := p.out.Kind == "serial" || p.out.Kind == "widget"; one && len(p.out.Universes) > 0 {
		if r := p.out.Universes; len(r) > 1 || r[0].From != r[0].To {
			p.fault(w, "", "got %q: a %s output carries one universe", w.text, p.out.Kind)
		}
	}
}

// parts cuts a word at commas.
func parts(w word) []word {
	var out []word
	if w.text == "" {
		return nil
	}
	column := w.column
	for _, text := range strings.Split(w.text, ",") {
		out = append(out, word{text, column})
		column += len(text) + 1
	}
	return out
}

// universeRange reads "3" or "1-3". Limits are checked before the numbers are cut to 16
// bits.
func (p *outReader) universeRange(w word, least, most int) (Range, bool) {
	from, to, isRange := strings.Cut(w.text, "-")
	if !isRange {
		to = from
	}
	a, err1 := strconv.Atoi(from)
	b, err2 := strconv.Atoi(to)
	if err1 != nil || err2 != nil || a < least || b > most || a > b {
		p.fault(w, "", "got %q, want universes from %d to %d, as 3 or 1-3", w.text, least, most)
		return Range{}, false
	}
	return Range{uint16(a), uint16(b)}, true
}

// renumber reads pairs of the show's universes and the wire's.
func (p *outReader) renumber(w word) {
	least, most := 1, sacn.MaxUniverse
	if p.out.Kind == "artnet" { // gear of older revisions counts from 0
		least, most = 0, artnet.MaxPortAddress
	}
	for _, part := range parts(w) {
		show, wire, ok := strings.Cut(part.text, ":")
		if !ok {
			p.fault(part, "", "got %q, want the show's universe and the wire's, as 1:4", part.text)
			continue
		}
		a, ok1 := p.universeRange(word{show, part.column}, 1, sacn.MaxUniverse)
		b, ok2 := p.universeRange(word{wire, part.column + len(show) + 1}, least, most)
		if ok1 && ok2 && b.From != b.To && b.To-b.From != a.To-a.From {
			p.fault(part, "", "got %q, want as many universes on both sides", part.text)
			continue
		}
		if ok1 && ok2 {
			p.checkPair(part, Renumber{Show: a, Wire: b.From}, most)
		}
	}
}

// checkPair refuses what would send one universe twice or two as one. The sum is taken
// in int, as Wire plus size may pass 16 bits.
func (p *outReader) checkPair(w word, r Renumber, most int) {
	size := r.Show.To - r.Show.From
	if int(r.Wire)+int(size) > most {
		p.fault(w, "", "got %q, which ends beyond universe %d", w.text, most)
		return
	}
	for _, o := range p.out.Map {
		if r.Show.From <= o.Show.To && o.Show.From <= r.Show.To {
			p.fault(w, "", "got %q: universe %d is mapped already", w.text, max(r.Show.From, o.Show.From))
			return
		}
		if oEnd := o.Wire + o.Show.To - o.Show.From; r.Wire <= oEnd && o.Wire <= r.Wire+size {
			p.fault(w, "", "got %q: universe %d of the wire is taken already", w.text, max(r.Wire, o.Wire))
			return
		}
	}
	p.out.Map = append(p.out.Map, r)
}
