package source

import (
	"slices"
	"strconv"
	"strings"
	"testing"
	"unicode"

	"pgregory.net/rapid"
)

func TestVisible(t *testing.T) {
	for text, want := range map[string]string{
		"Füchse, 日本, مرحبا, नमस्ते, 👩‍🚀": "Füchse, 日本, مرحبا, नमस्ते, 👩‍🚀",
		"\x1b[31mred":    `\u001b[31mred`,
		"a\u202egnp.exe": `a\u202egnp.exe`,
		"c1\u009b2J":     `c1\u009b2J`,
		"two\nlines":     `two\u000alines`,
		"bell\a":         `bell\u0007`,
		"bad\xffbyte":    "bad\uFFFDbyte",
	} {
		if got := Visible(text); got != want {
			t.Errorf("%q became %q, want %q", text, got, want)
		}
	}
	if got := VisibleLines("a\tb\nc\rd"); got != "a\tb\nc\\u000dd" {
		t.Errorf("got %q", got)
	}
}

// Whatever a name holds, nothing hidden is left of it, and it is not read as
// another: between quotes it is the JSON string of itself.
func TestVisibleAlways(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringOf(rapid.OneOf(rapid.Rune(), rapid.SampledFrom([]rune("\x1b\u202e\u2066\u009b\u200f\n")))).Draw(t, "text")
		got := Visible(text)
		if strings.IndexFunc(got, func(r rune) bool { return unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r) }) >= 0 {
			t.Fatalf("%q became %q", text, got)
		}
		if strings.ContainsAny(text, `\"`) {
			return
		}
		if back, err := strconv.Unquote(`"` + got + `"`); err != nil || back != strings.ToValidUTF8(text, "\uFFFD") {
			t.Fatalf("%q became %q, which reads %q, %v", text, got, back, err)
		}
	})
}

// The examples are those of the OWASP community page on CSV injection, from
// memory.
func TestCells(t *testing.T) {
	for cell, want := range map[string]string{
		"lagoon": "lagoon", "": "", "-3.5": "-3.5", "+4": "+4", "-1e-3": "-1e-3", "-0:01.500": "-0:01.500", "-20 %": "-20 %", "5-6": "5-6",
		"=1+1":                       "'=1+1",
		`=HYPERLINK("http://x","y")`: `'=HYPERLINK("http://x","y")`,
		"+cmd|' /C calc'!A0":         "'+cmd|' /C calc'!A0",
		"-2+3+cmd|' /C calc'!A0":     "'-2+3+cmd|' /C calc'!A0",
		"@SUM(1+1)":                  "'@SUM(1+1)",
		"\t=1+1":                     "'\t=1+1",
		"\r=1+1":                     `'\u000d=1+1`,
		"  =1+1":                     "'  =1+1",
		"＝1+1":                       "'＝1+1",
		"-":                          "'-",
		"-3.5=x":                     "'-3.5=x",
	} {
		if got := Cells([]string{"a", cell}); !slices.Equal(got, []string{"a", want}) {
			t.Errorf("%q became %q, want %q", cell, got[1], want)
		}
	}
}
