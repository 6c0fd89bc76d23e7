package drawing

import (
	"bytes"
	"fmt"
	"image/color"
	"image/png"
	"io"
	"time"

	"codeberg.org/go-pdf/fpdf"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
)

// PDF writes drawings as the pages of one document (ISO 32000), in their true size, with the Go
// fonts inside it. A page whose title is another than that of the page before begins a chapter of its
// contents. Same pages, same bytes: made is the date that the document bears.
func PDF(w io.Writer, title string, made time.Time, pages []*Drawing) error {
	f := fpdf.NewCustom(&fpdf.InitType{UnitStr: "pt", Size: fpdf.SizeType{Wd: 100, Ht: 100}})
	f.SetCatalogSort(true)
	f.SetCreationDate(made)
	f.SetModificationDate(made)
	f.SetTitle(title, true)
	f.SetProducer("Lampblack", true)
	f.SetAutoPageBreak(false, 0)
	f.SetMargins(0, 0, 0)
	f.AddUTF8FontFromBytes("Go", "", goregular.TTF)
	f.AddUTF8FontFromBytes("Go", "B", gobold.TTF)
	p := &printer{f: f}
	before := ""
	for _, d := range pages {
		f.AddPageFormat("P", fpdf.SizeType{Wd: d.Width * point, Ht: d.Height * point})
		if d.Title != before {
			f.Bookmark(Shown(d.Title), 0, 0)
			before = d.Title
		}
		if d.Ground != White {
			(&Path{Points: []Point{{0, 0}, {d.Width, 0}, {d.Width, d.Height}, {0, d.Height}}, Closed: true, Style: Style{Fill: d.Ground}}).pdf(p)
		}
		if err := d.print(p); err != nil {
			return fmt.Errorf("draw %s: %w", d.Title, err)
		}
	}
	if err := f.Output(w); err != nil {
		return fmt.Errorf("write PDF: %w", err)
	}
	return nil
}

// point is a pixel of 1/96 inch in points of 1/72 inch.
const point = .75

// printer is a document that marks are put on.
type printer struct {
	f        *fpdf.Fpdf
	pictures int // so far, for their names
	alpha    float64
}

// at is a length in points; what lies absurdly far is held, as numbers of a PDF are bounded.
func (p *printer) at(v float64) float64 {
	if v != v {
		return 0
	}
	return min(max(v, -20000), 20000) * point
}

// cover sets how much of what lies under them the marks to come cover, from 0 to 1.
func (p *printer) cover(c color.NRGBA) {
	if a := float64(c.A) / 255; a != p.alpha {
		p.f.SetAlpha(a, "Normal")
		p.alpha = a
	}
}

func (g *Group) print(p *printer) error {
	for _, m := range g.marks {
		if err := m.pdf(p); err != nil {
			return err
		}
	}
	return nil
}

func (g *Group) pdf(p *printer) error {
	if len(g.Clip) < 3 {
		if len(g.Clip) > 0 {
			return nil // nothing shows inside a line
		}
		return g.print(p)
	}
	p.f.ClipPolygon(p.points(g.Clip), false)
	defer p.f.ClipEnd()
	return g.print(p)
}

func (p *printer) points(list []Point) []fpdf.PointType {
	out := make([]fpdf.PointType, len(list))
	for i, q := range list {
		out[i] = fpdf.PointType{X: p.at(q[0]), Y: p.at(q[1])}
	}
	return out
}

func (t *Path) pdf(p *printer) error {
	if t.Fill.A > 0 && len(t.Points) > 2 {
		p.cover(t.Fill)
		p.f.SetFillColor(int(t.Fill.R), int(t.Fill.G), int(t.Fill.B))
		p.trace(t.Points, true)
		p.f.DrawPath("F")
	}
	if t.Stroke.A == 0 || len(t.Points) == 0 {
		return nil
	}
	p.cover(t.Stroke)
	p.f.SetDrawColor(int(t.Stroke.R), int(t.Stroke.G), int(t.Stroke.B))
	p.f.SetLineWidth(p.at(t.Width))
	p.f.SetLineJoinStyle("round")
	dashes := make([]float64, len(t.Dash))
	for i, v := range t.Dash {
		dashes[i] = p.at(max(v, 0))
	}
	p.f.SetDashPattern(dashes, 0)
	p.trace(t.Points, t.Closed)
	p.f.DrawPath("D")
	return nil
}

func (p *printer) trace(points []Point, closed bool) {
	for i, q := range points {
		if i == 0 {
			p.f.MoveTo(p.at(q[0]), p.at(q[1]))
		} else {
			p.f.LineTo(p.at(q[0]), p.at(q[1]))
		}
	}
	if closed {
		p.f.ClosePath()
	}
}

// pdf puts a white ground under words that have a halo: an edge of strokes would be
// words of its own to whoever searches the page.
func (t *Text) pdf(p *printer) error {
	size, style := t.size(), ""
	if t.Bold {
		style = "B"
	}
	words := Shown(t.Words)
	wide := Wide(words, size, t.Bold)
	x, y := t.At[0], t.At[1]
	if t.Turned {
		p.f.TransformBegin()
		defer p.f.TransformEnd()
		p.f.TransformRotate(90, p.at(x), p.at(y))
	}
	switch t.Anchor {
	case Centre:
		x -= wide / 2
	case Right:
		x -= wide
	}
	if t.Halo {
		p.cover(White)
		p.f.SetFillColor(255, 255, 255)
		p.f.Rect(p.at(x-1.5), p.at(y-.78*size), p.at(wide+3), p.at(size), "F")
	}
	p.cover(t.Fill)
	p.f.SetTextColor(int(t.Fill.R), int(t.Fill.G), int(t.Fill.B))
	p.f.SetFont("Go", style, size*point)
	p.f.Text(p.at(x), p.at(y), words)
	return nil
}

func (t *Picture) pdf(p *printer) error {
	var b bytes.Buffer
	if err := png.Encode(&b, t.Pixels); err != nil {
		return fmt.Errorf("write a picture: %w", err)
	}
	p.cover(White)
	p.pictures++
	name := fmt.Sprint("picture ", p.pictures)
	how := fpdf.ImageOptions{ImageType: "PNG"}
	p.f.RegisterImageOptionsReader(name, how, &b)
	p.f.ImageOptions(name, p.at(t.Left), p.at(t.Top), p.at(t.Right-t.Left), p.at(t.Bottom-t.Top), false, how, 0, "")
	return p.f.Error()
}
