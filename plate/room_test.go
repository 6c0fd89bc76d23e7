package plate

import (
	"bytes"
	"context"
	"encoding/xml"
	"errors"
	"fmt"
	"image/color"
	"image/png"
	"io"
	"math"
	"os/exec"
	"strings"
	"sync"
	"testing"

	"lampblack/light"
	"lampblack/rig"
	"lampblack/room"
	"lampblack/source"
)

const plateUnit = `
name: two colours
size: [0.3 m, 0.2 m, 0.1 m]
beam: {half: 50°, shape: gaussian}
emitters:
  blue: {peak: 455 nm, width: 20 nm, output: 1 W}
  uv: {peak: 385 nm, width: 12 nm, output: 8 W ± 25 %}
modes:
  two: {1: {drives: blue}, 2: {drives: uv}}
`

const plateRig = `
units:
  - {unit: left, type: lamp, address: 1, at: [-2 m, 0.3 m, 1 m], aim: [0.3 m, 1.8 m, 1.4 m]}
  - {unit: front, type: lamp, address: 3, at: [2 m, -3 m, 3 m], aim: [0 m, 1.8 m, 1.4 m]}
  - {unit: back, type: lamp, address: 5, at: [2 m, 3 m, 2 m], aim: [0 m, -4 m, 1.2 m]}
`

const plateRoom = `
size: [6 m, 9 m, 3.5 m]
stage front: 5.5 m
walls: grey paint
surfaces:
  backdrop: {material: black cloth, centre: [0 m, 3.3 m, 1.6 m], width: 5 m, height: 3 m, faces: [0 m, -1 m, 0 m]}
objects:
  fish: {paint: fluorescent yellow-green, centre: [0.3 m, 1.8 m, 1.4 m], width: 0.9 m, height: 0.5 m, faces: [0 m, -1 m, 0 m], background: backdrop}
boxes:
  table: {centre: [-1 m, 0.8 m, 0.4 m], size: [1 m, 0.5 m, 0.8 m], material: dark wood}
audience:
  - {name: middle seat, at: [0 m, -4 m, 1.2 m]}
performers:
  - {name: hand, at: [0.3 m, 2.6 m, 1.6 m]}
`

type setting struct {
	room      *room.Room
	rig       *rig.Rig
	transport *room.Transport
}

var aRoom = sync.OnceValue(func() setting { return solved(plateRoom) })

// solved solves a room with the rig of these tests; some objects only receive light.
func solved(text string, loose ...string) setting {
	must := func(f source.Faults) {
		if err := f.Err(); err != nil {
			panic(err)
		}
	}
	kind, faults := rig.ReadType("lamp", "lamp.yaml", []byte(plateUnit))
	must(faults)
	rg, faults := rig.Read("rig.yaml", []byte(plateRig), source.Named[*rig.Type]{{Name: "lamp", Value: kind}})
	must(faults)
	r, faults := room.Read("room.yaml", []byte(text))
	must(faults)
	r.Loosen(loose)
	tr, faults := r.SolveAt(context.Background(), rg, room.Fineness{Patches: 800, Elements: 120})
	must(faults)
	return setting{r, rg, tr}
}

var plateLevels = []float32{.5, 1, 0, 0, .2, 0}

func (s setting) view(glow bool) *View {
	return &View{Title: "A fish & its “room”", Transport: s.transport, Rig: s.rig, Instant: Instant{Levels: plateLevels}, GlowOnly: glow}
}

func (s setting) plan(uva bool) *Plan {
	return &Plan{Title: "A room", Transport: s.transport, Room: s.room, Rig: s.rig, Levels: plateLevels, Height: 1, UVA: uva}
}

// wordsOf returns all text of the SVG.
func wordsOf(t *testing.T, svg []byte) string {
	t.Helper()
	var words strings.Builder
	for d := xml.NewDecoder(bytes.NewReader(svg)); ; {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			return words.String()
		}
		if err != nil {
			t.Fatal(err)
		}
		if c, ok := token.(xml.CharData); ok {
			words.Write(c)
		}
	}
}

