package manual

import (
	"regexp"
	"slices"
	"strconv"
	"strings"

	"lampblack/rig"
	"lampblack/si"
)

// quickening reads ranges that flash slowly, and then faster, as one rise.
func (s *Slot) quickening(list []part) {
	for i := 1; i < len(list); i++ {
		a, b := &s.Ranges[i-1], &s.Ranges[i]
		if a.Told == rig.RateUnknown && b.Told != "" && hasSense(list[i-1].toks, "slow") && hasSense(list[i].toks, "fast", "up") {
			a.Told, b.Told = rig.SlowToFast, rig.SlowToFast
		}
	}
}

var timesValue = regexp.MustCompile(`(?i)\b(?:value|wert|valeur|valor|valore|waarde)\b ?(?:x|\*|times|mal|par|por|per|maal|fois)? ?(\d+(?:[.,]\d+)?) ?(?:hz|hertz)`)

// byValue is the hertz for each step of a value, as in "value x 0.1 Hz"; 0 where no such words stand.
func byValue(text string) float64 {
	m := timesValue.FindStringSubmatch(text)
	if m == nil {
		return 0
	}
	each, err := strconv.ParseFloat(strings.Replace(m[1], ",", ".", 1), 64)
	if err != nil || each*255 > 100 {
		return 0
	}
	return each
}

// flash sets what flashes: its rate in figures, or in words.
func flash(r *rig.Range, toks []token, senses []sense) {
	r.Does = rig.Flash
	if anyOf(senses, "random") {
		r.Does = rig.FlashRandom
	}
	if each := byValue(textOf(toks)); each > 0 {
		r.Low, r.High = si.Frequency(each*float64(r.From)), si.Frequency(each*float64(r.To))
		return
	}
	var low, top float64
	n := 0
	for _, t := range toks {
		if t.kind == isRate {
			if n == 0 {
				low = t.low
			}
			top = t.top
			n++
		}
	}
	if n == 1 && low == top && slices.ContainsFunc(toks, func(t token) bool {
		return t.is("up", "fast", "full") || slices.Contains([]string{"top", "most", "maximal", "max"}, fold(t.text))
	}) {
		r.Told = rig.SlowToFast // one figure, of its fast end
		return
	}
	if n > 0 {
		r.Low, r.High = si.Frequency(low), si.Frequency(top)
		return
	}
	r.Told = rig.RateUnknown
	slow, fast := indexOf(toks, "slow", "down"), indexOf(toks, "fast", "up")
	if slow < 0 && fast < 0 {
		word := func(w ...string) int {
			return slices.IndexFunc(toks, func(t token) bool { return slices.Contains(w, fold(t.text)) })
		}
		slow, fast = word("low", "lower", "niedrig", "min"), word("high", "higher", "hoch", "max")
	}
	switch {
	case slow >= 0 && fast >= 0 && slow < fast, slow < 0 && indexOf(toks, "up") >= 0:
		r.Told = rig.SlowToFast
	case slow >= 0 && fast >= 0, fast < 0 && indexOf(toks, "down") >= 0:
		r.Told = rig.FastToSlow
	}
}

func indexOf(toks []token, s ...sense) int {
	return slices.IndexFunc(toks, func(t token) bool { return t.is(s...) })
}
