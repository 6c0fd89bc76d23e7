package line

import (
	"errors"
	"math"
	"net/netip"
	"testing"

	"lampblack/wire/artnet"
	"lampblack/wire/sacn"
)

func TestParseTrigger(t *testing.T) {
	at := netip.MustParseAddr
	next := func(v float64) float64 { return math.Nextafter(v, math.Inf(1)) }
	for line, want := range map[string]Trigger{
		"key f5":                         {Kind: "key", Place: "f5"},
		"key 1":                          {Kind: "key", Place: "1"},
		"page":                           {Kind: "page"},
		"osc 9000 /door/1":               {Kind: "osc", Place: "/door/1", Listen: loopback, Port: 9000, Below: next(0)},
		"osc 9000 /fader above 0.5":      {Kind: "osc", Place: "/fader", Listen: loopback, Port: 9000, Above: .5, Below: next(.5)},
		"osc 9000 /f above -1 below -2":  {Kind: "osc", Place: "/f", Listen: loopback, Port: 9000, Above: -1, Below: -2},
		"osc 9000 /door listen any":      {Kind: "osc", Place: "/door", Listen: at("0.0.0.0"), Port: 9000, Below: next(0)},
		"osc 9000 /door listen ::1":      {Kind: "osc", Place: "/door", Listen: at("::1"), Port: 9000, Below: next(0)},
		"notes /dev/snd/midiC1D0 note 0": {Kind: "notes", Place: "/dev/snd/midiC1D0", Below: next(0)},
		"notes - channel 16 note 127":    {Kind: "notes", Place: "-", Note: 127, Channel: 16, Below: next(0)},
		"e131 universe 7 slot 12 above 128": {Kind: "e131", Listen: loopback, Port: sacn.Port, Universe: 7, Slot: 12,
			Above: 128, Below: next(128)},
		"e131 universe 63999 slot 512 above 128 below 100 multicast interface eth0 port 5569": {Kind: "e131", Listen: at("0.0.0.0"), Port: 5569,
			Universe: 63999, Slot: 512, Above: 128, Below: 100, Multicast: true, Interface: "eth0"},
		"artnet slot 1 universe 0 below 1 above 254 listen 10.0.0.7": {Kind: "artnet", Listen: at("10.0.0.7"), Port: artnet.Port,
			Slot: 1, Above: 254, Below: 1},
		"pins /dev/ttyUSB0 carrier":                            {Kind: "pins", Place: "/dev/ttyUSB0", Pin: "carrier", Below: next(0)},
		`pins "the front door" ready normally closed`:          {Kind: "pins", Place: "the front door", Pin: "ready", Opens: true, Below: next(0)},
		"pins COM3 ring normally open":                         {Kind: "pins", Place: "COM3", Pin: "ring", Below: next(0)},
		"gpio gpiochip0 line 17":                               {Kind: "gpio", Place: "/dev/gpiochip0", Line: 17, Below: next(0)},
		"gpio /dev/gpiochip4 line 0 active low pull up":        {Kind: "gpio", Place: "/dev/gpiochip4", Low: true, Pull: "up", Below: next(0)},
		"gpio gpiochip0 line 5 active high normally closed":    {Kind: "gpio", Place: "/dev/gpiochip0", Line: 5, Opens: true, Below: next(0)},
		"pipe /run/door normally closed":                       {Kind: "pipe", Place: "/run/door", Opens: true, Below: next(0)},
		"  e131\tuniverse  1 slot 1 above 0   listen 10.0.0.7": {Kind: "e131", Listen: at("10.0.0.7"), Port: sacn.Port, Universe: 1, Slot: 1, Below: next(0)},
	} {
		if want.Instant() {
			want.Below = next(0)
		}
		if got, err := ParseTrigger(line); err != nil || got != want {
			t.Errorf("%s:\ngot  %+v, %v\nwant %+v", line, got, err, want)
		}
	}
}

