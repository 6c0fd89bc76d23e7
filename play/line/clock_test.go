package line

import (
	"errors"
	"strings"
	"testing"
)

func TestParseClock(t *testing.T) {
	s, err := ParseClock(`ltc "/tmp/a b" start 00:59:59:23 rate 24 samples 44100`)
	if err != nil || s.Device != "/tmp/a b" || s.Start.String() != "00:59:59:23" || s.Samples != 44100 {
		t.Errorf("%+v, %v", s, err)
	}
	for line, says := range map[string]string{
		"":                          `column 1: got the end of the line, want mtc or ltc`,
		"mtc":                       "column 4: got the end of the line",
		"mtc /x rate 26":            `column 13: frame rate: got "26"`,
		"mtc /x start 00:00:00:25":  "column 14: timecode: got 00:00:00:25",
		"mtc /x samples 48000":      "which mtc does not know",
		"midi /x rate 25":           `column 1: got kind "midi", want mtc or ltc`,
		"mtc /x rate 25 rate 24":    `column 16: got "rate" twice`,
		"ltc /x samples 7":          "want a number from 8000 to 192000",
		`ltc /x "" rate 25`:         `column 8: got "", which ltc does not know`,
		"ltc /x quickly":            `column 8: got "quickly"`,
		"ltc /x rate 29.97 start 1": `column 25: timecode: got "1"`,
	} {
		if _, err := ParseClock(line); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%s: %v, want %q in it", line, err, says)
		}
	}
}

func FuzzParseClock(f *testing.F) {
	f.Add(`ltc "/tmp/a b" start 00:59:59:23 rate 24 samples 44100`)
	f.Fuzz(func(t *testing.T, line string) {
		s, err := ParseClock(line)
		var fault *Fault
		if err != nil && (!errors.As(err, &fault) || fault.Column < 1 || fault.Column > len(line)+1) {
			t.Errorf("%q: %v", line, err)
		}
		if err == nil && (s.Device == "" || s.Start.Check() != nil) {
			t.Errorf("%q: %+v", line, s)
		}
	})
}
