package output

import (
	"errors"
	"fmt"
	"net/netip"
	"slices"
	"strconv"
	"strings"
	"time"

	"lampblack/wire/artnet"
	"lampblack/wire/sacn"
)

// Spec is the parsed description of an output.
type Spec struct {
	Kind      string // "e131", "artnet", "serial", "widget" or "file"
	Place     string // as written
	Addr      netip.Addr
	Universes []Range // empty for all
	Map       []Renumber
	Rate      float64 // frames a second, 0 for no limit
	Interface string
	Port      uint16
	Priority  byte
	Sync      uint16 // e131: synchronization address
	ArtSync   bool
	Preview   bool
	IPv6      bool
	Baud      int
	BreakByte bool // serial: a zero octet at low speed instead of the break signal
}

// Range is universes From to To, both included.
type Range struct{ From, To uint16 }

// Renumber sends the universes of Show under the numbers that begin with Wire.
type Renumber struct {
	Show Range
	Wire uint16
}

// Fault is one thing wrong with a spec.
type Fault struct {
	Column int    // of the first character of the word, from 1
	Word   string // "" when one is missing
	Text   string
	Hint   string // what to write instead, or ""
}

func (f *Fault) Error() string {
	s := fmt.Sprintf("column %d: %s", f.Column, f.Text)
	if f.Hint != "" {
		s += " (" + f.Hint + ")"
	}
	return s
}

// ParseSpec reads a description. Its error joins a *Fault for everything that
// is wrong, in the order of their columns.
func ParseSpec(line string) (Spec, error) {
	p := parser{words: split(line), end: len(line) + 1}
	p.spec.Priority = sacn.DefaultPriority
	if kind := p.take("a kind of output"); kind.text != "" {
		p.kind(kind)
	}
	for len(p.words) > 0 && p.spec.Kind != "" {
		p.option(p.words[0])
	}
	slices.SortStableFunc(p.faults, func(a, b error) int { return a.(*Fault).Column - b.(*Fault).Column })
	if err := errors.Join(p.faults...); err != nil {
		return Spec{}, fmt.Errorf("output %q: %w", line, err)
	}
	return p.spec, nil
}

// word is a piece of the line and where it begins.
type word struct {
	text   string
	column int
}

// split cuts a line at spaces outside double quotes.
func split(line string) []word {
	var words []word
	for i := 0; i < len(line); {
		if line[i] == ' ' || line[i] == '\t' {
			i++
			continue
		}
		start := i
		if line[i] == '"' {
			end := strings.IndexByte(line[i+1:], '"')
			if end < 0 {
				end = len(line) - i - 1
			}
			words = append(words, word{line[i+1 : i+1+end], start + 1})
			i = min(i+end+2, len(line))
			continue
		}
		for i < len(line) && line[i] != ' ' && line[i] != '\t' {
			i++
		}
		words = append(words, word{line[start:i], start + 1})
	}
	return words
}

type parser struct {
	words  []word
	end    int // column after the last character
	spec   Spec
	seen   []string
	faults []error
}

func (p *parser) fault(w word, hint, format string, args ...any) {
	p.faults = append(p.faults, &Fault{Column: w.column, Word: w.text, Text: fmt.Sprintf(format, args...), Hint: hint})
}

// take returns the next word, or a fault that names what is missing.
func (p *parser) take(what string) word {
	if len(p.words) == 0 {
		p.fault(word{"", p.end}, "", "got the end of the line, want %s", what)
		return word{"", p.end}
	}
	w := p.words[0]
	p.words = p.words[1:]
	if w.text == "" {
		p.fault(w, "", "got nothing between quotes, want %s", what)
	}
	return w
}

// kinds gives the options that each kind of output takes, beside those of all.
var kinds = map[string][]string{
	"e131":   {"interface", "port", "priority", "sync", "preview", "ipv6"},
	"artnet": {"interface", "port", "sync"},
	"serial": {"break"},
	"widget": {"baud"},
	"file":   {},
}

var anyKind = []string{"universes", "map", "rate"}

func (p *parser) kind(w word) {
	names := []string{"e131", "artnet", "serial", "widget", "file"}
	if _, ok := kinds[w.text]; !ok {
		p.fault(w, suggest(w.text, names), "got kind %q, want %s", w.text, list(names))
		return
	}
	p.spec.Kind = w.text
	what := map[string]string{"e131": "multicast or an address", "artnet": "nodes or an address",
		"serial": "a device", "widget": "a device", "file": "a path"}[w.text]
	place := p.take(what)
	p.spec.Place = place.text
	named := map[string]string{"e131": "multicast", "artnet": "nodes"}[w.text]
	if named == "" || place.text == named || place.text == "" {
		return
	}
	addr, err := netip.ParseAddr(place.text)
	if err != nil {
		p.fault(place, suggest(place.text, []string{named}), "got %q, want %s, as 192.168.1.20", place.text, what)
		return
	}
	if w.text == "artnet" && !addr.Unmap().Is4() {
		p.fault(place, "", "got %v: Art-Net has IPv4 only", addr)
	}
	p.spec.Addr = addr.Unmap()
}