// Every plate of the room is well-formed, the same twice, names what its axes
// and scale are in, and can be drawn by a program that is not ours.
func TestRoomPlates(t *testing.T) {
	s := aRoom()
	ctx := context.Background()
	for _, c := range []struct {
		name  string
		svg   func() ([]byte, error)
		words []string
	}{
		{"view", func() ([]byte, error) { return svgOf(s.view(false).Draw(ctx)) }, []string{"A fish & its “room”", "as seen from middle seat", "cd/m²", "lens of back"}},
		{"glow", func() ([]byte, error) { return svgOf(s.view(true).Draw(ctx)) }, []string{"Glow alone", "cd/m²"}},
		{"lux", func() ([]byte, error) { return svgOf(s.plan(false).Draw(ctx)) }, []string{"illuminance, lx", "audience, m", "1 m above the floor", " lx"}},
		{"uva", func() ([]byte, error) { return svgOf(s.plan(true).Draw(ctx)) }, []string{"UV-A irradiance, W/m²", "10 kJ/m²", "2 h", "ICNIRP"}},
	} {
		svg, err := c.svg()
		if err != nil {
			t.Fatal(err)
		}
		again, _ := c.svg()
		if !bytes.Equal(svg, again) {
			t.Errorf("%s: two drawings differ", c.name)
		}
		said := wordsOf(t, svg)
		for _, w := range c.words {
			if !strings.Contains(said, w) {
				t.Errorf("%s: no %q in it", c.name, w)
			}
		}
		drawnElsewhere(t, c.name, svg)
	}
}

func drawnElsewhere(t *testing.T, name string, svg []byte) {
	t.Helper()
	path, err := exec.LookPath("rsvg-convert")
	if err != nil {
		t.Log("outside check left out: needs rsvg-convert (Debian package librsvg2-bin)")
		return
	}
	cmd := exec.Command(path)
	cmd.Stdin = bytes.NewReader(svg)
	if out, err := cmd.Output(); err != nil || !bytes.HasPrefix(out, []byte("\x89PNG")) {
		t.Errorf("%s: rsvg-convert gives %d bytes, %v", name, len(out), err)
	}
}

