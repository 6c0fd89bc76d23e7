package plate

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"strconv"
	"strings"
)

// drawing collects SVG elements; coordinates are in pixels from the top left.
type drawing struct{ b bytes.Buffer }

func begin(width, height float64, title string) *drawing {
	d := &drawing{}
	fmt.Fprintf(&d.b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %[1]s %[2]s" width="%[1]s" height="%[2]s" role="img" font-family="DejaVu Sans, Noto Sans, sans-serif" font-size="13">`+"\n", num(width), num(height))
	d.add("<title>%s</title>", escape(title))
	d.add(`<rect width="100%%" height="100%%" fill="#ffffff"/>`)
	return d
}

func (d *drawing) end() []byte {
	d.b.WriteString("</svg>\n")
	return d.b.Bytes()
}

func (d *drawing) add(format string, args ...any) {
	fmt.Fprintf(&d.b, format, args...)
	d.b.WriteByte('\n')
}

// num prints a coordinate to a hundredth of a pixel.
func num(v float64) string {
	s := strconv.FormatFloat(v, 'f', 2, 64)
	s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	if s == "-0" {
		return "0"
	}
	return s
}

func escape(s string) string {
	var b strings.Builder
	// Writing to a builder cannot fail; characters that XML has not become U+FFFD.
	_ = xml.EscapeText(&b, []byte(s))
	return b.String()
}

// short cuts a name to what a key has room for.
func short(name string) string {
	const room = 34
	if r := []rune(name); len(r) > room {
		return string(r[:room-1]) + "…"
	}
	return name
}

// anchor is where a text stands to its point.
type anchor string

const (
	left   anchor = "start"
	centre anchor = "middle"
	right  anchor = "end"
)

const ink = "#222222"

func (d *drawing) text(x, y float64, at anchor, fill, s string) {
	d.add(`<text x="%s" y="%s" text-anchor="%s" fill="%s">%s</text>`, num(x), num(y), at, fill, escape(s))
}

func (d *drawing) heading(x, y float64, s string) {
	d.add(`<text x="%s" y="%s" fill="%s" font-size="16" font-weight="bold">%s</text>`, num(x), num(y), ink, escape(s))
}

func (d *drawing) line(x1, y1, x2, y2 float64, stroke string, width float64) {
	d.add(`<line x1="%s" y1="%s" x2="%s" y2="%s" stroke="%s" stroke-width="%s"/>`, num(x1), num(y1), num(x2), num(y2), stroke, num(width))
}

// path draws points as one line; closed joins the last to the first.
func (d *drawing) path(points [][2]float64, closed bool, style string) {
	if len(points) == 0 {
		return
	}
	fmt.Fprintf(&d.b, `<path d="%s" %s/>`+"\n", outline(points, closed), style)
}

func outline(points [][2]float64, closed bool) string {
	var b strings.Builder
	for i, p := range points {
		b.WriteByte("ML"[min(i, 1)])
		b.WriteString(num(p[0]) + " " + num(p[1]))
	}
	if closed {
		b.WriteByte('Z')
	}
	return b.String()
}
