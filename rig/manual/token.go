package manual

import (
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode"
)

// kindOf is what a token is.
type kindOf uint8

const (
	isWord   kindOf = iota // with what it means
	isNumber               // alone
	isRange                // of slot values
	isRate                 // flashes a second
	isAmount               // of anything else, with its unit
	isSlots                // CH5, slots 1-4
	isCount                // 8 channels
	isBreak                // a sign, a gap, the end of a line
)

// token is a piece of a line.
type token struct {
	kind     kindOf
	text     string // as written
	senses   []sense
	from, to int     // of a range, a number; open ends are below
	low, top float64 // of a rate, Hz; of an amount
	percent  bool
	slots    []int // of isSlots
	index    int   // the number that belongs to a word: of a cell
	slip     string
	down     bool // a range that was written from its top
	glued    bool // the number stood in the word: R1
	column   int  // where it begins
}

// Ends of a range that are told by the ranges beside it.
const (
	above = -1 // begins after the range before
	below = -2 // ends before the range after; or at the top
)

func (t *token) is(senses ...sense) bool {
	return slices.ContainsFunc(t.senses, func(s sense) bool { return slices.Contains(senses, s) })
}

// unread writes letters that a scan took for digits as digits.
func unread(s string) string { return misread.Replace(s) }

var misread = strings.NewReplacer("l", "1", "I", "1", "|", "1", "O", "0", "o", "0", "S", "5")

// scanned finds figures with such letters: "O-lO", "3l-l5O", and "CHl".
var (
	scanned  = regexp.MustCompile(`\b[0-9OolIS]{1,3} ?- ?[0-9OolIS]{1,3}\b`)
	scanLead = regexp.MustCompile(`^\s*(?:[0-9][OolIS]|[OolIS][0-9])\s{2,}[0-9OolIS]{1,3} ?- ?[0-9OolIS]{1,3}\b`)
	oneHertz = regexp.MustCompile(`\b[lI](\s?Hz\b)`)
	letter1  = regexp.MustCompile(`[A-Za-z]{2,}`)
)

// straighten mends what a scan misread: letters in figures, figures in words.
func straighten(s string) string {
	if m := scanLead.FindString(s); m != "" { // a slot's number
		s = unread(m) + s[len(m):]
	}
	s = oneHertz.ReplaceAllString(s, "1$1")
	return scanned.ReplaceAllStringFunc(s, func(m string) string {
		if strings.ContainsAny(m, "0123456789") && !strings.HasPrefix(m, "S ") || strings.ContainsAny(m, "OIl") && !letter1.MatchString(strings.NewReplacer("O", "", "I", "", "l", "", "o", "").Replace(m)) {
			return unread(m)
		}
		return m
	})
}

var (
	wordForm  = regexp.MustCompile(`^[\p{L}][\p{L}'0-9]*`)
	hyphen    = regexp.MustCompile(`(\p{L})-(\p{L})`)
	cellForm  = regexp.MustCompile(`^(\p{L}{1,12}?)(\d{1,3})$`)
	misplaced = regexp.MustCompile(`\p{L}[0-9]+\p{L}|^[0-9]\p{L}{3}|\p{Lu}{4,}[0-9]$`)
)

// scan takes a line apart.
func scan(text string) []token {
	text = hyphen.ReplaceAllString(straighten(text), "$1 $2")
	text = hyphen.ReplaceAllString(text, "$1 $2") // a-b-c
	var out []token
	for i := 0; i < len(text); {
		rest := text[i:]
		if n := len(rest) - len(strings.TrimLeft(rest, " ")); n > 0 {
			if n > 1 && len(out) > 0 {
				out = append(out, token{kind: isBreak, text: "  ", column: i})
			}
			i += n
			continue
		}
		t, n := next(rest, i > 0 && isLetterOrDigit(text[i-1]), len(nonBreaks(out)) == 0)
		t.column = i
		out = append(out, t)
		i += n
	}
	return phrases(out)
}

func isLetterOrDigit(c byte) bool {
	return c >= '0' && c <= '9' || c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z'
}

// next takes the first token off.
func next(rest string, within, leads bool) (token, int) {
	if !within {
		for i, f := range forms {
			// A number that begins a line counts nothing: "4 W" is the slot of white.
			if leads && i == len(forms)-2 {
				continue
			}
			m := f.re.FindStringSubmatch(rest)
			if m == nil || endsInWord(rest, len(m[0])) {
				continue
			}
			if t, ok := f.make(m); ok {
				t.text = m[0]
				return t, len(m[0])
			}
		}
	}
	if w := wordForm.FindString(rest); w != "" {
		return wordToken(w), len(w)
	}
	r := []rune(rest)[0]
	return token{kind: isBreak, text: string(r)}, len(string(r))
}

// endsInWord tells whether a match stops in the middle of a word.
func endsInWord(s string, n int) bool {
	if n >= len(s) || n == 0 || !isLetterOrDigit(s[n-1]) {
		return false
	}
	r := []rune(s[n:min(n+4, len(s))])
	return len(r) > 0 && (unicode.IsLetter(r[0]) || unicode.IsDigit(r[0]))
}

func wordToken(w string) token {
	t := token{kind: isWord, text: w}
	if m := cellForm.FindStringSubmatch(w); m != nil && !misplaced.MatchString(w) {
		t.index, _ = strconv.Atoi(m[2])
		t.glued = true
		w = m[1]
	} else if misplaced.MatchString(w) {
		w = strings.NewReplacer("1", "l", "0", "o", "5", "s", "8", "b", "4", "a", "3", "e").Replace(w)
		t.text = w
	}
	if s := colourLetters(w); s != nil {
		t.senses = s
		return t
	}
	f := fold(w)
	t.senses, t.slip = meaning(f)
	if t.senses == nil && strings.Contains(f, "rn") { // misread m
		t.senses, t.slip = meaning(strings.ReplaceAll(f, "rn", "m"))
	}
	return t
}

// phrases joins words that mean something together, and numbers with the word that
// they belong to: section 3, dimmer 1, program 12.
func phrases(in []token) []token {
	var out []token
	for i := 0; i < len(in); {
		t := in[i]
		n := 1
		if t.kind == isWord && !t.glued {
			for _, p := range lexicon()[fold(t.text)] {
				if len(p.words) > 1 && follows(in[i:], p.words) {
					t.senses, t.slip, n = []sense{p.sense}, "", len(p.words)
					for _, w := range in[i+1 : i+n] {
						t.text += " " + w.text
					}
					break
				}
			}
		}
		if k := i + n; t.kind == isWord && !t.glued && k < len(in) && in[k].kind == isNumber && in[k].from > 0 && owns(t, in, k) {
			t.index = in[k].from
			n++
		}
		out = append(out, t)
		i += n
	}
	return out
}

// owns tells whether a number behind a word counts it: of a cell, a dimmer, a program. A
// number before a sign that says what a value does stands for itself.
func owns(t token, in []token, k int) bool {
	if !t.is("cell", "dim", "program", "effectless", "colour") && !isLight(t.senses) {
		return false
	}
	if k+1 < len(in) && in[k+1].kind == isBreak && strings.Contains("=:", in[k+1].text) && t.is("dim", "colour", "program") {
		return t.is("dim")
	}
	return true
}

func isLight(s []sense) bool { return len(s) > 0 && slices.Contains(lights, s[0]) }

func follows(in []token, words []string) bool {
	if len(in) < len(words) {
		return false
	}
	for i, w := range words {
		if in[i].kind != isWord || fold(in[i].text) != w {
			return false
		}
	}
	return true
}
