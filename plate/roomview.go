package plate

import (
	"fmt"
	"image"
	"image/color"
	"math"
	"slices"

	"lampblack/light"
	"lampblack/plate/drawing"
	"lampblack/rig"
	"lampblack/room"
)

// View is the room as an eye of the audience or a performer sees it.
type View struct {
	Title     string
	Transport *room.Transport
	Rig       *rig.Rig // names the lenses in view; may be nil
	Levels    []float32
	Absent    []bool // by panel: what is not on stage, and not seen; nil where all is
	Eye       int    // index in Transport.Eyes; below 0 it is seen from From
	GlowOnly  bool   // fluorescence alone: what a perfectly dark black light would show
	// From and Toward are where it is seen from when no eye is, and a point in the middle
	// of the picture.
	From, Toward room.Point
	// Across is the width of the picture in degrees; 60 when 0.
	Across float64
	// White is the luminance shown as the paper's white, cd/m2; when 0, that
	// which one part in two hundred of the picture exceeds.
	White float64
}

// viewKnee is where the tone map leaves the straight line.
const viewKnee = .7

const (
	viewWidth  = 880.0
	viewHeight = 520.0
	viewTop    = 46.0
	viewLeft   = 20.0
)

// camera looks from an eye along its gaze, level to the horizon. forward, right and up
// are of length 1 and at right angles.
type camera struct {
	at                 room.Point
	forward, right, up [3]float64
	across             float64 // tangent of half the width
}

// camera checks what was asked for and sets up the eye. Its picture is flat, as a photograph
// is: straight lines stay straight, and things near the edges look wider than they are.
//
//	forward   along the gaze
//	right     level, forward × z; along x for an eye that looks straight up or down
//	up        right × forward
func (v *View) camera() (camera, error) {
	if v.Eye >= len(v.Transport.Eyes) || v.Eye < 0 && v.From == v.Toward {
		return camera{}, fmt.Errorf("draw view: there is no eye %d of %d", v.Eye, len(v.Transport.Eyes))
	}
	if len(v.Levels) != len(v.Transport.Light) {
		return camera{}, fmt.Errorf("draw view: %d levels for %d drives", len(v.Levels), len(v.Transport.Light))
	}
	across := v.Across
	if across == 0 {
		across = 60
	}
	if !(across >= 5 && across <= 140) {
		return camera{}, fmt.Errorf("draw view: a picture %v° across lies outside 5° to 140°", v.Across)
	}
	at, gaze := v.gaze()
	c := camera{at: at, across: math.Tan(across * math.Pi / 360), forward: gaze}
	// Level, and to the right of the gaze: forward × z.
	c.right = [3]float64{c.forward[1], -c.forward[0], 0}
	n := math.Hypot(c.right[0], c.right[1])
	if n < 1e-9 {
		c.right, n = [3]float64{1, 0, 0}, 1
	}
	for i := range c.right {
		c.right[i] /= n
	}
	c.up = [3]float64{
		c.right[1]*c.forward[2] - c.right[2]*c.forward[1],
		c.right[2]*c.forward[0] - c.right[0]*c.forward[2],
		c.right[0]*c.forward[1] - c.right[1]*c.forward[0],
	}
	return c, nil
}

// gaze is where the picture is seen from, and the direction of its middle, of length 1.
func (v *View) gaze() (at room.Point, forward [3]float64) {
	if v.Eye >= 0 {
		p := &v.Transport.Places[v.Transport.Eyes[v.Eye]]
		for i := range forward {
			forward[i] = float64(p.Normal[i])
		}
		return p.At, forward
	}
	long := 0.0
	for i := range forward {
		forward[i] = float64(v.Toward[i] - v.From[i])
		long = math.Hypot(long, forward[i])
	}
	for i := range forward {
		forward[i] /= long
	}
	return v.From, forward
}

