package manual

import (
	"fmt"
	"html"
	"regexp"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf16"
	"unicode/utf8"
)

// Bounds of what is read: a manual's table has some hundred lines.
const (
	maxBytes = 256 << 10
	maxLines = 4000
	maxWidth = 2000
)

// line is a line of the text; cells are apart by tabs.
type line struct {
	number int // in the file, from 1
	text   string
}

// clean makes lines of bytes: the letters of any usual encoding, the source of a web page as
// its text, without the marks of mails, forums and lists. What lies beyond the bounds
// is cut off, which is told; said are the lines that somebody says in a chat.
func clean(data []byte) (lines []line, said map[int]bool, whole bool) {
	said = map[int]bool{}
	whole = len(data) <= maxBytes
	text := decode(data[:min(len(data), maxBytes)])
	text = strings.NewReplacer("\r\n", "\n", "\r", "\n", "\f", "\n", "\v", "\n", "\u2028", "\n").Replace(text)
	if tags.MatchString(text) {
		text = page(text)
	}
	text = html.UnescapeString(text)
	text = boxed(hexadecimal(text))
	if strings.Contains(text, "RVB") || strings.Contains(text, "R,V,B") || strings.Contains(text, "R V B") || strings.Contains(text, "R/V/B") {
		text = vert.ReplaceAllString(text, "${1}vert$2") // French letters
		text = strings.ReplaceAll(text, "RVB", "RGB")
	}
	for i, s := range strings.Split(text, "\n") {
		if i == maxLines {
			return lines, said, false
		}
		if len(s) > maxWidth {
			s, whole = strings.ToValidUTF8(s[:maxWidth], ""), false
		}
		if t := unmark(s); t != "" || strings.TrimSpace(quoted.ReplaceAllString(s, "")) == "" { // rules are left out
			lines = append(lines, line{i + 1, t})
			said[i+1] = chat.MatchString(s)
		}
	}
	return lines, said, whole
}

// decode reads UTF-8, UTF-16 with its mark, or else the western letters of old
// spreadsheets (Windows-1252 without its rare signs).
func decode(data []byte) string {
	if len(data) >= 2 && (data[0] == 0xff && data[1] == 0xfe || data[0] == 0xfe && data[1] == 0xff) {
		units := make([]uint16, 0, len(data)/2)
		for i := 2; i+1 < len(data); i += 2 {
			a, b := uint16(data[i]), uint16(data[i+1])
			if data[0] == 0xff {
				a, b = b, a
			}
			units = append(units, a<<8|b)
		}
		return string(utf16.Decode(units))
	}
	text := strings.TrimPrefix(string(data), "\uFEFF")
	switch {
	case utf8.ValidString(text):
		return twice(text)
	case utf8.RuneCountInString(strings.ToValidUTF8(text, "")) < len(strings.ToValidUTF8(text, "")):
		// Letters of more than one byte come about by chance next to never: some were cut.
		return strings.ToValidUTF8(text, "\uFFFD")
	}
	var b strings.Builder
	for _, c := range []byte(text) {
		if r, found := old[c]; found {
			b.WriteRune(r)
		} else {
			b.WriteRune(rune(c))
		}
	}
	return b.String()
}

// old are the signs of Windows-1252 that are not those of Unicode's first page.
var old = map[byte]rune{0x80: '€', 0x82: '‚', 0x84: '„', 0x85: '…', 0x91: '‘', 0x92: '’', 0x93: '“', 0x94: '”', 0x95: '•', 0x96: '–', 0x97: '—', 0x9c: 'œ'}

// twice undoes that a text was taken for Windows-1252 and encoded again: "GrÃ¼n".
func twice(text string) string {
	if !strings.Contains(text, "Ã") && !strings.Contains(text, "â€") {
		return text
	}
	back := map[rune]byte{}
	for b, r := range old {
		back[r] = b
	}
	var out []byte
	for _, r := range text {
		b, found := back[r]
		if !found && r > 255 {
			return text
		}
		if !found {
			b = byte(r)
		}
		out = append(out, b)
	}
	if !utf8.Valid(out) {
		return text
	}
	return string(out)
}

var hexPair = regexp.MustCompile(`(?i)(\$|0x|\b)([0-9a-f]{2})(h?)( ?(?:-|–|to|bis|\.\.+) ?)(\$|0x)?([0-9a-f]{2})(h?)\b`)

// hexadecimal writes ranges of values in hexadecimal figures in decimal ones: those that are
// marked so, and all of a text in which ranges end at FF.
func hexadecimal(text string) string {
	all := 0
	for _, m := range hexPair.FindAllStringSubmatch(text, -1) {
		if strings.EqualFold(m[6], "FF") && m[2][0] >= '0' && m[2][0] <= '9' {
			all++
		}
	}
	return hexPair.ReplaceAllStringFunc(text, func(s string) string {
		m := hexPair.FindStringSubmatch(s)
		if m[3] == "" && m[1] == "" && m[5] == "" && all < 2 {
			return s
		}
		a, _ := strconv.ParseUint(m[2], 16, 16)
		b, _ := strconv.ParseUint(m[6], 16, 16)
		return fmt.Sprintf("%d-%d", a, b)
	})
}

