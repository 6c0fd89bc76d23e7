package output

import (
	"errors"
	"fmt"
	"net/netip"
	"slices"
	"strconv"
	"strings"
	"time"

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

// parser takes a line apart word by word. It goes on after a fault, so that
// a person sees all of them at once.
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

// kind reads the kind of output and the place that belongs to it.
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

// option reads an option that this kind of output knows, with its value.
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

// sync is a universe for E1.31, and a plain wish for Art-Net, whose packet has
// no address.
func (p *parser) sync() {
	if p.spec.Kind == "artnet" {
		p.spec.ArtSync = true
		return
	}
	p.spec.Sync = uint16(p.number(p.take("a universe as synchronization address"), 1, sacn.MaxUniverse))
}

// breaks reads how a bare line makes its breaks.
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

// number reads a whole number. After a fault it returns the least, which is
// never used.
func (p *parser) number(w word, from, to int) int {
	v, err := strconv.Atoi(w.text)
	if w.text != "" && (err != nil || v < from || v > to) {
		p.fault(w, "", "got %q, want a number from %d to %d", w.text, from, to)
		return from
	}
	return v
}

// rate is written as people say it, "29.97" included.
func (p *parser) rate(w word) {
	v, err := strconv.ParseFloat(w.text, 64)
	if w.text != "" && (err != nil || !(v >= 1 && v <= 1000)) {
		p.fault(w, "", "got %q, want 1 to 1000 frames a second", w.text)
		return
	}
	p.spec.Rate = v
}

// pace is the least time between two frames, 0 for none.
func (s *Spec) pace() time.Duration {
	if s.Rate == 0 {
		return 0
	}
	return time.Duration(float64(time.Second) / s.Rate)
}
