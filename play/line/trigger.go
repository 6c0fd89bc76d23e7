package line

import (
	"math"
	"net/netip"
	"slices"
	"strconv"
	"strings"

	"lampblack/source"
	"lampblack/wire/artnet"
	"lampblack/wire/sacn"
)

// Trigger describes what may start something: a person's press, another
// machine's message, a contact. As text it is
//
//	line = "key" key                         typed on this machine's keyboard, by a
//	                                         person or a USB button: "f5", "1", "pagedown"
//	     | "page"                            a button on the page
//	     | "osc" port address { option }     "/door": closed by a number above 0 or by
//	                                         true, open by 0 or false, pressed by others
//	     | "notes" device "note" 0-127 { "channel" 1-16 }
//	     | "e131" "universe" 1-63999 "slot" 1-512 "above" 0-254 { option }
//	     | "artnet" "universe" 0-32767 "slot" 1-512 "above" 0-254 { option }
//	     | "pins" device "carrier"|"ring"|"clear"|"ready" { option }
//	     | "gpio" chip "line" number { option }
//	     | "pipe" path { option }            lines that say "closed", "open" or "press"
//	option = "above" level                   closed above it (osc: 0 if left out)
//	       | "below" level                   open again below it; if left out, as soon as
//	                                         it is not above
//	       | "listen" address | "any"        an address of this machine; 127.0.0.1, which
//	                                         it alone reaches, if left out
//	       | "port" number                   e131 and artnet: the protocol's own if left out
//	       | "multicast"                     e131: joins the universe's group
//	       | "interface" name                of multicast
//	       | "normally" "closed"             pins, gpio, pipe: what counts is that it opens
//	       | "active" "low"                  gpio: closed is 0 V
//	       | "pull" "up"|"down"|"none"       gpio: the bias of the line
//
// The pins are those of ITU-T V.24: received line signal detector (109, DCD),
// calling indicator (125, RI), ready for sending (106, CTS) and data set ready
// (107, DSR).
type Trigger struct {
	Kind      string
	Place     string     // key, OSC address, device, chip or path
	Listen    netip.Addr // of kinds that come by network; unspecified for any
	Port      uint16
	Multicast bool
	Interface string
	Universe  uint16
	Slot      int // from 1
	Above     float64
	Below     float64
	Note      byte
	Channel   byte   // from 1; 0 for any
	Pin       string // of pins
	Line      int    // of gpio
	Low       bool   // of gpio: active low
	Pull      string // of gpio: "" leaves the bias as it is
	Opens     bool   // normally closed: the opening counts
}

// Instant tells whether the trigger is a press alone, which has no length.
func (t *Trigger) Instant() bool { return t.Kind == "key" || t.Kind == "page" }

// Crosses tells whether a level closes the contact: above Above it does, below Below
// it does not, and between it stays as it is.
func (t *Trigger) Crosses(level float64, closed bool) bool {
	return level > t.Above || closed && level >= t.Below
}

var triggerKinds = []string{"key", "page", "osc", "notes", "e131", "artnet", "pins", "gpio", "pipe"}

// triggerOptions gives the options of each kind, and triggerNeeds those of them
// without which it says too little.
var triggerOptions = map[string][]string{
	"osc":    {"above", "below", "listen"},
	"notes":  {"note", "channel"},
	"e131":   {"universe", "slot", "above", "below", "listen", "port", "multicast", "interface"},
	"artnet": {"universe", "slot", "above", "below", "listen", "port"},
	"pins":   {"normally"},
	"gpio":   {"line", "active", "pull", "normally"},
	"pipe":   {"normally"},
}

var triggerNeeds = map[string][]string{
	"notes": {"note"}, "e131": {"universe", "slot", "above"}, "artnet": {"universe", "slot", "above"}, "gpio": {"line"},
}

// pinNames are the control pins of a serial line that a contact can close.
var pinNames = []string{"carrier", "ring", "clear", "ready"}

// mostLines is how many lines a GPIO chip may have that anybody builds; the
// kernel's offset is a 32-bit number.
const mostLines = 1 << 16

// ParseTrigger reads a line. Its error joins a *Fault for everything that is
// wrong, in the order of their columns.
func ParseTrigger(line string) (Trigger, error) {
	p := triggerReader{reader: newReader(line), below: math.NaN()}
	if kind, ok := p.kind("a kind of trigger", triggerKinds); ok {
		p.start(kind.text)
		for len(p.words) > 0 {
			p.setting()
		}
		p.finish()
	}
	if err := p.err("trigger", line); err != nil {
		return Trigger{}, err
	}
	return p.out, nil
}

// triggerReader takes a line apart; it lives for one ParseTrigger. below is NaN
// until it was given.
type triggerReader struct {
	reader
	out   Trigger
	below float64
	at    word // of below
}

// loopback is what only this machine reaches.
var loopback = netip.AddrFrom4([4]byte{127, 0, 0, 1})

