package drawing

import (
	"image"
	"image/color"
	"math"
)

// Point is a place: x to the right, y down, in pixels.
type Point = [2]float64

// Mark is one thing on a drawing: a Path, Text, Picture or Group. There are no
// others: whoever draws says what there is, and each form is written here alone,
// so that a new form knows all it must.
type Mark interface {
	svg(w *writer) error
	pixels(c *canvas) error
	pdf(p *printer) error
	moved(m move) Mark
}

// Style is how a path looks. A colour whose A is 0 leaves its part out.
type Style struct {
	Fill   color.NRGBA
	Stroke color.NRGBA
	Width  float64   // of the stroke
	Dash   []float64 // lengths drawn and left out in turn; whole when empty
}

// Path is a line through points; Closed joins the last to the first. Only a
// path of three points or more is filled.
type Path struct {
	Points []Point
	Closed bool
	Style
}

// Anchor is where a text stands to its point.
type Anchor string

// The anchors: the point is at the text's left end, middle or right end.
const (
	Left   Anchor = "start"
	Centre Anchor = "middle"
	Right  Anchor = "end"
)

// textSize is the size of texts that do not say one.
const textSize = 13.0

// Text is one line of words on a base line.
type Text struct {
	At     Point
	Words  string
	Size   float64 // of the letters; 13 when 0
	Bold   bool
	Anchor Anchor
	Fill   color.NRGBA
	Turned bool // it runs up
	Halo   bool // a white edge about it, to be read on anything
	Fits   bool // in SVG it is as wide as in the Go fonts, whatever fonts the reader has
}

// size is that of the letters.
func (t *Text) size() float64 {
	if t.Size == 0 {
		return textSize
	}
	return t.Size
}

// Picture is pixels in a box, stretched to it.
type Picture struct {
	Pixels                   *image.RGBA
	Left, Top, Right, Bottom float64
}

// Group holds marks that belong together. The zero value is an empty group.
type Group struct {
	Class string  // what it shows, for a page's style sheet; letters and hyphens
	Name  string  // which one it is, for a page's script
	Title string  // what is said of it where it is pointed at
	Clip  []Point // marks show inside this outline alone, when it is given
	marks []Mark
}

// Drawing is the whole: a group with a size, on a ground.
type Drawing struct {
	Group
	Width, Height float64
	Ground        color.NRGBA // the paper; white by New
	Says          string      // what is to be seen, for readers who cannot; may be empty
}

// Colours of most drawings.
var (
	Ink   = Hex(0x222222)
	White = Hex(0xffffff)
)

// New begins a drawing on white paper.
func New(width, height float64, title string) *Drawing {
	return &Drawing{Group: Group{Title: title}, Width: width, Height: height, Ground: White}
}

// Hex is the opaque colour 0xrrggbb.
func Hex(rgb uint32) color.NRGBA {
	return color.NRGBA{uint8(rgb >> 16), uint8(rgb >> 8), uint8(rgb), 255}
}

// Thin is the colour with a share from 0 to 1 of its covering power.
func Thin(c color.NRGBA, share float64) color.NRGBA {
	c.A = uint8(math.Round(255 * share))
	return c
}

// Add puts marks on top of those that are there.
func (g *Group) Add(marks ...Mark) { g.marks = append(g.marks, marks...) }

// Line adds a straight line.
func (g *Group) Line(x1, y1, x2, y2 float64, stroke color.NRGBA, width float64) {
	g.Add(&Path{Points: []Point{{x1, y1}, {x2, y2}}, Style: Style{Stroke: stroke, Width: width}})
}

// Lines adds a line through points that are joined.
func (g *Group) Lines(points []Point, closed bool, style Style) {
	g.Add(&Path{Points: points, Closed: closed, Style: style})
}

// Box adds a rectangle by its top left corner and size, with an edge 1 wide.
func (g *Group) Box(x, y, width, height float64, fill, stroke color.NRGBA) {
	g.Add(&Path{
		Points: []Point{{x, y}, {x + width, y}, {x + width, y + height}, {x, y + height}},
		Closed: true, Style: Style{Fill: fill, Stroke: stroke, Width: 1},
	})
}

// Label adds words of the usual size.
func (g *Group) Label(x, y float64, at Anchor, fill color.NRGBA, words string) {
	g.Add(&Text{At: Point{x, y}, Words: words, Anchor: at, Fill: fill})
}

// Heading adds the words over a drawing.
func (g *Group) Heading(x, y float64, words string) {
	g.Add(&Text{At: Point{x, y}, Words: words, Size: 16, Bold: true, Anchor: Left, Fill: Ink})
}

// Ring returns the outline of a disc: 24 corners, and more where it is so large
// that they would show. A corner lies r (1 - cos(π/n)) outside the sides: 0.06
// pixels at 7.
func Ring(x, y, r float64) []Point {
	n := max(24, int(math.Ceil(3*r)))
	out := make([]Point, n)
	for i := range out {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		out[i] = Point{x + float64(r*cos), y + float64(r*sin)}
	}
	return out
}
