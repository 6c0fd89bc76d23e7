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

const (
	num = `(\d{1,3}(?:[.,]\d{1,2})?)`
	one = `(\d{1,3})`
)

// form is one kind of token: the first that fits at a place is taken.
type form struct {
	re   *regexp.Regexp
	make func(m []string) (token, bool)
}

func re(s string) *regexp.Regexp { return regexp.MustCompile(`^(?i:` + s + `)`) }

var (
	perSecond = `(?:hz|hertz|fps|/ ?s(?:ec)?\b|/ ?second|x ?/ ?s|(?:flash(?:es)?|blitze?|blinks?|times|mal|eclairs?|éclairs?|destellos?)? ?(?:/|per|pro|par|por|a) ?s(?:ec(?:ond)?|ekunde|econde|egundo)?\b\.?)`
	joint     = ` ?(?:-|\.\.+|to|bis|up to|bis zu|until|à|a|al|and|/) ?`
	units     = `(?:%|percent\b|prozent\b|pct\b|ms\b|(?-i:s)\b|secs?\b|seconds?\b|sek\b|sekunden?\b|secondes?\b|segundos?\b|min\b|minutes?\b|(?-i:K)\b|kelvin\b|°(?: ?[ck]\b)?|deg(?:rees?)?\b|grad\b|(?-i:W)\b|watts?\b|mm\b|cm\b|nm\b|lm\b|lux\b|khz\b)`
	unitWords = `(?:%|percent|prozent|pct|ms\b|s\b|sec\b|secs\b|seconds?|sek\b|sekunden?|seconds?|secondes?|segundos?|min\b|minutes?|k\b|kelvin|°(?: ?[ck])?|deg(?:rees?)?\b|grad|w\b|watts?|mm\b|cm\b|m\b|kg\b|v\b|va\b|a\b|nm\b|lm\b|lux|bit\b|-bit|leds?\b|pcs\b|x\b|in 1\b|colou?rs?\b|farben|couleurs|colores|programs?\b|programmes?\b|patterns?\b|steps?\b|speeds?\b|effects?\b|khz|times\b|st\b|nd\b|rd\b|th\b|/)`
)

var forms = []form{
	{re(`dmx[ -]?512(?:[ -]?a)?\b`), amountToken},
	{re(`(?:(?:dmx[ -]?)?(?:channels?|kanäle|kanal|canaux|canales|ch)|modes?)[ :=]+\d{1,3}(?: ?(?:/|,|&|or|oder|and|und|et|ou|o|y) ?\d{1,3})+ ?-?(?:ch|chs|channels?|kanal|kanäle|canaux|canales|slots?)\b`), amountToken},
	{re(`(?:channels?|chann?els?|channe1s?|chan|ch|kanal|kanale|kanäle|kanaal|kan|slots?|dmx(?:[ -]?(?:ch(?:annel)?|slot|kanal))?|canal|canaux|canales|canale|voie)(?:\.|:)? ?#?(\d{1,3}|[0-9lIO]{1,3})((?: ?(?:-|/|,|&|\+|to|bis|and|und|et|y|\.\.) ?(?:ch|c|channels?|kanal|slot)?\.? ?\d{1,3})*)\b`), slotsToken},
	{re(`(?:<|under|unter|below|less than|bis unter|moins de|menos de|before) ?` + one + `\b`), func(m []string) (token, bool) {
		n, _ := strconv.Atoi(m[1])
		return token{kind: isRange, from: above, to: n - 1}, n > 0 && n <= 256
	}},
	{re(`(?:first|ersten?|premi[eè]res?|primeros?) ` + one + ` (?:values?|werte?|steps?|valeurs|valores|stufen)`), func(m []string) (token, bool) {
		n, _ := strconv.Atoi(m[1])
		return token{kind: isRange, from: 0, to: n - 1}, n > 0 && n <= 256
	}},
	{re(`>= ?` + one + `\b`), func(m []string) (token, bool) {
		n, _ := strconv.Atoi(m[1])
		return token{kind: isRange, from: n, to: below}, n <= 255
	}},
	{re(`(?:>|over|above|über|ueber|more than|greater than|mehr als|plus de|más de|mas de|au-dessus de|higher than) ?` + one + `\b`), func(m []string) (token, bool) {
		n, _ := strconv.Atoi(m[1])
		return token{kind: isRange, from: n + 1, to: below}, n < 255
	}},
	{re(`(?:<=|up to|bis zu|bis|until|till|jusqu'à|jusqu'a|jusque|hasta) ?` + one + `\b`), func(m []string) (token, bool) {
		n, _ := strconv.Atoi(m[1])
		return token{kind: isRange, from: above, to: n}, n <= 255
	}},
	{re(num + `(?: ?` + perSecond + `)?` + joint + num + ` ?` + perSecond), rateToken},
	{re(num + ` ?` + perSecond), func(m []string) (token, bool) { return rateToken([]string{m[0], m[1], m[1]}) }},
	{re(`(?:from|between|von|zwischen|de|du|desde|entre|dal?|values?|werte?)? ?\(?` + one + `%` + joint + one + ` ?%`), percentToken},
	{re(one + joint + one + ` ?%`), percentToken},
	{re(num + joint + num + ` ?` + units), amountToken},
	{re(one + ` ?%`), func(m []string) (token, bool) { return percentToken([]string{m[0], m[1], m[1]}) }},
	{re(one + ` ?-? ?(?:ch|chan|channels?|chs|kanal|kanale|kanäle|kanaele|kanalen|slots?|canaux|canal|canales|canali|voies|dmx[ -]channels?|dmx[ -]slots?|dmx[ -]ch|dmx[ -]kanäle)\b\.?`), countToken},
	{re(`(?:\$|0x)([0-9a-f]{2})` + joint + `(?:\$|0x)([0-9a-f]{2})\b`), hexToken},
	{re(`([0-9a-f]{2})h` + joint + `([0-9a-f]{2})h\b`), hexToken},
	{re(`(\d{3}) +(\d{3})\b`), rangeToken}, // two columns of three figures
	{re(`(0) +(255)\b`), rangeToken},
	{re(`(?:(?:from|between|von|zwischen|desde|entre|dal?|values?|werte?) )?` + one + joint + one + `\b`), rangeToken},
	{re(`(?:from|ab|starting at|starting from|a partir de|à partir de|desde|von) ?` + one + `(?: ?(?:up(?:wards)?|on(?:wards?)?|an|auf|aufwärts|and up))?\b`), fromToken},
	{re(one + ` ?(?:\+|and up(?:wards)?|and above|and over|upwards?|up|onwards?|und mehr|und höher|et plus|y más|or more)(?:\W|$)`), fromToken},
	{re(num + ` ?` + unitWords), amountToken},
	{re(num + `\b`), func(m []string) (token, bool) {
		n, err := strconv.Atoi(m[1])
		if err != nil {
			return token{kind: isAmount}, true
		}
		return token{kind: isNumber, from: n, to: n}, true
	}},
}