// start reads what belongs to the kind.
func (p *triggerReader) start(kind string) {
	p.out.Kind = kind
	switch kind {
	case "key":
		p.key(p.take("a key, as f5"))
	case "osc":
		p.out.Listen = loopback
		p.out.Port = uint16(p.number(p.take("the UDP port to listen on"), 1, 65535))
		p.out.Place = p.oscAddress(p.take("an OSC address, as /door"))
	case "e131":
		p.out.Listen, p.out.Port = loopback, sacn.Port
	case "artnet":
		p.out.Listen, p.out.Port = loopback, artnet.Port
	case "notes", "pins":
		p.out.Place = p.take("a device").text
		if kind == "pins" {
			p.out.Pin = p.oneOf(p.take("a pin: "+list(pinNames)), pinNames)
		}
	case "gpio":
		p.out.Place = p.take("a chip, as gpiochip0").text
		if p.out.Place != "" && !strings.ContainsAny(p.out.Place, `/\`) {
			p.out.Place = "/dev/" + p.out.Place
		}
	case "pipe":
		p.out.Place = p.take("a path").text
	}
}

func (p *triggerReader) setting() {
	known := triggerOptions[p.out.Kind]
	if len(known) == 0 {
		p.fault(p.words[0], "", "got %q, and %s ends before it", p.words[0].text, p.out.Kind)
		p.words = nil
		return
	}
	w, ok := p.option(p.out.Kind, known)
	if !ok {
		return
	}
	switch w.text {
	case "above":
		p.out.Above = p.level(p.take("a level"))
	case "below":
		p.at = p.take("a level")
		p.below = p.level(p.at)
	case "listen":
		p.listen(p.take("an address of this machine, or any"))
	case "multicast":
		p.out.Multicast = true
	case "interface":
		p.out.Interface = p.take("the name of a network interface").text
	case "normally":
		p.out.Opens = p.oneOf(p.take("closed or open"), []string{"closed", "open"}) == "closed"
	case "active":
		p.out.Low = p.oneOf(p.take("low or high"), []string{"low", "high"}) == "low"
	case "pull":
		p.out.Pull = p.oneOf(p.take("up, down or none"), []string{"up", "down", "none"})
	default:
		p.whole(w.text, p.take("a number"))
	}
}

// whole reads the options that are one whole number.
func (p *triggerReader) whole(name string, w word) {
	switch name {
	case "port":
		p.out.Port = uint16(p.number(w, 1, 65535))
	case "universe":
		from, to := 1, sacn.MaxUniverse
		if p.out.Kind == "artnet" {
			from, to = 0, artnet.MaxPortAddress
		}
		p.out.Universe = uint16(p.number(w, from, to))
	case "slot":
		p.out.Slot = p.number(w, 1, 512) // a full universe (ANSI E1.11)
	case "note":
		p.out.Note = byte(p.number(w, 0, 127))
	case "channel":
		p.out.Channel = byte(p.number(w, 1, 16))
	case "line":
		p.out.Line = p.number(w, 0, mostLines-1)
	}
}

// level is a whole number for a slot, and any for OSC.
func (p *triggerReader) level(w word) float64 {
	if p.out.Kind != "osc" {
		return float64(p.number(w, 0, 255))
	}
	v, err := strconv.ParseFloat(w.text, 64)
	if w.text != "" && (err != nil || math.IsNaN(v) || math.IsInf(v, 0)) {
		p.fault(w, "", "got %q, want a number", w.text)
		return 0
	}
	return v
}

func (p *triggerReader) listen(w word) {
	if w.text == "any" {
		p.out.Listen = netip.IPv4Unspecified()
		return
	}
	addr, err := netip.ParseAddr(w.text)
	switch {
	case w.text == "":
	case err != nil:
		p.fault(w, source.Suggest(w.text, []string{"any"}), "got %q, want an address of this machine, as 192.168.1.5, or any", w.text)
	case !addr.Unmap().Is4() && p.out.Kind == "artnet":
		p.fault(w, "", "got %v: Art-Net has IPv4 only", addr)
	case addr.IsMulticast():
		p.fault(w, "", "got %v, the address of a group: want one of this machine", addr)
	default:
		p.out.Listen = addr.Unmap()
	}
}

// finish looks at the line as a whole: what is missing, and what contradicts something
// else.
func (p *triggerReader) finish() {
	for _, need := range triggerNeeds[p.out.Kind] {
		if !slices.Contains(p.seen, need) {
			p.fault(word{"", p.end}, "", "got the end of the line, want %s and its number", need)
		}
	}
	p.levels()
	p.groups()
}

// levels puts the lower level where it belongs. The least above the upper one is open
// already: without "below" nothing lies between.
func (p *triggerReader) levels() {
	p.out.Below = math.Nextafter(p.out.Above, math.Inf(1))
	given := !math.IsNaN(p.below)
	if given {
		p.out.Below = p.below
	}
	slot := p.out.Kind == "e131" || p.out.Kind == "artnet"
	if slot && p.out.Above == 255 {
		p.fault(word{"", p.end}, "", "no slot is ever above 255, want at most 254")
	}
	switch {
	case given && p.below > p.out.Above:
		p.fault(p.at, "", "got %q, want at most %g, the level above which it is closed", p.at.text, p.out.Above)
	case given && slot && p.below == 0:
		p.fault(p.at, "", "no slot is ever below 0, want at least 1")
	}
}

// groups looks at what multicast goes with: it comes to no address of this machine.
func (p *triggerReader) groups() {
	end := word{"", p.end}
	switch {
	case !p.out.Multicast && slices.Contains(p.seen, "interface"):
		p.fault(end, "", `got "interface" without multicast`)
	case p.out.Multicast && slices.Contains(p.seen, "listen"):
		p.fault(end, "", `got "listen" and "multicast": a group is joined on an interface`)
	case p.out.Multicast:
		p.out.Listen = netip.IPv4Unspecified()
	}
}
