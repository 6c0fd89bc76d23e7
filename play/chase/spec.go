package chase

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"lampblack/wire/timecode"
)

// Spec describes a line to another machine, in or out. As text it is
//
//	line = kind device { option }
//	kind = "midi" (out only) | "mtc" | "ltc"
//	option = "rate" 24|25|29.97|30   frames a second: out 25 if left out; in it is
//	                                 heard, and "rate" makes linear timecode surer
//	       | "start" address         the timecode of the show's beginning,
//	                                 00:00:00:00 if left out
//	       | "samples" number        samples a second of linear timecode, 48000
//
// as in "mtc /dev/snd/midiC1D0 rate 25 start 10:00:00:00". A device with spaces
// in its name stands in double quotes; "-" is standard input or output.
type Spec struct {
	Kind    string
	Device  string
	Rate    timecode.Rate
	Rated   bool // Rate was given
	Start   timecode.Time
	Samples int
}

// Fault is what is wrong with a line, and where.
type Fault struct {
	Column int // of the first character of the word, from 1
	Text   string
}

func (f *Fault) Error() string { return fmt.Sprintf("column %d: %s", f.Column, f.Text) }

// ParseSpec reads a line; its error wraps a *Fault.
func ParseSpec(line string) (Spec, error) {
	p := specParser{rest: line, length: len(line)}
	s, err := p.parse()
	if err != nil {
		return Spec{}, fmt.Errorf("line %q: %w", line, err)
	}
	return s, nil
}

type specParser struct {
	rest           string
	length, column int
}

// word returns the next word, "" at the end.
func (p *specParser) word() string {
	p.rest = strings.TrimLeft(p.rest, " \t")
	p.column = p.length - len(p.rest) + 1
	if quoted, ok := strings.CutPrefix(p.rest, `"`); ok {
		w, rest, _ := strings.Cut(quoted, `"`)
		p.rest = rest
		return w
	}
	end := strings.IndexAny(p.rest, " \t")
	if end < 0 {
		end = len(p.rest)
	}
	w := p.rest[:end]
	p.rest = p.rest[end:]
	return w
}

func (p *specParser) fault(format string, args ...any) error {
	return &Fault{Column: p.column, Text: fmt.Sprintf(format, args...)}
}

func (p *specParser) parse() (Spec, error) {
	s := Spec{Rate: timecode.Rate25, Samples: 48000}
	if s.Kind = p.word(); s.Kind != "midi" && s.Kind != "mtc" && s.Kind != "ltc" {
		return s, p.fault("got %q, want midi, mtc or ltc", s.Kind)
	}
	if s.Device = p.word(); s.Device == "" {
		return s, p.fault("got the end of the line, want a device")
	}
	start, startColumn := "", 0
	for option := p.word(); option != ""; option = p.word() {
		if s.Kind == "midi" || option == "samples" && s.Kind != "ltc" {
			return s, p.fault("got %q, which %s does not know", option, s.Kind)
		}
		var err error
		switch option {
		case "rate":
			s.Rated = true
			if s.Rate, err = timecode.ParseRate(p.word()); err != nil {
				return s, p.fault("%v", err)
			}
		case "start": // read last, for the rate may follow
			start = p.word()
			startColumn = p.column
		case "samples":
			w := p.word()
			if s.Samples, err = strconv.Atoi(w); err != nil || s.Samples < 8000 || s.Samples > 192000 {
				return s, p.fault("got %q, want 8000 to 192000 samples a second", w)
			}
		default:
			return s, p.fault("got %q, want rate, start or samples", option)
		}
	}
	if p.rest != "" {
		return s, p.fault("got nothing between quotes, want rate, start or samples")
	}
	s.Start = s.Rate.Frame(0)
	if startColumn > 0 {
		var err error
		if s.Start, err = s.Rate.Parse(start); err != nil {
			p.column = startColumn
			return s, p.fault("%v", err)
		}
	}
	return s, nil
}

// Sender follows the show and tells another machine where it is.
type Sender interface {
	// Update says that the show is at a position, and whether it runs. It is
	// to be called at least every 50 ms, from one goroutine.
	Update(at time.Time, position time.Duration, running bool)
	Name() string
	Stats() Stats
	Close() error
}

// OpenSender opens timecode out: "mtc" or "ltc".
func OpenSender(line string) (Sender, error) {
	s, err := ParseSpec(line)
	if err != nil {
		return nil, err
	}
	switch s.Kind {
	case "mtc":
		port, err := OpenPort(s.Device)
		if err != nil {
			return nil, err
		}
		return NewMIDITimeCode(port, s.Start), nil
	case "ltc":
		return OpenLinearTimecode(s.Device, s.Start, s.Samples)
	}
	return nil, fmt.Errorf("line %q: %w", line, &Fault{Column: 1, Text: `got midi, want mtc or ltc: messages go out by OpenPort`})
}