// ray is the direction through a point of the picture, from -1 to 1 across and
// in the same measure up. Its length is not 1.
func (c *camera) ray(x, y float64) room.Point {
	var out room.Point
	for i := range out {
		out[i] = lengthOf(c.forward[i] + c.across*(x*c.right[i]+y*c.up[i]))
	}
	return out
}

// onto is where a point of the room lies in the picture, in the measures of ray, also when
// that is beside it; ok is false behind the eye.
func (c *camera) onto(p room.Point) (x, y float64, ok bool) {
	var d [3]float64
	for i := range d {
		d[i] = float64(p[i] - c.at[i])
	}
	dot := func(a [3]float64) float64 { return a[0]*d[0] + a[1]*d[1] + a[2]*d[2] }
	z := dot(c.forward)
	if z <= 1e-6 {
		return 0, 0, false
	}
	return dot(c.right) / (z * c.across), dot(c.up) / (z * c.across), true
}

// Draw computes the plate; the picture inside is of pixels.
func (v *View) Draw() (*drawing.Drawing, error) {
	c, err := v.camera()
	if err != nil {
		return nil, err
	}
	seen := v.luminances(&c)
	white := v.White
	if white <= 0 {
		white = brightest(seen)
	}
	d := drawing.New(viewWidth+2*viewLeft, viewTop+viewHeight+62, v.Title)
	d.Heading(viewLeft, 28, v.Title)
	d.Add(&drawing.Picture{Pixels: toned(seen, white), Left: viewLeft, Top: viewTop, Right: viewLeft + viewWidth, Bottom: viewTop + viewHeight})
	d.Box(viewLeft, viewTop, viewWidth, viewHeight, none, drawing.Ink)
	v.lenses(d, &c)
	name := "among the audience"
	if v.Eye >= 0 {
		name = v.Transport.Places[v.Transport.Eyes[v.Eye]].Name
	}
	what := "All light, as seen from " + name
	if v.GlowOnly {
		what = "Glow alone, as seen from " + name
	}
	across := v.Across
	if across == 0 {
		across = 60
	}
	y := viewTop + viewHeight + 22
	d.Label(viewLeft, y, drawing.Left, drawing.Ink, fmt.Sprintf("%s; %g° across. Paper white is %s cd/m²; straight up to %d %% of it, then softened.", what, across, plain(white), int(viewKnee*100)))
	d.Label(viewLeft, y+20, drawing.Left, drawing.Ink, "Computed for matt surfaces and an eye that sees colour: a dark-adapted eye sees less of it in the dark parts.")
	return d, nil
}

// viewPixels is how many pixels the picture has across.
const viewPixels = 880

// luminances traces the picture, row after row from the top: one ray for each
// pixel, and four where it borders on another surface.
func (v *View) luminances(c *camera) [][]light.XYZ {
	p := v.Transport.NewPicture()
	v.Transport.Picture(p, v.Levels)
	t := tracing{transport: v.Transport, camera: c, from: p.Colour, absent: v.Absent, across: viewPixels, rows: int(math.Round(viewPixels * viewHeight / viewWidth))}
	if v.GlowOnly {
		t.from = p.Glow
	}
	out, panels := make([][]light.XYZ, t.rows), make([][]int, t.rows)
	for r := range out {
		out[r], panels[r] = make([]light.XYZ, viewPixels), make([]int, viewPixels)
		for k := range out[r] {
			out[r][k], panels[r][k] = t.at(float64(k)+.5, float64(r)+.5)
		}
	}
	for r := range out {
		for k := range out[r] {
			if !borders(panels, r, k) {
				continue
			}
			var sum light.XYZ
			for i := range 4 {
				one, _ := t.at(float64(k)+.25+.5*float64(i&1), float64(r)+.25+.5*float64(i>>1))
				sum = sum.Plus(one, .25)
			}
			out[r][k] = sum
		}
	}
	return out
}

