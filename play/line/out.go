package line

import (
	"net/netip"
	"slices"
	"strconv"
	"time"

	"lampblack/source"
	"lampblack/wire/sacn"
)

// Out is the parsed description of an output.
type Out struct {
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

// ParseOut reads a description of an output. Its error joins a *Fault for
// everything that is wrong, in the order of their columns.
func ParseOut(line string) (Out, error) {
	p := outReader{reader: newReader(line)}
	p.out.Priority = sacn.DefaultPriority
	if kind, ok := p.kind("a kind of output", outKinds); ok {
		p.place(kind)
		for len(p.words) > 0 {
			p.setting()
		}
	}
	if err := p.err("output", line); err != nil {
		return Out{}, err
	}
	return p.out, nil
}

// outReader takes a line apart; it lives for one ParseOut.
type outReader struct {
	reader
	out Out
}

// kinds gives the options that each kind of output takes, beside those of all.
var kinds = map[string][]string{
	"e131":   {"interface", "port", "priority", "sync", "preview", "ipv6"},
	"artnet": {"interface", "port", "sync"},
	"serial": {"break"},
	"widget": {"baud"},
	"file":   {},
}

var outKinds = []string{"e131", "artnet", "serial", "widget", "file"}

var anyKind = []string{"universes", "map", "rate"}

// place reads what belongs to the kind: an address, a device, a path.
func (p *outReader) place(w word) {
	p.out.Kind = w.text
	what := map[string]string{"e131": "multicast or an address", "artnet": "nodes or an address",
		"serial": "a device", "widget": "a device", "file": "a path"}[w.text]
	place := p.take(what)
	p.out.Place = place.text
	named := map[string]string{"e131": "multicast", "artnet": "nodes"}[w.text]
	if named == "" || place.text == named || place.text == "" {
		return
	}
	addr, err := netip.ParseAddr(place.text)
	if err != nil {
		p.fault(place, source.Suggest(place.text, []string{named}), "got %q, want %s, as 192.168.1.20", place.text, what)
		return
	}
	if w.text == "artnet" && !addr.Unmap().Is4() {
		p.fault(place, "", "got %v: Art-Net has IPv4 only", addr)
	}
	p.out.Addr = addr.Unmap()
}

// setting reads an option that this kind of output knows, with its value.
func (p *outReader) setting() {
	w, ok := p.option(p.out.Kind+" output", append(slices.Clone(anyKind), kinds[p.out.Kind]...))
	if !ok {
		return
	}
	switch w.text {
	case "universes":
		p.universes(p.take("universes, as 1-3,7"))
	case "map":
		p.renumber(p.take("pairs of universes, as 1:4"))
	case "rate":
		p.rate(p.take("frames a second"))
	case "interface":
		p.out.Interface = p.take("the name of a network interface").text
	case "preview":
		p.out.Preview = true
	case "ipv6":
		p.out.IPv6 = true
		if p.out.Place != "multicast" {
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
func (p *outReader) sync() {
	if p.out.Kind == "artnet" {
		p.out.ArtSync = true
		return
	}
	p.out.Sync = uint16(p.number(p.take("a universe as synchronization address"), 1, sacn.MaxUniverse))
}

// breaks reads how a bare line makes its breaks.
func (p *outReader) breaks(w word) {
	p.out.BreakByte = p.oneOf(w, []string{"signal", "byte"}) == "byte"
}

// plain reads the options that are one whole number.
func (p *outReader) plain(name string) {
	w := p.take("a number")
	switch name {
	case "port":
		p.out.Port = uint16(p.number(w, 1, 65535))
	case "priority":
		p.out.Priority = byte(p.number(w, 0, sacn.MaxPriority))
	case "baud":
		p.out.Baud = p.number(w, 9600, 4_000_000)
	}
}

// rate is written as people say it, "29.97" included. Written so that "nan" fails as
// well: it is neither below nor above anything.
func (p *outReader) rate(w word) {
	v, err := strconv.ParseFloat(w.text, 64)
	if w.text != "" && (err != nil || !(v >= 1 && v <= 1000)) {
		p.fault(w, "", "got %q, want 1 to 1000 frames a second", w.text)
		return
	}
	p.out.Rate = v
}

// Pace is the least time between two frames, 0 for none.
func (s *Out) Pace() time.Duration {
	if s.Rate == 0 {
		return 0
	}
	return time.Duration(float64(time.Second) / s.Rate)
}
