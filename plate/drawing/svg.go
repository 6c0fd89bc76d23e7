package drawing

import (
	"bytes"
	"encoding/base64"
	"encoding/xml"
	"fmt"
	"image/color"
	"image/png"
	"strconv"
	"strings"
)

// writer collects elements of SVG 1.1.
type writer struct {
	b     bytes.Buffer
	clips int // so far, for their names
}

func (w *writer) add(format string, args ...any) {
	fmt.Fprintf(&w.b, format, args...)
	w.b.WriteByte('\n')
}

// SVG writes the drawing as SVG 1.1; pictures are inside it as PNG. It has no
// style attributes and no scripts, so that a page with a strict policy can take
// it in as it is.
func (d *Drawing) SVG() ([]byte, error) {
	w := &writer{}
	w.add(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %[1]s %[2]s" width="%[1]s" height="%[2]s" role="img" font-family="DejaVu Sans, Noto Sans, sans-serif" font-size="%[3]s">`, num(d.Width), num(d.Height), num(textSize))
	w.add("<title>%s</title>", escape(d.Title))
	if d.Says != "" {
		w.add("<desc>%s</desc>", escape(d.Says))
	}
	w.add(`<rect width="100%%" height="100%%" fill="%s"/>`, hex(d.Ground))
	if err := d.each(w); err != nil {
		return nil, fmt.Errorf("draw %s: %w", d.Title, err)
	}
	w.add("</svg>")
	return w.b.Bytes(), nil
}

func (g *Group) each(w *writer) error {
	for _, m := range g.marks {
		if err := m.svg(w); err != nil {
			return err
		}
	}
	return nil
}

// svg writes the marks of a group between its tags, with what a page or a reader of screens
// can know them by.
func (g *Group) svg(w *writer) error {
	about := ""
	if g.Class != "" {
		about += fmt.Sprintf(` class="%s"`, escape(g.Class))
	}
	if g.Name != "" {
		about += fmt.Sprintf(` data-name="%s"`, escape(g.Name))
	}
	if len(g.Clip) > 0 {
		w.clips++ // names are unique within the file alone
		w.add(`<clipPath id="clip%d"><path d="%s"/></clipPath>`, w.clips, through(g.Clip, true))
		about += fmt.Sprintf(` clip-path="url(#clip%d)"`, w.clips)
	}
	w.add("<g%s>", about)
	if g.Title != "" {
		w.add("<title>%s</title>", escape(g.Title))
	}
	err := g.each(w)
	w.add("</g>")
	return err
}

func (p *Path) svg(w *writer) error {
	if len(p.Points) > 0 {
		w.add(`<path d="%s" %s/>`, through(p.Points, p.Closed), p.attributes())
	}
	return nil
}

// through is the data of a path.
func through(points []Point, closed bool) string {
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

// attributes are SVG's presentation attributes, which a page's policy on styles leaves alone.
func (s *Style) attributes() string {
	text := fmt.Sprintf(`fill="%s" stroke="%s"`, hex(s.Fill), hex(s.Stroke)) + opacity("fill", s.Fill) + opacity("stroke", s.Stroke)
	if s.Stroke.A > 0 {
		text += fmt.Sprintf(` stroke-width="%s" stroke-linejoin="round"`, num(s.Width))
	}
	if len(s.Dash) > 0 {
		lengths := make([]string, len(s.Dash))
		for i, v := range s.Dash {
			lengths[i] = num(v)
		}
		text += fmt.Sprintf(` stroke-dasharray="%s"`, strings.Join(lengths, " "))
	}
	return text
}

// hex is the colour without its covering power, "none" where it has none.
func hex(c color.NRGBA) string {
	if c.A == 0 {
		return "none"
	}
	return fmt.Sprintf("#%02x%02x%02x", c.R, c.G, c.B)
}

// opacity is the attribute of a colour that covers in part; SVG 1.1 has no colours with an
// alpha of their own.
func opacity(part string, c color.NRGBA) string {
	if c.A == 0 || c.A == 255 {
		return ""
	}
	return fmt.Sprintf(` %s-opacity="%s"`, part, num(float64(c.A)/255))
}

func (t *Text) svg(w *writer) error {
	more := opacity("fill", t.Fill)
	if t.Size != 0 && t.Size != textSize {
		more += fmt.Sprintf(` font-size="%s"`, num(t.Size))
	}
	if t.Bold {
		more += ` font-weight="bold"`
	}
	// The edge is drawn first (paint-order, SVG 2, 13.7): over the letters it would
	// eat half of their strokes. Readers of SVG 1.1 alone draw it over.
	if t.Halo {
		more += ` stroke="#ffffff" stroke-width="3" paint-order="stroke" stroke-linejoin="round"`
	}
	if wide := Wide(t.Words, t.size(), t.Bold); t.Fits && wide > 0 {
		more += fmt.Sprintf(` textLength="%s" lengthAdjust="spacingAndGlyphs" xml:space="preserve"`, num(wide))
	}
	place := fmt.Sprintf(`x="%s" y="%s"`, num(t.At[0]), num(t.At[1]))
	if t.Turned {
		place = fmt.Sprintf(`transform="translate(%s %s) rotate(-90)"`, num(t.At[0]), num(t.At[1]))
	}
	w.add(`<text %s text-anchor="%s" fill="%s"%s>%s</text>`, place, t.Anchor, hex(t.Fill), more, escape(t.Words))
	return nil
}

func (p *Picture) svg(w *writer) error {
	var b bytes.Buffer
	if err := png.Encode(&b, p.Pixels); err != nil {
		return fmt.Errorf("write a picture: %w", err)
	}
	w.add(`<image x="%s" y="%s" width="%s" height="%s" href="data:image/png;base64,%s"/>`,
		num(p.Left), num(p.Top), num(p.Right-p.Left), num(p.Bottom-p.Top), base64.StdEncoding.EncodeToString(b.Bytes()))
	return nil
}

// num prints a length to a hundredth of a pixel.
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
