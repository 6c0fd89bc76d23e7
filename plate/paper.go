package plate

import (
	"fmt"
	"image/color"
	"math"
	"slices"

	"lampblack/plate/drawing"
	"lampblack/rig"
	"lampblack/si"
)

// Sheet is a plan for paper, and its key, which goes below it or overleaf.
type Sheet struct {
	Plan, Key *drawing.Drawing
	Metre     float64 // pixels of the plan
}

// paperScales are those of plans that are printed, as 1 to so many (ISO 5455; 25, 75 and 150 are common
// practice).
var paperScales = []float64{10, 20, 25, 50, 75, 100, 150, 200, 250, 500, 1000, 2000, 5000}

// paperScale is the largest scale, in pixels to a metre, that goes into a limit.
func paperScale(limit float64) float64 {
	for _, n := range paperScales {
		if at := 1000 / 25.4 * 96 / n; at <= limit {
			return at
		}
	}
	return limit
}

// Room about a plan for its metres, in pixels.
const (
	paperLeft, paperRight = 62., 24.
	paperTop, paperBelow  = 10., 48.
)

// Paper draws the lighting plan for so many pixels of paper: black on white, types told
// by their shapes, to a scale that plans usually have.
func (p *Plot) Paper(width, height float64) (*Sheet, error) {
	if !(p.Room.Size[0] > 0 && p.Room.Size[1] > 0) {
		return nil, fmt.Errorf("draw plan: the room has no size")
	}
	f := newFloor(p.Room, p.Transport, 1, 1)
	f.left, f.top, f.edge, f.paper, f.beam = paperLeft, paperTop, drawing.Ink, true, beamOf(len(p.Rig.Units))
	f.scale = paperScale(min((width-paperLeft-paperRight)/(f.x1-f.x0), (height-paperTop-paperBelow)/(f.y1-f.y0)))
	d := drawing.New(f.left+f.width()+paperRight, f.top+f.height()+paperBelow, p.Title)
	d.Says = p.says()
	p.ground(&d.Group, &f, false)
	for u := range p.Rig.Units {
		unit := &p.Rig.Units[u]
		for _, outline := range f.body(unit, axesOf(unit)) {
			d.Lines(outline, true, drawing.Style{Fill: drawing.White, Stroke: drawing.Ink, Width: 1})
		}
	}
	for u := range p.Rig.Units {
		at, _ := f.hung(&p.Rig.Units[u])
		p.shape(&d.Group, &p.Rig.Units[u], at)
	}
	p.names(d, &f)
	f.axes(&d.Group)
	if left := width - d.Width; left >= keyBeside {
		d.Add(p.keyColumn(left-16).Moved(d.Width+16, f.top, 1))
		d.Width = width
		return &Sheet{d, nil, f.scale}, nil
	}
	return &Sheet{d, p.paperKey(width), f.scale}, nil
}

// keyBeside is how much room a plan leaves at its side that the key goes there.
const keyBeside = 215.

// corners of the shapes by which types are told: plain figures, turned so that no two look alike. 0 is a ring.
var shapes = []struct {
	corners int
	turn    float64 // of the first corner, in turns from straight up
	name    string
}{{0, 0, "ring"}, {4, .125, "square"}, {3, 0, "triangle"}, {4, 0, "square on its corner"}, {6, 0, "hexagon"}, {3, .5, "triangle, point down"}, {5, 0, "pentagon"}, {8, .0625, "octagon"}}

// shapeSize is the radius of a shape, in pixels.
const shapeSize = 6.5

// shape draws that of a unit's type about a point: black where it gives nothing but ultraviolet. Of more
// types than there are shapes the others have one with a number in it.
func (p *Plot) shape(g *drawing.Group, u *rig.Unit, at drawing.Point) {
	p.shapeOf(g, p.order(kindOf(u).ID), dark(u), at)
}

func (p *Plot) shapeOf(g *drawing.Group, n int, dark bool, at drawing.Point) {
	s := shapes[n%len(shapes)]
	style, ink := drawing.Style{Fill: drawing.White, Stroke: drawing.Ink, Width: 1.4}, drawing.Ink
	if dark {
		style.Fill, ink = drawing.Ink, drawing.White
	}
	outline := drawing.Ring(at[0], at[1], shapeSize)
	if s.corners > 0 {
		outline = nil
		for k := range s.corners {
			sin, cos := math.Sincos(2 * math.Pi * (s.turn + float64(k)/float64(s.corners)))
			outline = append(outline, drawing.Point{at[0] + float64(1.15*shapeSize*sin), at[1] - float64(1.15*shapeSize*cos)})
		}
	}
	g.Lines(outline, true, style)
	if round := n / len(shapes); round > 0 {
		g.Add(&drawing.Text{At: drawing.Point{at[0], at[1] + 3}, Words: fmt.Sprint(round), Size: 8, Bold: true, Anchor: drawing.Centre, Fill: ink})
	}
}

// order is the place of a type among those that hang.
func (p *Plot) order(id string) int { return max(slices.Index(p.types(), id), 0) }

