package retake

import (
	"fmt"
	"html"
	"strings"
	"time"
)

// Measures of the picture, in its own units.
const (
	pictureWidth = 1000
	margin       = 60
	barHeight    = 26
	oldTop       = 40
	newTop       = 260
	pictureFull  = newTop + barHeight + 50
)

// SVG draws the map: the old track above, the new take below, each from left to
// right, and between them a band for each span. What is gone or new is hatched;
// what is doubtful is pale.
func (m Map) SVG() string {
	var b strings.Builder
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %d %d" font-family="sans-serif" font-size="13">`+"\n", pictureWidth, pictureFull)
	b.WriteString(`<title>Where the old track is in the new take</title>` + "\n")
	b.WriteString(`<defs><pattern id="h" width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)"><path d="M0 0V6" stroke="#777" stroke-width="2"/></pattern></defs>` + "\n")
	longest := max(m.OldLength, m.NewLength, 1)
	x := func(t time.Duration) float64 {
		return margin + float64(t)/float64(longest)*(pictureWidth-2*margin)
	}
	bar := func(i Interval, top int, fill string) {
		fmt.Fprintf(&b, `<rect x="%.1f" y="%d" width="%.1f" height="%d" fill="%s" stroke="#333"><title>%s</title></rect>`+"\n",
			x(i.From), top, max(x(i.To)-x(i.From), 0.5), barHeight, fill, html.EscapeString(i.String()))
	}
	bar(Interval{0, m.OldLength}, oldTop, "url(#h)")
	bar(Interval{0, m.NewLength}, newTop, "url(#h)")
	for _, s := range m.Spans {
		color := spanColor(s)
		fmt.Fprintf(&b, `<path d="M%.1f %dH%.1fL%.1f %dH%.1fZ" fill="%s" fill-opacity="0.45"><title>%s</title></path>`+"\n",
			x(s.Old.From), oldTop+barHeight, x(s.Old.To), x(s.New.To), newTop, x(s.New.From), color,
			html.EscapeString(fmt.Sprintf("%s was %s%s", s.New, s.Old, s.remark())))
		bar(s.Old, oldTop, color)
		bar(s.New, newTop, color)
	}
	label := func(y int, words string) {
		fmt.Fprintf(&b, `<text x="%d" y="%d">%s</text>`+"\n", margin, y, html.EscapeString(words))
	}
	label(oldTop-10, "old track, "+clock(m.OldLength))
	label(newTop+barHeight+22, "new take, "+clock(m.NewLength)+"; hatched above: gone; hatched below: new")
	b.WriteString("</svg>\n")
	return b.String()
}

// spanColor is green where the sound is the same, blue where its speed changed,
// pale where it is doubtful.
func spanColor(s Span) string {
	switch {
	case s.Confidence < Doubtful:
		return "#d9d2b0"
	case s.Speed > 1.00005 || s.Speed < 0.99995:
		return "#7fa8d8"
	}
	return "#8cc08c"
}
