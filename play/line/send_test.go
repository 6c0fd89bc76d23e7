package line

import (
	"errors"
	"net/netip"
	"strings"
	"testing"

	"lampblack/wire/timecode"
)

func TestParseSend(t *testing.T) {
	to := netip.MustParseAddrPort
	for line, want := range map[string]Send{
		"notes /dev/snd/midiC1D0":              {Kind: "notes", Place: "/dev/snd/midiC1D0"},
		`programs "my port"`:                   {Kind: "programs", Place: "my port"},
		"show-control COM3":                    {Kind: "show-control", Place: "COM3"},
		"osc 192.168.1.30:9000 /cue":           {Kind: "osc", Place: "/cue", To: to("192.168.1.30:9000")},
		"osc 127.0.0.1:1 / as text":            {Kind: "osc", Place: "/", To: to("127.0.0.1:1")},
		"osc [::1]:9000 /a/b as number":        {Kind: "osc", Place: "/a/b", To: to("[::1]:9000"), Number: true},
		"osc [::ffff:10.0.0.1]:9000 /a":        {Kind: "osc", Place: "/a", To: to("10.0.0.1:9000")},
		"mtc /dev/m rate 30 start 01:00:00:00": {Kind: "mtc", Place: "/dev/m", Clock: Clock{Kind: "mtc", Device: "/dev/m", Rate: timecode.Rate30, Rated: true, Start: timecode.Rate30.Frame(108000), Samples: 48000}},
	} {
		if got, err := ParseSend(line); err != nil || got != want {
			t.Errorf("%s:\ngot  %+v, %v\nwant %+v", line, got, err, want)
		}
	}
	for line, faults := range map[string]string{
		"":                             "want what to send",
		"pigeon post":                  `got kind "pigeon", want notes, programs, show-control, osc, mtc or ltc`,
		"notes":                        "column 6: got the end of the line, want a MIDI port",
		"notes my port":                `column 10: got "port", and notes ends before it (put a name with spaces into double quotes)`,
		"osc":                          "want an address and port, as 192.168.1.30:9000|want an OSC address, as /cue",
		"osc 192.168.1.30 /cue":        `column 5: got "192.168.1.30", want an address and port`,
		"osc 10.0.0.1:0 /cue":          `got "10.0.0.1:0", want an address and port`,
		"osc localhost:9 cue as numbr": `got "localhost:9"|column 17: got "cue", want an OSC address|got "numbr", want text or number (did you mean "number"?)`,
		"osc 10.0.0.1:9 /cue ass":      `got "ass", which osc does not know: it takes as (did you mean "as"?)`,
		"osc 10.0.0.1:9 /cue as":       "want text or number",
		"mtc /dev/m rate 7":            "column 17",
	} {
		_, err := ParseSend(line)
		checkFaults(t, line, err, faults)
	}
}

// checkFaults holds the error of a line to all that is said to be wrong with it, "|" between.
func checkFaults(t *testing.T, line string, err error, faults string) {
	t.Helper()
	if err == nil {
		t.Errorf("%s: taken", line)
		return
	}
	for _, f := range strings.Split(faults, "|") {
		if !strings.Contains(err.Error(), f) {
			t.Errorf("%s: no %q in\n%v", line, f, err)
		}
	}
	var fault *Fault
	if !errors.As(err, &fault) || fault.Column < 1 || fault.Column > len(line)+1 {
		t.Errorf("%s: fault %+v", line, fault)
	}
}

func FuzzParseSend(f *testing.F) {
	for _, s := range []string{"osc 10.0.0.1:9 /cue as number", `notes "a b"`, "ltc - samples 8000"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, line string) {
		s, err := ParseSend(line)
		var fault *Fault
		if err != nil && (!errors.As(err, &fault) || fault.Column < 1 || fault.Column > len(line)+1) {
			t.Errorf("%q: %v", line, err)
		}
		if err == nil && (s.Kind == "" || s.Place == "") {
			t.Errorf("%q: %+v", line, s)
		}
	})
}