// signs writes signs that mean the same as one.
var signs = strings.NewReplacer(
	"–", "-", "—", "-", "−", "-", "‒", "-", "‑", "-", "‐", "-", "～", "-", "~", "-", "÷", "-", "⇔", "-", "↔", "-", "<->", "-", "<=>", "-", "⟷", "-",
	"→", "\x01", "⇒", "\x01", "➔", "\x01", "➜", "\x01", "->", "\x01", "»", "\x01", "⟶", "\x01",
	"≥", ">=", "≤", "<=", "…", "...", "“", `"`, "”", `"`, "„", `"`, "‘", "'", "’", "'", "\u00a0", " ", "\u2009", " ", "\u202f", " ", "\u200b", "", "\u00ad", "",
	"**", "", "__", "", "`", "", "×", "x", "：", ":", "，", ",", "（", "(", "）", ")")

var (
	ligature   = regexp.MustCompile(`\b(\p{L}) ([ﬀﬃﬄ])`) // a blank before it is the copy's
	unjoin     = strings.NewReplacer("ﬀ", "ff", "ﬁ", "fi", "ﬂ", "fl", "ﬃ", "ffi", "ﬄ", "ffl")
	chat       = regexp.MustCompile(`^\[\d{1,2}:\d{2}(?::\d{2})?\] ?[\p{L}\d ._-]{1,24}: `)
	faster     = regexp.MustCompile(`(\p{L}) ?>>>?( *(?:\||$))`)
	slowFast   = regexp.MustCompile(`(^|[\s=:])S ?(?:>|\x01|-) ?F(\s|$)`)
	vert       = regexp.MustCompile(`(^|[ ,/(:])V([ ,/):]|$)`)
	pageRule   = regexp.MustCompile(`^\s*-+ ?\d{1,4} ?-+\s*$`)
	struck     = regexp.MustCompile(`(^|[\s|*])~~[^~\s](?:[^~]*[^~\s])?~~($|[\s|*.,;])`)
	labelArrow = regexp.MustCompile(`(?i)^(\s*(?:ch|channel|kanal|canal|slot|fader)\.? ?\d{1,3}) ?\x01 ?`)

	quoted  = regexp.MustCompile(`^(?:[ \t]*>)+ ?`)
	bullet  = regexp.MustCompile(`^([ \t]*)(?:[*•·▪●○◦‣■□]|-[ ]|--[ ]|#{1,6}[ ])[ \t]*`)
	ruled   = regexp.MustCompile(`^[ \t|:+=_*.-]*$`)
	bracket = regexp.MustCompile(`(?i)\[/?(?:b|i|u|table|tr|td|th|code|list|color=\w+|size=\w+|\*)\]`)
	arrow   = regexp.MustCompile(`[ \t]*\x01[ \t]*`)
	dots    = regexp.MustCompile(`(\d) ?\.{2,3} ?(\d)`)
)

// unmark takes the marks of mails, forums and lists off a line. A bullet leaves its indent.
func unmark(s string) string {
	s = quoted.ReplaceAllString(s, "")
	if struck.MatchString(s) {
		s = unstruck(s)
	}
	s = bracket.ReplaceAllString(s, "")
	s = signs.Replace(strings.ReplaceAll(s, "\x01", " "))
	s = ligature.ReplaceAllString(chat.ReplaceAllString(s, ""), "$1$2")
	s = unjoin.Replace(s)
	s = faster.ReplaceAllString(s, "$1 slow to fast$2")
	s = slowFast.ReplaceAllString(s, "${1}slow to fast$2")
	s = labelArrow.ReplaceAllString(s, "$1  ")
	s = strings.Map(func(r rune) rune {
		if r == '\t' || r == 1 || unicode.IsPrint(r) {
			return r
		}
		return ' '
	}, s)
	if ruled.MatchString(s) && strings.Trim(s, " \t.") != "" || pageRule.MatchString(s) {
		return "" // a rule between lines
	}
	s = bullet.ReplaceAllString(s, "$1  ")
	s = arrow.ReplaceAllString(s, " to ")
	s = dots.ReplaceAllString(s, "$1-$2")
	return strings.TrimRight(s, " \t")
}

// unstruck takes out what is struck through; with a row's first cell goes the row.
func unstruck(s string) string {
	if at := struck.FindStringIndex(s); strings.Trim(s[:at[0]], " |*\t-") == "" {
		return ""
	}
	return struck.ReplaceAllString(s, "$1$2")
}
