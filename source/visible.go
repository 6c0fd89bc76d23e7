package source

import (
	"fmt"
	"regexp"
	"strings"
	"unicode"
	"unicode/utf8"
)

// hidden tells whether a character does something to the text around it instead
// of being seen: control characters (general category Cc, the escape of
// terminals among them), and what turns the direction of letters (Bidi_Control,
// Unicode Standard Annex 9), which can make a line read as another.
func hidden(r rune) bool {
	return unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r) || r == '\u2028' || r == '\u2029'
}

// Visible makes the hidden characters of a name from a file visible, as YAML
// and JSON write them in quotes: \u001b. What it returns stays on its line.
func Visible(text string) string {
	return visible(text, hidden)
}

// VisibleLines is Visible for a text of several lines: line ends and tabs stay.
func VisibleLines(text string) string {
	return visible(text, func(r rune) bool { return hidden(r) && r != '\n' && r != '\t' })
}

// visible is text itself when nothing in it is hidden. Bytes that are no UTF-8 become the
// replacement character, which is seen.
func visible(text string, hidden func(rune) bool) string {
	if utf8.ValidString(text) && strings.IndexFunc(text, hidden) < 0 {
		return text
	}
	var b strings.Builder
	for i := 0; i < len(text); {
		r, size := utf8.DecodeRuneInString(text[i:])
		switch {
		case r == utf8.RuneError && size == 1:
			b.WriteRune(utf8.RuneError)
		case hidden(r):
			fmt.Fprintf(&b, `\u%04x`, r)
		default:
			b.WriteString(text[i : i+size])
		}
		i += size
	}
	return b.String()
}

// asNumber is what begins like a formula and is a number, a share or a time.
var asNumber = regexp.MustCompile(`^[+-]?(\d+:)*\d+([.,]\d+)?([eE][+-]?\d+)?( ?%)?$`)

// Cells makes the cells of a row of a table for spreadsheets harmless: text that
// a spreadsheet would run as a formula gets a single quote in front, and hidden
// characters are made visible. Numbers stay numbers. What begins a formula is
// as the OWASP community page on CSV injection lists it: = + - @, tab and
// carriage return, and the wide forms of the first four.
func Cells(row []string) []string {
	out := make([]string, len(row))
	for i, cell := range row {
		begins := strings.TrimLeft(cell, " ")
		if begins != "" && strings.ContainsRune("=+-@\t\r\n＝＋－＠", []rune(begins)[0]) && !asNumber.MatchString(begins) {
			cell = "'" + cell
		}
		out[i] = VisibleLines(cell)
	}
	return out
}
