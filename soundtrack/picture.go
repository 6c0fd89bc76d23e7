package soundtrack

import (
	"fmt"
	"image/color"
	"math"
	"strings"
	"time"

	"lampblack/plate/drawing"
	"lampblack/si"
)

// Measures of the picture, in pixels. Time runs down the page in columns, as
// text does.
const (
	columnHeight = 720.0
	columnWidth  = 244.0
	pageMargin   = 24.0
	headHeight   = 64.0
	axisWidth    = 44.0 // for the clock and the beats
	ribbonWidth  = 72.0
	rowHeight    = 2.0
	mostColumns  = 12
	mostNamed    = 60   // hits with their rank beside them
	nameHeight   = 11.0 // that a name takes up
)

var (
	none      color.NRGBA // leaves an edge out
	paper     = drawing.Hex(0xfcfaf5)
	ink       = drawing.Hex(0x201e1c)
	faint     = drawing.Hex(0x969086)
	lowInk    = drawing.Hex(0x3a344a)
	midInk    = drawing.Hex(0x746e84)
	highInk   = drawing.Hex(0xbeb8c6)
	hushInk   = color.NRGBA{90, 140, 160, 70}
	voiceInk  = color.NRGBA{200, 150, 60, 80}
	swellInk  = color.NRGBA{120, 150, 90, 130}
	turnInk   = drawing.Hex(0x96283c)
	strikeInk = drawing.Hex(0xb03c1e)
)

// Picture draws the track with its moments. The name's ending chooses the
// form: .svg or .png.
func (t *Track) Picture(name string) ([]byte, error) { return t.draw().File(name) }

// page places times: columns of span each.
type page struct {
	span    time.Duration
	columns int
}

// page chooses the span of a column: a minute, or as much more as keeps the columns few.
func (t *Track) page() page {
	span := time.Minute
	for span*mostColumns < t.Duration {
		span += 30 * time.Second
	}
	return page{span, max(1, int((t.Duration+span-1)/span))}
}

// at returns the left edge of the column and the height that belong to time d.
func (p page) at(d time.Duration) (x, y float64) {
	c := min(int(d/p.span), p.columns-1)
	rest := d - time.Duration(c)*p.span
	return pageMargin + float64(c)*columnWidth, headHeight + columnHeight*min(rest.Seconds()/p.span.Seconds(), 1)
}

// pieces calls f for the part of a span in each column: what lasts over the foot of one goes
// on at the head of the next.
func (p page) pieces(from, to time.Duration, f func(x, y, height float64)) {
	for from < to {
		end := min((from/p.span+1)*p.span, to)
		x, y := p.at(from)
		f(x, y, columnHeight*(end-from).Seconds()/p.span.Seconds())
		from = end
	}
}

// draw draws from the ground up: what lasts, the sound over it, marks and names on top.
func (t *Track) draw() *drawing.Drawing {
	p := t.page()
	d := drawing.New(2*pageMargin+columnWidth*float64(p.columns), headHeight+columnHeight+pageMargin, "What was heard, "+si.FormatTime(t.Duration))
	d.Ground = paper
	t.head(d)
	t.clock(d, p)
	for _, m := range t.Moments {
		m.drawSpan(d, p)
	}
	t.ribbon(d, p)
	for _, m := range t.Moments {
		m.drawMark(d, p)
	}
	t.names(d, p)
	return d
}

func words(d *drawing.Drawing, x, y, size float64, fill color.NRGBA, at drawing.Anchor, text string) {
	d.Add(&drawing.Text{At: drawing.Point{x, y}, Words: text, Size: size, Anchor: at, Fill: fill})
}

func (t *Track) head(d *drawing.Drawing) {
	counts := map[Kind]int{}
	for _, m := range t.Moments {
		counts[m.Kind]++
	}
	words(d, pageMargin, 24, 14, ink, drawing.Left, fmt.Sprintf("%s   %.1f LUFS   range %.1f LU   %s",
		si.FormatTime(t.Duration), t.Programme, t.Range, t.tempoWords()))
	words(d, pageMargin, 42, 11, faint, drawing.Left, fmt.Sprintf("%d hits, %d bars, %d turns, %d swells, %d hushes, %d voices",
		counts[Hit], counts[Bar], counts[Turn], counts[Swell], counts[Hush], counts[Voice]))
}

func (t *Track) tempoWords() string {
	if len(t.Hypotheses) == 0 {
		return "no steady beat"
	}
	return fmt.Sprintf("about %.0f beats a minute", t.Hypotheses[0].BPM)
}