func slotsToken(m []string) (token, bool) {
	first, err := strconv.Atoi(unread(m[1]))
	if err != nil || first < 1 || first >= 512 {
		return token{}, false
	}
	t := token{kind: isSlots, slots: []int{first}}
	rest := m[2]
	for _, p := range moreSlots.FindAllStringSubmatch(rest, -1) {
		n, _ := strconv.Atoi(p[2])
		last := t.slots[len(t.slots)-1]
		switch sign := strings.ToLower(strings.TrimSpace(p[1])); {
		case n <= last || n > 512 || len(t.slots) > 512:
			return t, false
		case sign == "-" || sign == "to" || sign == "bis" || sign == "..":
			for k := last + 1; k <= n; k++ {
				t.slots = append(t.slots, k)
			}
		default:
			t.slots = append(t.slots, n)
		}
	}
	return t, true
}

var moreSlots = regexp.MustCompile(`(?i) ?(-|/|,|&|\+|to|bis|and|und|et|y|\.\.) ?(?:ch|c|channels?|kanal|slot)?\.? ?(\d{1,3})`)

func rateToken(m []string) (token, bool) {
	low, top := figure(m[1]), figure(m[2])
	return token{kind: isRate, low: low, top: top}, low >= 0 && top <= 100 && low <= 100
}

func figure(text string) float64 {
	v, _ := strconv.ParseFloat(strings.ReplaceAll(text, ",", "."), 64)
	return v
}

func percentToken(m []string) (token, bool) {
	a, _ := strconv.Atoi(m[1])
	b, _ := strconv.Atoi(m[2])
	return token{kind: isAmount, percent: true, low: float64(a), top: float64(b)}, a <= b && b <= 100
}

func amountToken(m []string) (token, bool) { return token{kind: isAmount}, true }

func countToken(m []string) (token, bool) {
	n, _ := strconv.Atoi(m[1])
	return token{kind: isCount, from: n}, n >= 1 && n <= 512
}

func hexToken(m []string) (token, bool) {
	a, _ := strconv.ParseInt(m[1], 16, 32)
	b, _ := strconv.ParseInt(m[2], 16, 32)
	return token{kind: isRange, from: int(a), to: int(b)}, a <= b
}

func rangeToken(m []string) (token, bool) {
	a, _ := strconv.Atoi(m[1])
	b, _ := strconv.Atoi(m[2])
	if b == 256 {
		b = 255
	}
	if a > b && a <= 255 {
		return token{kind: isRange, from: b, to: a, down: true}, true
	}
	return token{kind: isRange, from: a, to: b}, a <= b && b <= 255
}

func fromToken(m []string) (token, bool) {
	n, _ := strconv.Atoi(m[1])
	return token{kind: isRange, from: n, to: below}, n <= 255
}

// unread writes letters that a scan took for digits as digits.
func unread(s string) string { return misread.Replace(s) }

var misread = strings.NewReplacer("l", "1", "I", "1", "|", "1", "O", "0", "o", "0")

// scanned finds figures with such letters: "O-lO", "3l-l5O", and "CHl".
var (
	scanned = regexp.MustCompile(`\b[0-9OolI]{1,3} ?- ?[0-9OolI]{1,3}\b`)
	letter1 = regexp.MustCompile(`[A-Za-z]{2,}`)
)

// straighten mends what a scan misread: letters in figures, figures in words.
func straighten(s string) string {
	return scanned.ReplaceAllStringFunc(s, func(m string) string {
		if strings.ContainsAny(m, "0123456789") || strings.ContainsAny(m, "OIl") && !letter1.MatchString(strings.NewReplacer("O", "", "I", "", "l", "", "o", "").Replace(m)) {
			return unread(m)
		}
		return m
	})
}

var (
	wordForm  = regexp.MustCompile(`^[\p{L}][\p{L}'0-9]*`)
	hyphen    = regexp.MustCompile(`(\p{L})-(\p{L})`)
	cellForm  = regexp.MustCompile(`^(\p{L}{1,12}?)(\d{1,3})$`)
	misplaced = regexp.MustCompile(`\p{L}[0-9]+\p{L}|^[0-9]\p{L}{3}`)
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
		w = strings.NewReplacer("1", "l", "0", "o", "5", "s", "8", "b").Replace(w)
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
