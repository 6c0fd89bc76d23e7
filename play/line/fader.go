package line

import "slices"

// Fader describes a control of a MIDI controller that stands for a level. As text it is
//
//	line   = "controller" device { option }
//	option = "number" 0-119                  the controller number (MIDI 1.0, table 3);
//	                                         it must be there
//	       | "channel" 1-16                  any, if left out
//
// as in "controller /dev/snd/midiC1D0 number 7 channel 1".
type Fader struct {
	Place   string // device
	Number  byte
	Channel byte // from 1; 0 for any
}

// Numbers from 120 on are channel mode messages, and no controllers.
const mostController = 119

// ParseFader reads a line. Its error joins a *Fault for everything that is wrong.
func ParseFader(line string) (Fader, error) {
	r := newReader(line)
	var out Fader
	if _, ok := r.kind("a kind of fader", []string{"controller"}); ok {
		end := word{"", r.end}
		out.Place = r.take("a MIDI port").text
		for len(r.words) > 0 {
			w, ok := r.option("controller", []string{"number", "channel"})
			if !ok {
				continue
			}
			if w.text == "number" {
				out.Number = byte(r.number(r.take("a controller number"), 0, mostController))
			} else {
				out.Channel = byte(r.number(r.take("a MIDI channel"), 1, 16))
			}
		}
		if !slices.Contains(r.seen, "number") {
			r.fault(end, "number 7", "the fader does not say which controller it is")
		}
	}
	if err := r.err("fader", line); err != nil {
		return Fader{}, err
	}
	return out, nil
}