// types lists those of which a unit hangs, in the order in which units name them.
func (p *Plot) types() []string {
	var out []string
	for u := range p.Rig.Units {
		if id := kindOf(&p.Rig.Units[u]).ID; !slices.Contains(out, id) {
			out = append(out, id)
		}
	}
	return out
}

// paperMarks are what the key says besides types.
func paperMarks() []func(k *key) {
	line := func(style drawing.Style) func(g *drawing.Group, x, y float64) {
		return func(g *drawing.Group, x, y float64) { g.Lines([]drawing.Point{{x - 11, y}, {x + 12, y}}, false, style) }
	}
	return []func(k *key){
		func(k *key) { k.mark("beam and its field", wedge) },
		func(k *key) { k.mark("seat", seat) },
		func(k *key) { k.mark("performer, at home", performer) },
		func(k *key) { k.mark("drape, surface", line(drawing.Style{Stroke: drawing.Ink, Width: 2.6})) },
		func(k *key) { k.mark("painted object", line(objectOnPaper)) },
		func(k *key) { k.mark("way in the dark", line(wayOnPaper)) },
		func(k *key) { k.mark("edge of the stage", line(edgeStyle(drawing.Ink))) },
		func(k *key) { k.mark("mark on the floor", cross) },
	}
}

// keyTypes lists the types with their shapes downwards, and returns where that ends.
func (p *Plot) keyTypes(g *drawing.Group, width, y float64) float64 {
	for n, id := range p.types() {
		p.shapeOf(g, n, p.darkType(id), drawing.Point{17, y - 4})
		for _, l := range folded(p.counted(id), width) {
			g.Label(39, y, drawing.Left, drawing.Ink, l)
			y += 17
		}
		y += 8
	}
	return y
}

// keyColumn is the key in one column.
func (p *Plot) keyColumn(width float64) *drawing.Drawing {
	d := drawing.New(width, 0, "Key")
	k := key{&d.Group, 6, p.keyTypes(&d.Group, width-44, 20) + 14}
	for _, m := range paperMarks() {
		m(&k)
	}
	d.Height = k.y
	return d
}

// paperKey is the key below a plan: types on the left, marks in two columns beside them.
func (p *Plot) paperKey(width float64) *drawing.Drawing {
	marks := paperMarks()
	half := (len(marks) + 1) / 2
	d := drawing.New(width, 0, "Key")
	d.Height = max(p.keyTypes(&d.Group, width*.46-44, 20), 24*float64(half)+16)
	for i, m := range marks {
		m(&key{&d.Group, width * []float64{.48, .75}[i/half], 20 + 24*float64(i%half)})
	}
	return d
}

// counted is a type with how many there are and how wide their beams.
func (p *Plot) counted(id string) string {
	n, text := 0, ""
	for u := range p.Rig.Units {
		if k := kindOf(&p.Rig.Units[u]); k.ID == id {
			n++
			text = k.Name + ", " + angles(&k.Beam)
		}
	}
	if p.darkType(id) {
		text += ", ultraviolet alone"
	}
	return fmt.Sprintf("%d × %s", n, text)
}

func (p *Plot) darkType(id string) bool {
	return slices.ContainsFunc(p.Rig.Units, func(u rig.Unit) bool { return kindOf(&u).ID == id && dark(&u) })
}

// folded breaks a text into lines of a width, between letters where a word is wider.
func folded(text string, width float64) []string {
	var out []string
	line := []rune{}
	for _, r := range text {
		line = append(line, r)
		if drawing.Wide(string(line), 13, false) <= width {
			continue
		}
		at := slices.Index(reversed(line), ' ')
		cut := len(line) - 1 // before the letter that is too much
		if at >= 0 && at < len(line)-1 {
			cut = len(line) - at
		}
		out = append(out, string(line[:cut]))
		line = slices.Clone(line[cut:])
	}
	return append(out, string(line))
}

func reversed(list []rune) []rune {
	out := slices.Clone(list)
	slices.Reverse(out)
	return out
}

func wedge(g *drawing.Group, x, y float64) {
	g.Lines([]drawing.Point{{x - 13, y}, {x + 11, y - 7}, {x + 11, y + 7}}, true, drawing.Style{Fill: beamOnPaper})
	g.Lines([]drawing.Point{{x - 13, y}, {x + 11, y}}, false, aimed)
}

// How things look on paper that is copied: what is colour elsewhere is a dash here.
var (
	objectOnPaper = drawing.Style{Stroke: drawing.Ink, Width: 2.6, Dash: []float64{4, 3}}
	wayOnPaper    = drawing.Style{Stroke: drawing.Ink, Width: 1.2, Dash: []float64{2, 4}}
	beamOnPaper   = drawing.Thin(color.NRGBA{A: 255}, .07)
)

// beamOf is the tint of one beam of so many: where hundreds lie on one another lines must still be seen.
func beamOf(units int) color.NRGBA {
	const plain = 25
	return drawing.Thin(color.NRGBA{A: 255}, .07*min(1, plain/float64(max(units, 1))))
}

// heightOf is how high a unit hangs.
func heightOf(u *rig.Unit) string { return si.Say(float64(u.At[2]), "m") }
