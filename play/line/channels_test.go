package line

import (
	"errors"
	"strings"
	"testing"
)

func TestParseChannels(t *testing.T) {
	for text, want := range map[string]Channels{"1-2": {1, 2}, "3": {3, 3}, " 31-32 ": {31, 32}, "2-3": {2, 3}, "32": {32, 32}} {
		if c, err := ParseChannels(text); err != nil || c != want || c.String() != strings.TrimSpace(text) {
			t.Errorf("%q: %+v (%s), %v", text, c, c, err)
		}
	}
	for text, says := range map[string]string{
		"":                     "column 1: got the end of the line, want channels of the sound device, as 1-2 or 3",
		`""`:                   "column 1: got nothing between quotes",
		"0":                    `column 1: got "0", want a channel from 1 to 32, or a pair as 1-2`,
		"33":                   `column 1: got "33"`,
		"left":                 `column 1: got "left"`,
		"1-":                   `column 3: got ""`,
		"-2":                   `column 1: got ""`,
		"x-y":                  "column 1: got \"x\", want a channel from 1 to 32, or a pair as 1-2\ncolumn 3: got \"y\"",
		"1-3":                  `column 1: got "1-3", want one channel or two neighbours, the left one first (1-2)`,
		"2-1":                  `the left one first (1-2)`,
		"4-4":                  `the left one first (4-5)`,
		"32-32":                `the left one first (31-32)`,
		"1-2-3":                `column 3: got "2-3"`,
		"1 - 2":                `column 3: got "-" behind the channels`,
		"1-2, 3":               `column 3: got "2,"`,
		"99999999999999999999": "want a channel",
	} {
		if _, err := ParseChannels(text); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%q: %v, want %q in it", text, err, says)
		}
	}
	if (Channels{1, 2}).Meets(Channels{3, 4}) || !(Channels{1, 2}).Meets(Channels{2, 2}) || (Channels{2, 2}).Say() != "channel 2" {
		t.Error("channels that meet, or their words")
	}
}

func FuzzParseChannels(f *testing.F) {
	f.Add("1-2")
	f.Fuzz(func(t *testing.T, text string) {
		c, err := ParseChannels(text)
		var fault *Fault
		if err != nil && (!errors.As(err, &fault) || fault.Column < 1 || fault.Column > len(text)+1) {
			t.Errorf("%q: %v", text, err)
		}
		if again, err2 := ParseChannels(c.String()); err == nil && (err2 != nil || again != c) {
			t.Errorf("%q: %+v is read again as %+v", text, c, again)
		}
	})
}