// The pixel where an object lies shows the luminance that the transport has
// there, by the stated tone map.
func TestViewShowsLuminance(t *testing.T) {
	s := aRoom()
	v := s.view(true)
	v.White, v.As = 20, AsCamera
	sight, err := v.sight(t.Context(), viewPixels, viewPixels*viewHeight/viewWidth, &v.Instant)
	if err != nil {
		t.Fatal(err)
	}
	x, y, ok := sight.pixel(s.room.Objects.Get("fish").Centre)
	if !ok {
		t.Fatalf("the fish lies at %v, %v", x, y)
	}
	place, _ := s.transport.Middle("fish")
	want := s.transport.GlowOnly(place, plateLevels)
	seen := sight.At(room.Fluoresce, &v.Instant, x, y)
	if seen.Name != "fish" || math.Abs(float64(seen.Shine.Y)/want.Y-1) > .15 {
		t.Errorf("%s shows %v, it glows with %v", seen.Name, seen.Shine, want.Y)
	}
	drawn, err := v.Draw(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	data, err := drawn.File("view.png")
	if err != nil {
		t.Fatal(err)
	}
	picture, err := png.Decode(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	const scale = 2 * viewWidth / viewPixels
	rgb := light.ToneMap{White: 20, Knee: knee}.SRGB(seen.Shine.Colour())
	got := color.RGBAModel.Convert(picture.At(int(2*viewLeft+scale*x), int(2*viewTop+scale*y))).(color.RGBA)
	for i, d := range []int{int(got.R) - int(rgb.R), int(got.G) - int(rgb.G), int(got.B) - int(rgb.B)} {
		if d < -3 || d > 3 {
			t.Errorf("colour %d is %v, want %v", i, got, rgb)
		}
	}
	if dark := sight.At(room.Fluoresce, &v.Instant, 10, 10); dark.Shine != (room.Shine{}) {
		t.Errorf("glow of %v where nothing is painted", dark)
	}
}

// Rays of the picture and points of the room belong together.
func TestCamera(t *testing.T) {
	s := aRoom()
	c, err := s.view(false).set(s.transport)
	if err != nil {
		t.Fatal(err)
	}
	for _, at := range [][2]float64{{0, 0}, {.5, .2}, {-.9, -.4}} {
		d := c.ray(at[0], at[1])
		var p room.Point
		for i := range p {
			p[i] = c.at[i] + d[i]*3
		}
		x, y, ok := c.onto(p)
		if !ok || math.Abs(x-at[0]) > 1e-9 || math.Abs(y-at[1]) > 1e-9 {
			t.Errorf("%v comes back as %v, %v", at, x, y)
		}
	}
}

// twoHours is the irradiance that comes to 10 kJ/m² (ICNIRP 2004) in 2 h.
const twoHours = 1e4 / 7200 // W/m2

// The 2 h contour of the keep-out plan lies where 10 kJ/m² take 2 h.
func TestKeepOutContour(t *testing.T) {
	s := aRoom()
	p := s.plan(true)
	l := p.floor()
	g := p.values(context.Background(), &l)
	lines := g.contour(twoHours)
	if len(lines) == 0 {
		t.Fatal("no contour")
	}
	checked := 0
	for _, line := range lines {
		for i := range line {
			at := room.Point{lengthOf(inset(l.x0, l.x1, 0, g.cols) + line[i][0]/float64(g.cols-1)*(l.x1-l.x0-.02)), lengthOf(inset(l.y0, l.y1, 0, g.rows) + line[i][1]/float64(g.rows-1)*(l.y1-l.y0-.02)), 0}
			most := 0.0
			for _, h := range eyeHeights {
				at[2] = lengthOf(h)
				most = math.Max(most, s.transport.Probe(context.Background(), room.Probe{Sense: room.UVA, Levels: plateLevels, Upper: true}, []room.Point{at})[0])
			}
			if most > 1e-3 && math.Abs(most/twoHours-1) < .2 {
				checked++
			}
		}
	}
	total := 0
	for _, line := range lines {
		total += len(line)
	}
	if checked*10 < total*8 {
		t.Errorf("only %d of %d points of the contour have its irradiance; at the edges of shadows the grid cannot follow", checked, total)
	}
}

// Marching squares find a circle as one closed line at its radius.
func TestContour(t *testing.T) {
	const n = 41
	g := &grid{n, n, make([]float64, n*n)}
	for i := range g.values {
		g.values[i] = math.Hypot(float64(i%n)-20, float64(i/n)-20)
	}
	lines := g.contour(12.3)
	if len(lines) != 1 || lines[0][0] != lines[0][len(lines[0])-1] {
		t.Fatalf("%d lines", len(lines))
	}
	for _, p := range lines[0] {
		if r := math.Hypot(p[0]-20, p[1]-20); math.Abs(r-12.3) > .01 {
			t.Fatalf("a point at radius %v", r)
		}
	}
}

// At a saddle the mean of the four corners says whether the high ones or the low
// ones hang together: where it is high, the line goes about each low corner.
func TestContourOfASaddle(t *testing.T) {
	for level, about := range map[float64][2][2]float64{
		.4: {{1, 0}, {0, 1}}, // the mean, .5, is high
		.6: {{0, 0}, {1, 1}},
	} {
		for turned := range 2 {
			g := &grid{2, 2, []float64{1, 0, 0, 1}}
			want := about
			if turned == 1 {
				g.values = []float64{0, 1, 1, 0}
				want = [2][2]float64{{1 - about[0][0], about[0][1]}, {1 - about[1][0], about[1][1]}}
			}
			lines := g.contour(level)
			if len(lines) != 2 {
				t.Fatalf("at %v: %d lines", level, len(lines))
			}
			for _, corner := range want {
				ok := false
				for _, line := range lines {
					far := 0.0
					for _, p := range line {
						far = max(far, math.Hypot(p[0]-corner[0], p[1]-corner[1]))
					}
					ok = ok || far < .5
				}
				if !ok {
					t.Errorf("at %v of %v: nothing goes about %v: %v", level, g.values, corner, lines)
				}
			}
		}
	}
}

// On a plan of light, of 6 m by 9 m, a metre is 640/9 pixels: units that are on
// are filled, each has its name under its mark and a line toward its aim.
func TestPlanUnits(t *testing.T) {
	s := aRoom()
	data, err := svgOf(s.plan(false).Draw(context.Background()))
	if err != nil {
		t.Fatal(err)
	}
	const metre = 640. / 9
	for name, c := range map[string]struct {
		x, y float64 // metres
		on   bool
	}{"left": {-2, .3, true}, "front": {2, -3, false}, "back": {2, 3, true}} {
		x, y := 84+metre*(c.x+3), 56+metre*(3.5-c.y)
		fill := "#ffffff"
		if c.on {
			fill = "#d55e00"
		}
		for what, want := range map[string]string{
			"mark":     fmt.Sprintf(`<path d="M%.2f %.2fL%.2f %.2fL%.2f %.2fL%.2f %.2fZ" fill="%s"`, x-5, y-5, x+5, y-5, x+5, y+5, x-5, y+5, fill),
			"name":     fmt.Sprintf(`<text x="%.2f" y="%.2f" text-anchor="middle"`, x, y+18),
			"its name": ">" + name + "</text>",
			"aim":      fmt.Sprintf(`<path d="M%.2f %.2fL`, x, y),
		} {
			if !strings.Contains(string(data), want) {
				t.Errorf("%s has no %s: %s", name, what, want)
			}
		}
	}
	for what, want := range map[string]string{
		"a performer":  fmt.Sprintf(`<path d="M%.2f %.0fL`, 84+metre*3.3, 56+metre*.9-7),
		"highest step": ">10</text>", "lowest step": ">0.1</text>",
	} {
		if !strings.Contains(string(data), want) {
			t.Errorf("no %s: %s", what, want)
		}
	}
}

// What cannot be drawn is an error, not a panic.
func TestRoomPlatesThatCannotBe(t *testing.T) {
	s := aRoom()
	v := *s.view(false)
	v.Eye = 9
	if _, err := v.Draw(t.Context()); err == nil {
		t.Error("an eye that is not there is drawn")
	}
	v = *s.view(false)
	v.Levels = nil
	if _, err := v.Draw(t.Context()); err == nil {
		t.Error("no levels are drawn")
	}
	v = *s.view(false)
	v.Across = 170
	if _, err := v.Draw(t.Context()); err == nil {
		t.Error("170° are drawn")
	}
	p := *s.plan(false)
	p.Height = 30
	if _, err := p.Draw(context.Background()); err == nil {
		t.Error("a plane above the ceiling is drawn")
	}
	ended, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := s.plan(true).Draw(ended); err == nil {
		t.Error("a plan is drawn after its context has ended")
	}
}

// In the dark everything still draws.
func TestDarkRoomPlates(t *testing.T) {
	s := aRoom()
	v, p := s.view(false), s.plan(false)
	v.Levels, p.Levels = make([]float32, 6), make([]float32, 6)
	if svg, err := svgOf(v.Draw(t.Context())); err != nil || len(svg) == 0 {
		t.Error(err)
	}
	if svg, err := svgOf(p.Draw(context.Background())); err != nil || len(svg) == 0 {
		t.Error(err)
	}
}
