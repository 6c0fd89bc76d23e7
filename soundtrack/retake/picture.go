package retake

import (
	"fmt"
	"image/color"
	"time"

	"lampblack/plate/drawing"
)

// Measures of the picture, in pixels.
const (
	pictureWidth = 1000.0
	margin       = 60.0
	barHeight    = 26.0
	oldTop       = 40.0
	newTop       = 260.0
	pictureFull  = newTop + barHeight + 50
)

var (
	none  color.NRGBA // leaves a part out
	edge  = drawing.Hex(0x333333)
	hatch = drawing.Hex(0x777777)
)

// Draw draws the map: the old track above, the new take below, each from left to
// right, and between them a band for each span. What is gone or new is hatched;
// what is doubtful is pale.
func (m Map) Draw() *drawing.Drawing {
	d := drawing.New(pictureWidth, pictureFull, "Where the old track is in the new take")
	longest := max(m.OldLength, m.NewLength, 1)
	x := func(t time.Duration) float64 {
		return margin + float64(t)/float64(longest)*(pictureWidth-2*margin)
	}
	bar := func(i Interval, top float64, fill color.NRGBA) {
		g := &drawing.Group{Title: i.String()}
		g.Box(x(i.From), top, max(x(i.To)-x(i.From), .5), barHeight, fill, edge)
		d.Add(g)
	}
	for _, whole := range []struct {
		top    float64
		length time.Duration
	}{{oldTop, m.OldLength}, {newTop, m.NewLength}} {
		hatched(d, margin, whole.top, x(whole.length)-margin)
		bar(Interval{0, whole.length}, whole.top, none)
	}
	for _, s := range m.Spans {
		fill := spanColour(s)
		band := &drawing.Group{Title: fmt.Sprintf("%s was %s%s", s.New, s.Old, s.remark())}
		band.Lines([]drawing.Point{{x(s.Old.From), oldTop + barHeight}, {x(s.Old.To), oldTop + barHeight}, {x(s.New.To), newTop}, {x(s.New.From), newTop}},
			true, drawing.Style{Fill: drawing.Thin(fill, .45)})
		d.Add(band)
		bar(s.Old, oldTop, fill)
		bar(s.New, newTop, fill)
	}
	d.Label(margin, oldTop-10, drawing.Left, drawing.Ink, "old track, "+clock(m.OldLength))
	d.Label(margin, newTop+barHeight+22, drawing.Left, drawing.Ink, "new take, "+clock(m.NewLength)+"; hatched above: gone; hatched below: new")
	return d
}

// hatched fills the place of a bar with lines that fall to the left.
func hatched(d *drawing.Drawing, x, top, width float64) {
	g := &drawing.Group{Clip: []drawing.Point{{x, top}, {x + width, top}, {x + width, top + barHeight}, {x, top + barHeight}}}
	for at := x; at < x+width+barHeight; at += 8.5 {
		g.Line(at, top, at-barHeight, top+barHeight, hatch, 2)
	}
	d.Add(g)
}

// spanColour is green where the sound is the same, blue where its speed changed,
// pale where it is doubtful.
func spanColour(s Span) color.NRGBA {
	switch {
	case s.Confidence < Doubtful:
		return drawing.Hex(0xd9d2b0)
	case s.Speed > 1.00005 || s.Speed < 0.99995:
		return drawing.Hex(0x7fa8d8)
	}
	return drawing.Hex(0x8cc08c)
}
