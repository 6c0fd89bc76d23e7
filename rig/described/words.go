package described

import (
	"math"
	"slices"
	"strings"

	"lampblack/light"
	"lampblack/rig"
	"lampblack/rig/manual"
)

// colour is an attribute for one colour of light, the word for it in a type, and about where its light lies in CIE
// 1931, for emitters whose name says nothing.
type colour struct {
	suffix, word string
	xy           light.XY
}

var colours = []colour{
	{"R", "red", light.XY{X: .70, Y: .30}}, {"G", "green", light.XY{X: .17, Y: .70}}, {"B", "blue", light.XY{X: .14, Y: .05}}, {"W", "white", light.XY{X: .33, Y: .34}},
	{"WW", "warm white", light.XY{X: .44, Y: .41}}, {"CW", "cold white", light.XY{X: .30, Y: .31}}, {"RY", "amber", light.XY{X: .58, Y: .42}}, {"GY", "lime", light.XY{X: .40, Y: .55}},
	{"C", "cyan", light.XY{X: .07, Y: .40}}, {"Y", "yellow", light.XY{X: .47, Y: .51}}, {"M", "magenta", light.XY{X: .35, Y: .15}}, {"RM", "pink", light.XY{X: .45, Y: .28}},
	{"GC", "turquoise", light.XY{X: .08, Y: .58}}, {"BC", "azure", light.XY{X: .11, Y: .15}}, {"BM", "violet", light.XY{X: .17, Y: .01}}, {"UV", "uv", light.XY{}},
}

// usual adds what package manual has no word for (peaks from memory, outputs as wide as those; no
// source).
var usual = map[string]string{
	"turquoise": "{peak: 510 nm, width: 32 nm, output: 60 lm to 900 lm}",
	"azure":     "{peak: 475 nm, width: 25 nm, output: 20 lm to 400 lm}",
	"violet":    "{peak: 425 nm, width: 16 nm, output: 0.3 W to 10 W}",
}

// usualLight is the spectrum, and the output with its key, of a word.
func usualLight(word string) (spectrum, output string) {
	text, ok := usual[word]
	if !ok {
		text, ok = manual.Usual(word)
	}
	if !ok {
		text, _ = manual.Usual("light")
	}
	text = strings.Trim(text, "{}")
	i := strings.LastIndex(text, "output:")
	return strings.TrimSuffix(text[:i], ", "), text[i:]
}

// colourOf finds the colour that an attribute adds, by either family of the standard.
func colourOf(attribute string) (word string, ok bool) {
	lower := strings.ToLower(attribute)
	if suffix, add := strings.CutPrefix(lower, "coloradd_"); add {
		for _, c := range colours {
			if strings.ToLower(c.suffix) == suffix {
				return c.word, true
			}
		}
		return "light", true
	}
	if suffix, direct := strings.CutPrefix(lower, "colorrgb_"); direct {
		for _, c := range colours {
			if c.word == suffix {
				return c.word, true
			}
		}
		if suffix == "quality" {
			return "", false
		}
		return "light", true
	}
	return "", false
}

// attributes gives every emitter one of its own: by its name, else by its light.
func attributes(t *rig.Type) []string {
	out := make([]string, len(t.Emitters))
	var taken []string
	take := func(i int, suffix string) {
		out[i] = "ColorAdd_" + suffix
		taken = append(taken, suffix)
	}
	for i := range t.Emitters {
		k := slices.IndexFunc(colours, func(c colour) bool { return c.word == strings.ToLower(t.Emitters[i].Name) })
		if k >= 0 && !slices.Contains(taken, colours[k].suffix) {
			take(i, colours[k].suffix)
		}
	}
	for i := range t.Emitters {
		if out[i] == "" {
			take(i, nearest(&t.Emitters[i].Value.Light, taken))
		}
	}
	return out
}

// nearest is the colour that is not taken yet and looks most like the light; ultraviolet for black
// light. A lamp with more emitters than there are colours does not exist.
func nearest(l *rig.Light, taken []string) string {
	if l.BlackLight() && !slices.Contains(taken, "UV") {
		return "UV"
	}
	best, off := "W", math.Inf(1)
	xy := l.Colour.XY()
	for _, c := range colours {
		d := math.Hypot(xy.X-c.xy.X, xy.Y-c.xy.Y)
		if d < off && c.suffix != "UV" && !slices.Contains(taken, c.suffix) {
			best, off = c.suffix, d
		}
	}
	return best
}
