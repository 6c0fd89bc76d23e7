package line

import "net/netip"

// Send describes what tells another machine where the show is. As text it is
//
//	line = "notes"|"programs"|"show-control" device    a MIDI message with each cue
//	     | "osc" host:port address [ "as" "text"|"number" ]
//	                                                   an OSC message with each cue: its
//	                                                   number as a string ("10.5"), or as a
//	                                                   32-bit floating-point number
//	     | "mtc"|"ltc" device { option }               timecode, as ParseClock reads it
//
// as in "osc 192.168.1.30:9000 /cue".
type Send struct {
	Kind   string
	Place  string         // device, or OSC address
	To     netip.AddrPort // of OSC
	Number bool           // of OSC: the cue's number is sent as a number
	Clock  Clock          // of timecode
}

var sendKinds = []string{"notes", "programs", "show-control", "osc", "mtc", "ltc"}

// ParseSend reads a line. Its error joins a *Fault for everything that is wrong.
func ParseSend(line string) (Send, error) {
	p := sendReader{reader: newReader(line)}
	kind, ok := p.kind("what to send", sendKinds)
	switch {
	case !ok:
	case kind.text == "mtc" || kind.text == "ltc":
		c, err := ParseClock(line)
		return Send{Kind: kind.text, Place: c.Device, Clock: c}, err
	case kind.text == "osc":
		p.osc()
	default:
		p.out.Place = p.take("a MIDI port").text
	}
	p.out.Kind = kind.text
	for len(p.words) > 0 {
		p.setting()
	}
	if err := p.err("line", line); err != nil {
		return Send{}, err
	}
	return p.out, nil
}

// sendReader takes a line apart; it lives for one ParseSend.
type sendReader struct {
	reader
	out Send
}

// osc reads where a message goes. A name is not looked up: a show must go on when what
// knows the names is away.
func (p *sendReader) osc() {
	to := p.take("an address and port, as 192.168.1.30:9000")
	addr, err := netip.ParseAddrPort(to.text)
	switch {
	case to.text == "":
	case err != nil || addr.Port() == 0:
		p.fault(to, "", "got %q, want an address and port, as 192.168.1.30:9000", to.text)
	}
	p.out.To = netip.AddrPortFrom(addr.Addr().Unmap(), addr.Port())
	p.out.Place = p.oscAddress(p.take("an OSC address, as /cue"))
}

func (p *sendReader) setting() {
	if p.out.Kind != "osc" {
		p.fault(p.words[0], "put a name with spaces into double quotes", "got %q, and %s ends before it", p.words[0].text, p.out.Kind)
		p.words = nil
		return
	}
	if _, ok := p.option("osc", []string{"as"}); !ok {
		return
	}
	p.out.Number = p.oneOf(p.take("text or number"), []string{"text", "number"}) == "number"
}