// clock writes a time every twelfth of a column.
func (t *Track) clock(d *drawing.Drawing, p page) {
	for s := time.Duration(0); s < t.Duration; s += p.span / 12 {
		x, y := p.at(s)
		words(d, x+axisWidth-12, y+4, 9, faint, drawing.Right, strings.TrimSuffix(si.FormatTime(s), ".000"))
	}
}

// ribbon draws the sound as a band whose width is its level: high outermost,
// low innermost.
func (t *Track) ribbon(d *drawing.Drawing, p page) {
	per := p.span.Seconds() / columnHeight * rowHeight
	for c := range p.columns {
		from := p.span * time.Duration(c)
		rows := int(math.Ceil(min(p.span, t.Duration-from).Seconds() / per))
		for _, band := range []struct {
			level []uint8
			ink   color.NRGBA
			scale float64
		}{{t.Overview.High, highInk, 1}, {t.Overview.Mid, midInk, 0.72}, {t.Overview.Low, lowInk, 0.42}} {
			x, y := p.at(from)
			mid := x + axisWidth + ribbonWidth/2
			left, right := make([]drawing.Point, rows), make([]drawing.Point, rows)
			for r := range rows {
				a := from + time.Duration(float64(r)*per*float64(time.Second))
				v := t.Overview.loudest(band.level, a, a+time.Duration(per*float64(time.Second)))
				// Levels are in decibels; squared, the loud stands out from the middling as it is heard.
				w := 0.5 + v*v*band.scale*ribbonWidth/2
				left[rows-1-r], right[r] = drawing.Point{mid - w, y + float64(r)*rowHeight}, drawing.Point{mid + w, y + float64(r)*rowHeight}
			}
			if rows > 1 {
				d.Lines(append(right, left...), true, drawing.Style{Fill: band.ink})
			}
		}
	}
}

// loudest returns the highest level from a to b, 0..1.
func (o Overview) loudest(level []uint8, a, b time.Duration) float64 {
	var m uint8
	for i := int(a / o.Hop); i <= int(b/o.Hop) && i < len(level); i++ {
		m = max(m, level[i])
	}
	return float64(m) / 255
}

// drawSpan draws what lasts, under the ribbon.
func (m Moment) drawSpan(d *drawing.Drawing, p page) {
	left := axisWidth - 4
	switch m.Kind {
	case Hush:
		p.pieces(m.Time, m.End, func(x, y, h float64) { d.Box(x+left, y, ribbonWidth+8, h, hushInk, none) })
	case Voice:
		p.pieces(m.Time, m.End, func(x, y, h float64) { d.Box(x+left+ribbonWidth+8, y, 6, h, voiceInk, none) })
	case Swell:
		p.pieces(m.Time, m.End, func(x, y, h float64) { d.Box(x+left-5, y, 4, h, swellInk, none) })
	}
}

// drawMark draws what happens at an instant, over the ribbon.
func (m Moment) drawMark(d *drawing.Drawing, p page) {
	x, y := p.at(m.Time)
	edge := x + axisWidth + ribbonWidth + 8
	switch m.Kind {
	case Bar:
		d.Box(x+axisWidth-10, y-0.5, 6, 1, ink, none)
	case Beat:
		d.Box(x+axisWidth-7, y-0.3, 3, 0.6, faint, none)
	case Turn:
		d.Box(x+axisWidth-10, y-0.7, ribbonWidth+20, 1.4, turnInk, none)
		words(d, x+axisWidth+2, y+12, 11, turnInk, drawing.Left, m.Label)
	case Hit:
		d.Box(edge, y-0.5, 3+14*m.Strength, 1, strikeInk, none)
	}
}

// names writes rank and sort beside the first hits to be lit; where two would
// overlap, the lower in rank stays without.
func (t *Track) names(d *drawing.Drawing, p page) {
	var taken []drawing.Point
next:
	for _, m := range t.Ranked(mostNamed) {
		x, y := p.at(m.Time)
		edge := x + axisWidth + ribbonWidth + 8
		d.Box(edge, y-1, 20, 2, strikeInk, none)
		for _, c := range taken {
			if c[0] == x && math.Abs(c[1]-y) < nameHeight {
				continue next
			}
		}
		taken = append(taken, drawing.Point{x, y})
		words(d, edge+24, y+4, 9, ink, drawing.Left, fmt.Sprintf("%d  %s", m.Rank, m.Sort))
	}
}
