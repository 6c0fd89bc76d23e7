package line

import (
	"slices"

	"lampblack/wire/timecode"
)

// Clock describes a line to another machine's timecode, in or out. As text it is
//
//	line = kind device { option }
//	kind = "mtc" | "ltc"
//	option = "rate" 24|25|29.97|30   frames a second: out 25 if left out; in it is
//	                                 heard, and "rate" makes linear timecode surer
//	       | "start" address         the timecode of the show's beginning,
//	                                 00:00:00:00 if left out
//	       | "samples" number        samples a second of linear timecode, 48000
//
// as in "mtc /dev/snd/midiC1D0 rate 25 start 10:00:00:00". A device "-" is
// standard input or output.
type Clock struct {
	Kind    string
	Device  string
	Rate    timecode.Rate
	Rated   bool // Rate was given
	Start   timecode.Time
	Samples int
}

// ParseClock reads a line. Its error joins a *Fault for everything that is
// wrong.
func ParseClock(line string) (Clock, error) {
	p := clockReader{reader: newReader(line), clock: Clock{Rate: timecode.Rate25, Samples: 48000}}
	if kind, ok := p.kind("mtc or ltc", []string{"mtc", "ltc"}); ok {
		p.clock.Kind = kind.text
		p.clock.Device = p.take("a device").text
		for len(p.words) > 0 {
			p.setting()
		}
		p.begin()
	}
	if err := p.err("line", line); err != nil {
		return Clock{}, err
	}
	return p.clock, nil
}

// clockReader takes a line apart; it lives for one ParseClock.
type clockReader struct {
	reader
	clock Clock
	start word // read last, for the rate may follow it
}

// setting reads one option. Each option reads its own value, so an option that is not
// known is passed over alone, and the word after it is told as the next fault.
func (p *clockReader) setting() {
	known := []string{"rate", "start"}
	if p.clock.Kind == "ltc" {
		known = append(known, "samples")
	}
	w, ok := p.option(p.clock.Kind, known)
	if !ok {
		return
	}
	switch w.text {
	case "rate":
		p.rate(p.take("24, 25, 29.97 or 30"))
	case "start":
		p.start = p.take("a timecode, as 10:00:00:00")
	case "samples":
		p.clock.Samples = p.number(p.take("samples a second"), 8000, 192000)
	}
}

// A rate that was not understood stays 25 and not Rated; begin then leaves the start
// alone.
func (p *clockReader) rate(w word) {
	if w.text == "" {
		return
	}
	rate, err := timecode.ParseRate(w.text)
	if err != nil {
		p.fault(w, "", "%v", err)
		return
	}
	p.clock.Rate, p.clock.Rated = rate, true
}

// begin reads the start at the rate that was given.
func (p *clockReader) begin() {
	p.clock.Start = p.clock.Rate.Frame(0)
	if p.start.text == "" || !p.clock.Rated && slices.Contains(p.seen, "rate") {
		return // nothing was given, or it cannot be read without the rate
	}
	start, err := p.clock.Rate.Parse(p.start.text)
	if err != nil {
		p.fault(p.start, "", "%v", err)
		return
	}
	p.clock.Start = start
}