// borders tells whether a pixel or one beside it shows another panel.
func borders(panels [][]int, r, k int) bool {
	for _, d := range [][2]int{{0, 1}, {1, 0}, {0, -1}, {-1, 0}} {
		y, x := r+d[0], k+d[1]
		if y >= 0 && y < len(panels) && x >= 0 && x < len(panels[y]) && panels[y][x] != panels[r][k] {
			return true
		}
	}
	return false
}

// tracing follows rays from the eye.
type tracing struct {
	transport *room.Transport
	camera    *camera
	from      []light.XYZ // luminance by place
	absent    []bool      // by panel
	across    int         // pixels
	rows      int
}

// hit is what is seen at a point of the picture, in pixels.
func (t *tracing) hit(x, y float64) (room.Look, bool) {
	half := float64(t.across) / 2
	return t.transport.TracePast(t.camera.at, t.camera.ray((x-half)/half, (float64(t.rows)/2-y)/half), t.absent)
}

// at returns the luminance at a point of the picture, in pixels, and the panel
// that is seen there, -1 for none.
func (t *tracing) at(x, y float64) (c light.XYZ, panel int) {
	l, ok := t.hit(x, y)
	if !ok {
		return c, -1
	}
	places, weights := t.transport.Between(l)
	for i, place := range places {
		if weights[i] > 0 {
			c = c.Plus(t.from[place], weights[i])
		}
	}
	return c, l.Panel
}

// brightest is the luminance that one pixel in two hundred exceeds; 1 cd/m2 in
// the dark.
func brightest(seen [][]light.XYZ) float64 {
	var all []float64
	for _, row := range seen {
		for _, c := range row {
			all = append(all, c.Y)
		}
	}
	slices.Sort(all)
	// Not the brightest: one lens in view would turn all else black.
	if y := all[len(all)*199/200]; y > 1e-4 {
		return y
	}
	return 1
}

// toned brings luminances to what paper and screens can show; see light.ToneMap.
func toned(seen [][]light.XYZ, white float64) *image.RGBA {
	m := light.ToneMap{White: white, Knee: viewKnee}
	out := image.NewRGBA(image.Rect(0, 0, len(seen[0]), len(seen)))
	for y, row := range seen {
		for x, c := range row {
			rgb := m.SRGB(c)
			out.SetRGBA(x, y, color.RGBA{rgb.R, rgb.G, rgb.B, 255})
		}
	}
	return out
}

// lenses marks the units whose light is on and whose lens the eye sees: glare. The rays of
// the picture do not meet them: a unit has no body in the room that is computed.
func (v *View) lenses(d *drawing.Drawing, c *camera) {
	if v.Rig == nil || v.GlowOnly {
		return
	}
	for i := range v.Transport.Views {
		view := &v.Transport.Views[i]
		// Under 1 cd/m² a lens does not stand out of a lit room (no source).
		if view.Eye != v.Eye || v.Transport.LensLuminance(view, v.Levels) < 1 {
			continue
		}
		x, y, ok := c.onto(room.Point(v.Rig.Units[view.Unit].At))
		if !ok || math.Abs(x) > 1 || math.Abs(y) > viewHeight/viewWidth {
			continue
		}
		px, py := viewLeft+viewWidth/2*(1+x), viewTop+viewHeight/2-y*viewWidth/2
		d.Lines(drawing.Ring(px, py, 7), true, drawing.Style{Stroke: drawing.White, Width: 3.5})
		d.Lines(drawing.Ring(px, py, 7), true, drawing.Style{Stroke: vermilion, Width: 2})
		at, dx := drawing.Left, 12.0
		if x > .7 {
			at, dx = drawing.Right, -12
		}
		d.Add(&drawing.Text{At: drawing.Point{px + dx, py + 4}, Words: "lens of " + v.Rig.Units[view.Unit].Name.Name, Size: 12, Anchor: at, Fill: brown, Halo: true})
	}
}
