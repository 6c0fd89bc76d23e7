package living

import (
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func read(t testing.TB, text string) Every {
	t.Helper()
	var e Every
	if err := e.UnmarshalText([]byte(text)); err != nil {
		t.Fatal(err)
	}
	return e
}

func TestEveryForms(t *testing.T) {
	for text, want := range map[string]string{
		"beat": "", "off-beat": "", "bar": "", "2 beats": "", "64 bars": "", "0.8 s": "", "1 . 3 .": "", "1": "",
		"1 2 3 4": "", ". 2 . 4": "", "1 . . . | 1 . 3 .": "",
		" 1  beats": "beat", "1 bars": "bar", "800 ms": "0.8 s", "1.|1 .": "!", "1 .|1 .": "1 . | 1 .", "0:02": "2 s",
	} {
		var e Every
		err := e.UnmarshalText([]byte(text))
		switch {
		case want == "!" && err == nil:
			t.Errorf("%q is read as %v", text, e)
		case want != "!" && err != nil:
			t.Errorf("%q: %v", text, err)
		case want == "" && e.String() != text, want != "" && want != "!" && e.String() != want:
			t.Errorf("%q is read as %q", text, e)
		}
	}
}

// What is wrong is said with the word that is wrong.
func TestEveryFaults(t *testing.T) {
	for text, want := range map[string]string{
		"":                             "how often",
		"  ":                           "how often",
		"tuesday":                      "tuesday",
		"2":                            `"2" does not say of what: write 2 beats, 2 bars or 2 s`,
		"0.8":                          `"0.8" does not say of what: write 0.8 s`,
		"0 beats":                      "whole number",
		"65 bars":                      "64",
		"-3 bars":                      "whole number",
		"beats":                        "whole number",
		"2.5 beats":                    "whole number",
		"2 or 3 beats":                 "whole number",
		"0.05 s":                       "0.1 s",
		"2 h":                          "hour",
		"-1 s":                         "hour",
		"1 . 4 .":                      "beat 3 of a bar is written 3",
		"2 . . .":                      "beat 1 of a bar is written 1",
		"1 . x .":                      `"x"`,
		". . . .":                      "nothing happens",
		". | .":                        "nothing happens",
		"1 . . . |":                    "bar 2 of the pattern",
		"1 . . . | 1 . 2 .":            "bar 2 of the pattern: beat 3",
		strings.Repeat("1|", 16) + "1": "17 bars",
		strings.Repeat(". ", 17):       "17 beats",
	} {
		var e Every
		err := e.UnmarshalText([]byte(text))
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v; wanted something of %q", text, err, want)
		}
	}
}

// What is printed is read as the same; nothing that is read panics.
func TestEveryRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.OneOf(rapid.StringMatching(`[0-9.|a-z -]{0,30}`), rapid.StringMatching(`(1|\.)( (2|\.)){0,3}( \| (1|\.)( 2| \.){1,2}){0,3}`), rapid.String()).Draw(t, "text")
		var e, again Every
		if e.UnmarshalText([]byte(text)) != nil {
			return
		}
		if err := again.UnmarshalText([]byte(e.String())); err != nil || again.String() != e.String() {
			t.Fatalf("%q prints as %q, which is read as %q: %v", text, e, again, err)
		}
	})
}
