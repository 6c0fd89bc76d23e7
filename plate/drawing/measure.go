package drawing

import (
	"strings"
	"sync"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

// Shares of a text's size that its letters take over and under their base line, accents and
// tails included (hhea of the Go fonts: 1935 and 432 of 2048, from memory).
const (
	Above = .95
	Below = .22
)

// lastKnown bounds the runes whose widths are kept: the Go fonts hold none beyond but a few marks.
const lastKnown = 0x2700

// unknown stands for a rune that the Go fonts lack.
const unknown = '□'

// table is of each rune its width as a share of the size; 0 for one that is not there.
type table [lastKnown]float32

// letters and bolds are the widths of the two weights.
var (
	letters = sync.OnceValue(func() *table { return widths(goregular.TTF) })
	bolds   = sync.OnceValue(func() *table { return widths(gobold.TTF) })
)

func widths(data []byte) *table {
	f, err := sfnt.Parse(data)
	if err != nil {
		panic("drawing: the font that is built in: " + err.Error())
	}
	var t table
	var b sfnt.Buffer
	em := fixed.I(int(f.UnitsPerEm()))
	for r := range rune(lastKnown) {
		glyph, err := f.GlyphIndex(&b, r)
		if err != nil || glyph == 0 {
			continue
		}
		if wide, err := f.GlyphAdvance(&b, glyph, em, font.HintingNone); err == nil {
			t[r] = float32(wide) / float32(em)
		}
	}
	return &t
}

// Wide is how wide words of a size are in the Go fonts, in which pixels and PDF are written.
func Wide(words string, size float64, bold bool) float64 {
	w := letters()
	if bold {
		w = bolds()
	}
	sum := 0.0
	for _, r := range words {
		if r < 0 || r >= lastKnown || w[r] == 0 {
			r = unknown
		}
		sum += float64(w[r])
	}
	return sum * size
}

// Known tells whether the Go fonts hold a rune.
func Known(r rune) bool { return r >= ' ' && r < lastKnown && letters()[r] > 0 }

// Shown is words as pixels and PDF show them: what the fonts lack becomes a box.
func Shown(words string) string {
	return strings.Map(func(r rune) rune {
		if !Known(r) {
			return unknown
		}
		return r
	}, words)
}
