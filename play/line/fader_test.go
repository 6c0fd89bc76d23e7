package line

import (
	"strings"
	"testing"
)

// A fader's line says what it is, or everything that is wrong with it.
func TestParseFader(t *testing.T) {
	for text, want := range map[string]Fader{
		"controller /dev/snd/midiC1D0 number 7 channel 1": {"/dev/snd/midiC1D0", 7, 1},
		`controller "the desk" channel 16 number 0`:       {"the desk", 0, 16},
		"controller port number 119":                      {"port", 119, 0},
	} {
		if got, err := ParseFader(text); err != nil || got != want {
			t.Errorf("%s: %+v, %v", text, got, err)
		}
	}
	for text, want := range map[string]string{
		"":                                  "want a kind of fader",
		"slider x number 1":                 "want controller",
		"controller":                        "want a MIDI port",
		"controller port":                   "does not say which controller",
		"controller port channel 2":         "does not say which controller",
		"controller port number 120":        "0 to 119",
		"controller port number 7 loud":     `got "loud"`,
		"controller port number 7 number 8": "twice",
	} {
		if _, err := ParseFader(text); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v, want %q", text, err, want)
		}
	}
}

func FuzzParseFader(f *testing.F) {
	f.Add("controller /dev/snd/midiC1D0 number 7 channel 1")
	f.Add(`controller "a b" number`)
	f.Fuzz(func(t *testing.T, text string) {
		if fader, err := ParseFader(text); err == nil && (fader.Number > mostController || fader.Channel > 16) {
			t.Errorf("%q is %+v", text, fader)
		}
	})
}
