package manual

import (
	"regexp"
	"slices"
	"strconv"
	"strings"
)

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
	perSecond = `(?:hz|hertz|fps|/ ?s(?:ec)?\b|/ ?second|x ?/ ?s|(?:flash(?:es)?|blitze?|blinks?|times|mal|eclairs?|éclairs?|destellos?)? ?(?:/ ?|(?:per|pro|par|por|a) )s(?:ec(?:ond)?|ekunde|econde|egundo)?\b\.?)`
	joint     = ` ?(?:-|\.\.+|to|t/m|tot en met|tot|bis|up to|bis zu|until|à|a|al|and|/) ?(?:(?:about|approx\.?|roughly|around|ca\.?|circa|etwa|environ) )?`
	units     = `(?:%|percent\b|prozent\b|pct\b|ms\b|(?-i:s)\b|secs?\b|seconds?\b|sek\b|sekunden?\b|secondes?\b|segundos?\b|min\b|minutes?\b|(?-i:K)\b|kelvin\b|°(?: ?[ck]\b)?|deg(?:rees?)?\b|grad\b|(?-i:W)\b|watts?\b|mm\b|cm\b|nm\b|lm\b|lux\b|khz\b)`
	unitWords = `(?:%|percent|prozent|pct|ms\b|s\b|sec\b|secs\b|seconds?|sek\b|sekunden?|seconds?|secondes?|segundos?|min\b|minutes?|k\b|kelvin|°(?: ?[ck])?|deg(?:rees?)?\b|grad|w\b|watts?|mm\b|cm\b|m\b|kg\b|v\b|va\b|a\b|nm\b|lm\b|lux|bit\b|-bit|leds?\b|pcs\b|x\b|in 1\b|colou?rs?\b|farben|couleurs|colores|programs?\b|programmes?\b|patterns?\b|steps?\b|speeds?\b|effects?\b|khz|times\b|st\b|nd\b|rd\b|th\b|/)`
)

var forms = []form{
	{re(`dmx[ -]?512(?:[ -]?a)?\b`), amountToken},
	{re(`(?:(?:dmx[ -]?)?(?:channels?|kanäle|kanal|canaux|canales|ch)|modes?)[ :=]+\d{1,3}(?: ?(?:/|,|&|or|oder|and|und|et|ou|o|y) ?\d{1,3})+ ?-?(?:ch|chs|channels?|kanal|kanäle|canaux|canales|slots?)\b`), amountToken},
	{re(`(?:channels?|chann?els?|channe1s?|chan|ch|kanal|kanale|kanäle|kanaal|kan|fader|slots?|dmx(?:[ -]?(?:ch(?:annel)?|slot|kanal))?|canal|canaux|canales|canale|voie)(?:\.|:)? ?#?(\d{1,3}|[0-9lIO]{1,3})((?: ?(?:-|/|,|&|\+|to|bis|and|und|et|y|à|a|al|t/m|\.\.) ?(?:ch|c|channels?|kanal|slot)?\.? ?\d{1,3})*)\b`), slotsToken},
	{re(`(?:<|under|unter|below|less than|bis unter|moins de|menos de|before|sotto(?: il)?|meno di|onder(?: de)?|minder dan|en dessous de|por debajo de|debajo de) ?` + one + `\b`), func(m []string) (token, bool) {
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
	{re(`(?:>|over|above|über|ueber|more than|greater than|mehr als|plus de|más de|mas de|au-dessus de|au dessus de|higher than|sopra(?: il)?|più di|oltre(?: il)?|boven(?: de)?|meer dan|por encima de|encima de|arriba de) ?` + one + `\b`), func(m []string) (token, bool) {
		n, _ := strconv.Atoi(m[1])
		return token{kind: isRange, from: n + 1, to: below}, n < 255
	}},
	{re(`(?:<=|up to|bis zu|bis|until|till|jusqu'à|jusqu'a|jusque|hasta|fino a|tot) ?` + one + `\b`), func(m []string) (token, bool) {
		n, _ := strconv.Atoi(m[1])
		return token{kind: isRange, from: above, to: n}, n <= 255
	}},
	{re(num + `(?: ?` + perSecond + `)?` + joint + num + ` ?` + perSecond), rateToken},
	{re(`(?:from|ab|von|de|desde|da) (?:about |ca\.? |etwa )?` + num + `(?: ?` + perSecond + `)?` + joint + num + ` ?` + perSecond), rateToken},
	{re(`(?:from|ab|von|de|desde|da) (?:about |ca\.? |etwa )?` + num + ` ?` + perSecond), func(m []string) (token, bool) { return rateToken([]string{m[0], m[1], m[1]}) }},
	{re(num + ` ?` + perSecond), func(m []string) (token, bool) { return rateToken([]string{m[0], m[1], m[1]}) }},
	{re(`(?:from|between|von|zwischen|de|du|desde|entre|dal?|values?|werte?)? ?\(?` + one + `%` + joint + one + ` ?%`), percentToken},
	{re(one + joint + one + ` ?%`), percentToken},
	{re(num + joint + num + ` ?` + units), amountToken},
	{re(one + ` ?%`), func(m []string) (token, bool) { return percentToken([]string{m[0], m[1], m[1]}) }},
	{re(one + ` ?-? ?(?:ch|chan|channels?|chs|kanal|kanale|kanäle|kanaele|kanalen|slots?|canaux|canal|canales|canali|canale|kanaal|voies|dmx[ -]channels?|dmx[ -]slots?|dmx[ -]ch|dmx[ -]kanäle)\b\.?`), countToken},
	{re(`(?:\$|0x)([0-9a-f]{2})` + joint + `(?:\$|0x)([0-9a-f]{2})\b`), hexToken},
	{re(`([0-9a-f]{2})h` + joint + `([0-9a-f]{2})h\b`), hexToken},
	{re(`(\d{3}) +(\d{3})\b`), rangeToken}, // two columns of three figures
	{re(`(0) +(255)\b`), rangeToken},
	{re(`(?:(?:from|between|von|zwischen|desde|entre|dal?|values?|werte?) )?` + one + joint + one + `\b`), rangeToken},
	{re(`(?:from|ab|starting at|starting from|a partir de|à partir de|desde|von) ?` + one + `(?: ?(?:up(?:wards)?|on(?:wards?)?|an|auf|aufwärts|and up))?\b`), fromToken},
	{re(one + ` ?-(?:\s{2,}|$)`), fromToken},
	{re(one + ` ?(?:\+|and up(?:wards)?|and above|and over|upwards?|up|onwards?|und mehr|und höher|et plus|et au-dessus|y más|o más|en hoger|of hoger|e oltre|in su|and higher|or higher|or more)(?:\W|$)`), fromToken},
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
		case n < last && len(t.slots) == 1 && sign == "-": // "channel 4 - 0 to 10": a value
			m[0] = m[0][:len(m[0])-len(rest)]
			return t, true
		case n <= last || n > 512 || len(t.slots) > 512:
			return t, false
		case slices.Contains([]string{"-", "to", "bis", "..", "à", "a", "al", "t/m"}, sign):
			for k := last + 1; k <= n; k++ {
				t.slots = append(t.slots, k)
			}
		default:
			t.slots = append(t.slots, n)
		}
	}
	return t, true
}

var moreSlots = regexp.MustCompile(`(?i) ?(-|/|,|&|\+|to|bis|and|und|et|y|à|al|a|t/m|\.\.) ?(?:ch|c|channels?|kanal|slot)?\.? ?(\d{1,3})`)

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