func (p *parser) option(w word) {
	p.words = p.words[1:]
	known := append(slices.Clone(anyKind), kinds[p.spec.Kind]...)
	switch {
	case !slices.Contains(known, w.text):
		p.fault(w, suggest(w.text, known), "got %q, which %s outputs do not know: they take %s", w.text, p.spec.Kind, list(known))
		return
	case slices.Contains(p.seen, w.text):
		p.fault(w, "", "got %q twice", w.text)
	}
	p.seen = append(p.seen, w.text)
	switch w.text {
	case "universes":
		p.universes(p.take("universes, as 1-3,7"))
	case "map":
		p.renumber(p.take("pairs of universes, as 1:4"))
	case "rate":
		p.rate(p.take("frames a second"))
	case "interface":
		p.spec.Interface = p.take("the name of a network interface").text
	case "preview":
		p.spec.Preview = true
	case "ipv6":
		p.spec.IPv6 = true
		if p.spec.Place != "multicast" {
			p.fault(w, "", "got %q with an address, want it with multicast", w.text)
		}
	case "sync":
		p.sync()
	case "break":
		p.breaks(p.take("signal or byte"))
	default:
		p.plain(w.text)
	}
}

func (p *parser) sync() {
	if p.spec.Kind == "artnet" {
		p.spec.ArtSync = true
		return
	}
	p.spec.Sync = uint16(p.number(p.take("a universe as synchronization address"), 1, sacn.MaxUniverse))
}

func (p *parser) breaks(w word) {
	if w.text != "" && w.text != "signal" && w.text != "byte" {
		p.fault(w, suggest(w.text, []string{"signal", "byte"}), "got %q, want signal or byte", w.text)
	}
	p.spec.BreakByte = w.text == "byte"
}

// plain reads the options that are one whole number.
func (p *parser) plain(name string) {
	w := p.take("a number")
	switch name {
	case "port":
		p.spec.Port = uint16(p.number(w, 1, 65535))
	case "priority":
		p.spec.Priority = byte(p.number(w, 0, sacn.MaxPriority))
	case "baud":
		p.spec.Baud = p.number(w, 9600, 4_000_000)
	}
}

func (p *parser) number(w word, from, to int) int {
	v, err := strconv.Atoi(w.text)
	if w.text != "" && (err != nil || v < from || v > to) {
		p.fault(w, "", "got %q, want a number from %d to %d", w.text, from, to)
		return from
	}
	return v
}

func (p *parser) rate(w word) {
	v, err := strconv.ParseFloat(w.text, 64)
	if w.text != "" && (err != nil || !(v >= 1 && v <= 1000)) {
		p.fault(w, "", "got %q, want 1 to 1000 frames a second", w.text)
		return
	}
	p.spec.Rate = v
}

func (p *parser) universes(w word) {
	for _, part := range parts(w) {
		if r, ok := p.universeRange(part, 1, sacn.MaxUniverse); ok {
			p.spec.Universes = append(p.spec.Universes, r)
		}
	}
	if one := p.spec.Kind == "serial" || p.spec.Kind == "widget"; one && len(p.spec.Universes) > 0 {
		if r := p.spec.Universes; len(r) > 1 || r[0].From != r[0].To {
			p.fault(w, "", "got %q: a %s output carries one universe", w.text, p.spec.Kind)
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

func (p *parser) universeRange(w word, least, most int) (Range, bool) {
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

func (p *parser) renumber(w word) {
	least, most := 1, sacn.MaxUniverse
	if p.spec.Kind == "artnet" { // gear of older revisions counts from 0
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

// checkPair refuses what would send one universe twice or two as one.
func (p *parser) checkPair(w word, r Renumber, most int) {
	size := r.Show.To - r.Show.From
	if int(r.Wire)+int(size) > most {
		p.fault(w, "", "got %q, which ends beyond universe %d", w.text, most)
		return
	}
	for _, o := range p.spec.Map {
		if r.Show.From <= o.Show.To && o.Show.From <= r.Show.To {
			p.fault(w, "", "got %q: universe %d is mapped already", w.text, max(r.Show.From, o.Show.From))
			return
		}
		if oEnd := o.Wire + o.Show.To - o.Show.From; r.Wire <= oEnd && o.Wire <= r.Wire+size {
			p.fault(w, "", "got %q: universe %d of the wire is taken already", w.text, max(r.Wire, o.Wire))
			return
		}
	}
	p.spec.Map = append(p.spec.Map, r)
}

// wire returns the number of the show's universe on the wire, and whether it
// goes out at all. A universe whose number another one was given stays away.
func (s *Spec) wire(universe uint16) (uint16, bool) {
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

// first is the universe of an output that carries one.
func (s *Spec) first() uint16 {
	if len(s.Universes) > 0 {
		return s.Universes[0].From
	}
	return 1
}

// pace is the least time between two frames, 0 for none.
func (s *Spec) pace() time.Duration {
	if s.Rate == 0 {
		return 0
	}
	return time.Duration(float64(time.Second) / s.Rate)
}

func list(words []string) string {
	if len(words) == 1 {
		return words[0]
	}
	return strings.Join(words[:len(words)-1], ", ") + " or " + words[len(words)-1]
}

// suggest returns "did you mean ..." for the nearest word, if one is near.
func suggest(got string, words []string) string {
	best, least := "", 3
	for _, w := range words {
		if d := distance(got, w); d < least {
			best, least = w, d
		}
	}
	if best == "" {
		return ""
	}
	return "did you mean " + best + "?"
}

// distance is the number of letters to add, drop or change (Levenshtein).
func distance(a, b string) int {
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range len(a) {
		before := row[0]
		row[0] = i + 1
		for j := range len(b) {
			change := before
			if a[i] != b[j] {
				change++
			}
			before = row[j+1]
			row[j+1] = min(change, row[j]+1, row[j+1]+1)
		}
	}
	return row[len(b)]
}