func TestTriggerFaults(t *testing.T) {
	for line, faults := range map[string]string{
		"":                                       "column 1: got the end of the line, want a kind of trigger",
		"osk 9000 /a":                            `column 1: got kind "osk", want key, page, osc, notes, e131, artnet, pins, gpio or pipe (did you mean "osc"?)`,
		"key":                                    "column 4: got the end of the line, want a key, as f5",
		"key F5":                                 `column 5: got "F5", want a letter, a digit, or one of f1,`,
		"key A":                                  `got "A", want a letter from a to z`,
		"key f13":                                `got "f13"`,
		"key g":                                  `column 5: got "g", a key that steers the run (take a digit or f1 to f12)`,
		"key ä":                                  `got "ä"`,
		`key " "`:                                `got " ", want a letter`,
		"key a b":                                `column 7: got "b", and key ends before it`,
		"page 2":                                 `column 6: got "2", and page ends before it`,
		"osc /door 9000":                         `column 5: got "/door", want a number from 1 to 65535|column 11: got "9000", want an OSC address`,
		"osc 0 /a":                               `got "0", want a number from 1 to 65535`,
		"osc 9000 /a*":                           `want an OSC address`,
		"osc 9000 /a above x":                    `got "x", want a number`,
		"osc 9000 /a above nan":                  `got "nan", want a number`,
		"osc 9000 /a above 1e999":                `want a number`,
		"osc 9000 /a below 1":                    `column 19: got "1", want at most 0, the level above which it is closed`,
		"osc 9000 /a listen anny":                `column 20: got "anny", want an address of this machine, as 192.168.1.5, or any (did you mean "any"?)`,
		"osc 9000 /a listen 239.255.0.1":         "the address of a group",
		"osc 9000 /a universe 1":                 `got "universe", which osc does not know: it takes above, below or listen`,
		"notes /dev/m":                           "column 13: got the end of the line, want note and its number",
		"notes /dev/m note 128 channel 0":        `got "128", want a number from 0 to 127|got "0", want a number from 1 to 16`,
		"notes /dev/m note 1 note 2":             `got "note" twice`,
		"e131":                                   "want universe and its number|want slot and its number|want above and its number",
		"e131 universe 0 slot 513 above 256":     `got "0", want a number from 1 to 63999|got "513", want a number from 1 to 512|got "256", want a number from 0 to 255`,
		"e131 universe 1 slot 1 above 255":       "no slot is ever above 255",
		"e131 universe 1 slot 1 above 9 below 0": "no slot is ever below 0",
		"e131 universe 1 slot 1 above 9 below 10":                  `column 38: got "10", want at most 9`,
		"e131 universe 1 slot 1 above 1.5":                         `got "1.5", want a number from 0 to 255`,
		"e131 universe 1 slot 1 above 9 interface eth0":            `got "interface" without multicast`,
		"e131 universe 1 slot 1 above 9 multicast listen 1.2.3.4":  `got "listen" and "multicast"`,
		"artnet universe 32768 slot 1 above 1":                     "want a number from 0 to 32767",
		"artnet universe 1 slot 1 above 1 listen ::1":              "Art-Net has IPv4 only",
		"artnet universe 1 slot 1 above 1 multicast":               `which artnet does not know`,
		"pins /dev/ttyUSB0":                                        "want a pin: carrier, ring, clear or ready",
		"pins /dev/ttyUSB0 carier":                                 `got "carier", want carrier, ring, clear or ready (did you mean "carrier"?)`,
		"pins /dev/ttyUSB0 carrier normally":                       "want closed or open",
		"gpio gpiochip0":                                           "want line and its number",
		"gpio gpiochip0 line -1":                                   "want a number from 0 to 65535",
		"gpio gpiochip0 line 1 active lo pull dwon normally close": `got "lo", want low or high|got "dwon", want up, down or none|got "close", want closed or open`,
		`pipe ""`: "got nothing between quotes, want a path",
	} {
		_, err := ParseTrigger(line)
		checkFaults(t, line, err, faults)
	}
}

// Between the two levels a contact stays as it is; without the lower one nothing lies
// between.
func TestCrosses(t *testing.T) {
	for _, c := range []struct {
		line     string
		levels   []float64
		closures string // c and o, level by level, from open on
	}{
		{"e131 universe 1 slot 1 above 128 below 100", []float64{128, 129, 128, 100, 99, 100, 128, 255}, "occcoooc"},
		{"e131 universe 1 slot 1 above 128", []float64{128, 129, 128, 129}, "ococ"},
		{"e131 universe 1 slot 1 above 0", []float64{0, 1, 0}, "oco"},
		{"osc 9 /a above 0.5", []float64{.5, .5000001, .5}, "oco"},
		{"osc 9 /a", []float64{-1, 0, 1e-300, 0}, "ooco"},
	} {
		tr, err := ParseTrigger(c.line)
		if err != nil {
			t.Fatal(err)
		}
		closed, got := false, ""
		for _, v := range c.levels {
			closed = tr.Crosses(v, closed)
			got += map[bool]string{false: "o", true: "c"}[closed]
		}
		if got != c.closures {
			t.Errorf("%s: %v gives %s, want %s", c.line, c.levels, got, c.closures)
		}
	}
}

// What a person reads of a line names all that makes it different from others.
func TestSay(t *testing.T) {
	for line, want := range map[string]string{
		"key f5":                         "the key f5 of this machine",
		"page":                           "its button on the page",
		"osc 9000 /door":                 "OSC /door, UDP port 9000 from this machine alone",
		"osc 9000 /f above 0.5 below .4": "OSC /f above 0.5, until below 0.4, UDP port 9000 from this machine alone",
		"notes /dev/m note 60":           "MIDI note 60 from /dev/m",
		"notes /dev/m note 60 channel 2": "MIDI note 60 on channel 2 from /dev/m",
		"e131 universe 7 slot 12 above 128 listen any":     "E1.31 universe 7, slot 12 above 128, UDP port 5568 from the network",
		"e131 universe 7 slot 12 above 128 multicast":      "E1.31 universe 7, slot 12 above 128, UDP port 5568 from the network, by multicast",
		"artnet universe 0 slot 1 above 9 listen 10.0.0.7": "Art-Net universe 0, slot 1 above 9, UDP port 6454 to 10.0.0.7",
		"pins COM3 ring normally closed":                   "the pin ring of COM3, normally closed",
		"gpio gpiochip0 line 17 active low":                "line 17 of /dev/gpiochip0, active low",
		"pipe /run/door":                                   "the pipe /run/door",
	} {
		tr, err := ParseTrigger(line)
		if got := tr.Say(); err != nil || got != want {
			t.Errorf("%s: %q, %v, want %q", line, got, err, want)
		}
	}
}

func FuzzParseTrigger(f *testing.F) {
	for _, s := range []string{"key f5", "osc 9000 /door above 0.5 below .2", `pins "/dev/a b" ring normally closed`, "e131 universe 1 slot 2 above 3 multicast", "gpio 0 line 1 pull up"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, line string) {
		s, err := ParseTrigger(line)
		var fault *Fault
		if err != nil && (!errors.As(err, &fault) || fault.Column < 1 || fault.Column > len(line)+1) {
			t.Errorf("%q: %v", line, err)
		}
		if err == nil && (s.Kind == "" || !(s.Below <= math.Nextafter(s.Above, math.Inf(1)))) {
			t.Errorf("%q: %+v", line, s)
		}
	})
}
