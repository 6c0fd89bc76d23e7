package drawing

import (
	"bytes"
	"encoding/xml"
	"errors"
	"image"
	"image/color"
	"image/png"
	"io"
	"math"
	"os/exec"
	"strings"
	"testing"
)

// Every mark as an element of SVG 1.1 (W3C Recommendation, second edition,
// 2011: 8 paths, 10 text, 5 groups and images, 14 clipping); pinned by hand.
func TestSVGOfEachMark(t *testing.T) {
	dot := image.NewRGBA(image.Rect(0, 0, 1, 1))
	for name, c := range map[string]struct {
		mark Mark
		want string
	}{
		"a line": {&Path{Points: []Point{{1, 2}, {3.004, -0.001}}, Style: Style{Stroke: Hex(0x0a0b0c), Width: 1.5}},
			`<path d="M1 2L3 0" fill="none" stroke="#0a0b0c" stroke-width="1.5" stroke-linejoin="round"/>`},
		"an outline, half covering": {&Path{Points: []Point{{0, 0}, {9, 0}, {9, 9}}, Closed: true, Style: Style{Fill: Thin(Hex(0xff0000), .5)}},
			`<path d="M0 0L9 0L9 9Z" fill="#ff0000" stroke="none" fill-opacity="0.5"/>`},
		"dashes": {&Path{Points: []Point{{0, 0}, {9, 0}}, Style: Style{Stroke: Thin(Ink, .2), Width: 1, Dash: []float64{7, 3.25}}},
			`<path d="M0 0L9 0" fill="none" stroke="#222222" stroke-opacity="0.2" stroke-width="1" stroke-linejoin="round" stroke-dasharray="7 3.25"/>`},
		"no points": {&Path{}, ``},
		"words": {&Text{At: Point{5, 6}, Words: "a < b & c", Anchor: Right, Fill: Ink},
			`<text x="5" y="6" text-anchor="end" fill="#222222">a &lt; b &amp; c</text>`},
		"words that run up": {&Text{At: Point{5, 6}, Words: "lx", Size: 11, Bold: true, Anchor: Centre, Fill: Ink, Turned: true},
			`<text transform="translate(5 6) rotate(-90)" text-anchor="middle" fill="#222222" font-size="11" font-weight="bold">lx</text>`},
		"words with an edge": {&Text{At: Point{5, 6}, Words: "lx", Size: 13, Anchor: Left, Fill: Ink, Halo: true},
			`<text x="5" y="6" text-anchor="start" fill="#222222" stroke="#ffffff" stroke-width="3" paint-order="stroke" stroke-linejoin="round">lx</text>`},
		"a picture": {&Picture{dot, 1, 2, 4, 8}, `<image x="1" y="2" width="3" height="6" href="data:image/png;base64,`},
		"a group": {&Group{Class: "unit", Name: `"left"`, Title: "the left one"},
			"<g class=\"unit\" data-name=\"&#34;left&#34;\">\n<title>the left one</title>\n</g>"},
		"a clip": {&Group{Clip: []Point{{0, 0}, {1, 0}, {1, 1}}},
			"<clipPath id=\"clip1\"><path d=\"M0 0L1 0L1 1Z\"/></clipPath>\n<g clip-path=\"url(#clip1)\">\n</g>"},
	} {
		d := New(10, 20, "T")
		d.Add(c.mark)
		svg, err := d.SVG()
		if err != nil {
			t.Fatal(err)
		}
		_, body, _ := strings.Cut(string(svg), `fill="#ffffff"/>`+"\n")
		body = strings.TrimSuffix(strings.TrimSuffix(body, "</svg>\n"), "\n")
		if body != c.want && !(name == "a picture" && strings.HasPrefix(body, c.want)) {
			t.Errorf("%s:\n%s\nwant\n%s", name, body, c.want)
		}
	}
}

// What is to be seen is said only where it was given.
func TestSays(t *testing.T) {
	d := New(1, 1, "a title")
	for says, want := range map[string]string{"": "<title>a title</title>\n<rect", "a lamp": "<title>a title</title>\n<desc>a lamp</desc>\n<rect"} {
		d.Says = says
		if svg, err := d.SVG(); err != nil || !strings.Contains(string(svg), want) {
			t.Errorf("%q, %v: no %s in\n%s", says, err, want, svg)
		}
	}
}

// painted is the drawing's pixels.
func painted(t *testing.T, d *Drawing, scale float64) image.Image {
	t.Helper()
	data, err := d.png(scale)
	if err != nil {
		t.Fatal(err)
	}
	img, err := png.Decode(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	return img
}

func is(t *testing.T, what string, img image.Image, x, y int, want color.NRGBA) {
	t.Helper()
	if got := color.NRGBAModel.Convert(img.At(x, y)).(color.NRGBA); got != want {
		t.Errorf("%s: %v at %d, %d, want %v", what, got, x, y, want)
	}
}

// What covers whole pixels has just its colour there, and nothing beside.
func TestPixels(t *testing.T) {
	red, blue := Hex(0xff0000), Hex(0x0000ff)
	d := New(40, 30, "")
	d.Box(4, 4, 8, 8, red, color.NRGBA{})
	d.Line(20, 5, 20, 25, blue, 4)
	d.Lines([]Point{{30, 20}, {40, 20}}, false, Style{Stroke: red, Width: 2, Dash: []float64{2, 6}})
	d.Box(4, 20, 8, 8, Thin(red, .5), color.NRGBA{})
	img := painted(t, d, 2)
	if b := img.Bounds(); b.Dx() != 80 || b.Dy() != 60 {
		t.Fatalf("%v for 40 by 30 at a scale of 2", b)
	}
	is(t, "inside", img, 8, 8, red)
	is(t, "inside", img, 23, 23, red)
	is(t, "outside", img, 7, 8, White)
	is(t, "outside", img, 24, 23, White)
	is(t, "the line", img, 36, 30, blue)
	is(t, "the line", img, 43, 30, blue)
	is(t, "beside the line", img, 35, 30, White)
	is(t, "beside the line", img, 44, 30, White)
	is(t, "a dash", img, 62, 40, red)
	is(t, "between dashes", img, 70, 40, White)
	is(t, "half covered", img, 16, 48, color.NRGBA{255, 127, 127, 255})
}

func TestClipHidesWhatLiesOutside(t *testing.T) {
	d := New(40, 40, "")
	d.Ground = Hex(0xeeeeee)
	g := &Group{Clip: []Point{{10, 10}, {30, 10}, {30, 30}, {10, 30}}}
	g.Box(0, 0, 20, 40, Hex(0x008000), color.NRGBA{})
	d.Add(g)
	img := painted(t, d, 1)
	is(t, "in both", img, 15, 15, Hex(0x008000))
	is(t, "in the clip alone", img, 25, 15, Hex(0xeeeeee))
	is(t, "in the box alone", img, 5, 15, Hex(0xeeeeee))
}

// inked is the box of all that is not ground.
func inked(img image.Image) image.Rectangle {
	var r image.Rectangle
	b := img.Bounds()
	for y := range b.Dy() {
		for x := range b.Dx() {
			if c := color.GrayModel.Convert(img.At(x, y)).(color.Gray); c.Y < 128 {
				r = r.Union(image.Rect(x, y, x+1, y+1))
			}
		}
	}
	return r
}

// Words stand to their point as their anchor says, upright and turned.
func TestAnchors(t *testing.T) {
	for _, turned := range []bool{false, true} {
		for at, share := range map[Anchor]float64{Left: 0, Centre: .5, Right: 1} {
			d := New(200, 200, "")
			d.Add(&Text{At: Point{100, 100}, Words: "HHHHHHHH", Anchor: at, Fill: Ink, Turned: turned})
			r := inked(painted(t, d, 1))
			from, to, base, top := float64(r.Min.X), float64(r.Max.X), r.Max.Y, r.Min.Y
			if turned { // right is up, and up is left
				from, to, base, top = 200-float64(r.Max.Y), 200-float64(r.Min.Y), r.Max.X, r.Min.X
			}
			if got := from + share*(to-from); math.Abs(got-100) > 2.5 {
				t.Errorf("anchor %s, turned %v: words from %v to %v", at, turned, from, to)
			}
			// Capitals of the Go fonts are 0.72 of their size (from memory).
			if base < 99 || base > 101 || top < 88 || top > 93 {
				t.Errorf("anchor %s, turned %v: letters from %d to %d over a base line at 100", at, turned, top, base)
			}
		}
	}
}

// A halo makes words readable on black.
func TestHalo(t *testing.T) {
	for _, halo := range []bool{false, true} {
		d := New(60, 40, "")
		d.Ground = Hex(0)
		d.Add(&Text{At: Point{10, 25}, Words: "HHH", Anchor: Left, Fill: Hex(0), Halo: halo})
		white := 0
		img := painted(t, d, 1)
		for i := range 60 * 40 {
			if c := color.GrayModel.Convert(img.At(i%60, i/60)).(color.Gray); c.Y > 200 {
				white++
			}
		}
		if halo != (white > 60) {
			t.Errorf("halo %v: %d white pixels", halo, white)
		}
	}
}

// sample is a drawing with every kind of mark but words, whose letters the
// reader's fonts decide.
func sample() *Drawing {
	d := New(200, 160, "A sample")
	d.Box(10, 10, 60, 40, Hex(0xffe0a0), Ink)
	d.Lines(Ring(120, 40, 25), true, Style{Fill: Thin(Hex(0x0072b2), .4), Stroke: Hex(0xd55e00), Width: 3})
	d.Lines([]Point{{10, 80}, {60, 70}, {90, 120}, {190, 90}}, false, Style{Stroke: Hex(0x009e73), Width: 2, Dash: []float64{9, 3, 2, 3}})
	p := image.NewRGBA(image.Rect(0, 0, 4, 4))
	for i := range 16 {
		p.SetRGBA(i%4, i/4, color.RGBA{uint8(60 * (i % 4)), uint8(60 * (i / 4)), 90, 255})
	}
	d.Add(&Picture{p, 150, 10, 190, 50})
	g := &Group{Clip: Ring(50, 130, 20)}
	for x := 0.0; x < 200; x += 6 {
		g.Line(x, 160, x+40, 100, Ink, 1.5)
	}
	d.Add(g)
	return d
}

// The pixels look like the SVG as a program that is not ours draws it.
func TestFormsAgree(t *testing.T) {
	path, err := exec.LookPath("rsvg-convert")
	if err != nil {
		t.Skip("outside check left out: needs rsvg-convert (Debian package librsvg2-bin)")
	}
	svg, err := sample().SVG()
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(path, "-z", "2")
	cmd.Stdin = bytes.NewReader(svg)
	out, err := cmd.Output()
	if err != nil {
		t.Fatal(err)
	}
	theirs, err := png.Decode(bytes.NewReader(out))
	if err != nil {
		t.Fatal(err)
	}
	ours := painted(t, sample(), 2)
	if ours.Bounds() != theirs.Bounds() {
		t.Fatalf("%v, theirs %v", ours.Bounds(), theirs.Bounds())
	}
	far, sum := 0, 0
	for y := range ours.Bounds().Dy() {
		for x := range ours.Bounds().Dx() {
			a, b := color.NRGBAModel.Convert(ours.At(x, y)).(color.NRGBA), color.NRGBAModel.Convert(theirs.At(x, y)).(color.NRGBA)
			most := max(apart(a.R, b.R), apart(a.G, b.G), apart(a.B, b.B))
			sum += most
			if most > 100 {
				far++
			}
		}
	}
	// Ends of dashes and joins differ by parts of a pixel, and each program
	// stretches pictures in its own way.
	n := 400 * 320
	if mean := float64(sum) / float64(n); mean > 1.2 || far > n/300 {
		t.Errorf("the forms differ by %.2f of 255 on average, and by more than 100 in %d of %d pixels", mean, far, n)
	}
}

func apart(a, b uint8) int { return max(int(a)-int(b), int(b)-int(a)) }

// Names and titles are text, whatever they hold; the result is XML.
func TestHostileWords(t *testing.T) {
	bad := "</svg><script>\x00\"'&"
	d := New(10, 10, bad)
	d.Says = bad
	g := &Group{Class: bad, Name: bad, Title: bad}
	g.Label(1, 1, Left, Ink, bad)
	d.Add(g)
	svg, err := d.SVG()
	if err != nil {
		t.Fatal(err)
	}
	for r := xml.NewDecoder(bytes.NewReader(svg)); ; {
		token, err := r.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			t.Fatal(err)
		}
		if s, ok := token.(xml.StartElement); ok && s.Name.Local == "script" {
			t.Error("words are taken for markup")
		}
	}
}

// The ending of a file's name says its form, in either case; a PNG has two
// pixels to one.
func TestFile(t *testing.T) {
	for name, size := range map[string]int{"a.svg": 0, "b/a.SVG": 0, "a.png": 400, "a.PNG": 400, "a.pdf": -1, "svg": -1} {
		data, err := sample().File(name)
		switch {
		case size < 0:
			if err == nil || !strings.Contains(err.Error(), name) {
				t.Errorf("%s: %v", name, err)
			}
		case err != nil:
			t.Errorf("%s: %v", name, err)
		case size == 0 && !bytes.HasPrefix(data, []byte("<svg ")):
			t.Errorf("%s: no SVG", name)
		case size > 0:
			if c, err := png.DecodeConfig(bytes.NewReader(data)); err != nil || c.Width != size {
				t.Errorf("%s: %v wide, %v", name, c.Width, err)
			}
		}
	}
}

// Places that are nowhere, dashes that do not go forward and sizes that cannot
// be are borne or refused.
func TestWhatCannotBeDrawn(t *testing.T) {
	d := New(20, 20, "")
	for _, v := range []float64{math.NaN(), math.Inf(1), math.Inf(-1), 1e300} {
		d.Line(v, 0, 5, v, Ink, 1)
		d.Lines([]Point{{v, v}, {1, 1}, {v, 3}}, true, Style{Fill: Ink, Stroke: Ink, Width: 2})
		d.Lines([]Point{{1, 1}, {v, 19}}, false, Style{Stroke: Ink, Width: 1, Dash: []float64{4, 4}})
		d.Lines([]Point{{1, 1}, {19, 19}}, false, Style{Stroke: Ink, Width: 1, Dash: []float64{v * 0, -1}})
		d.Add(&Group{Clip: []Point{{v, v}}})
	}
	painted(t, d, 1)
	for _, scale := range []float64{0, -1, math.NaN(), 1e6} {
		if _, err := d.png(scale); err == nil {
			t.Errorf("a scale of %v is drawn", scale)
		}
	}
	d.Add(&Picture{Pixels: image.NewRGBA(image.Rectangle{})})
	if _, err := d.SVG(); err == nil {
		t.Error("a picture without pixels is written")
	}
}

// Dashes cover their share of the line, wherever its corners lie.
func TestDashes(t *testing.T) {
	line := []Point{{0, 0}, {30, 40}, {30, 90}} // 100 long
	for _, c := range []struct {
		dash []float64
		want float64
	}{{nil, 100}, {[]float64{7, 3}, 70}, {[]float64{9, 3, 2, 3}, 66}, {[]float64{200, 1}, 100}, {[]float64{3}, 51}, {[]float64{60, 50}, 60}} {
		got := 0.0
		for _, piece := range dashed(line, c.dash) {
			for i := 1; i < len(piece); i++ {
				got += math.Hypot(piece[i][0]-piece[i-1][0], piece[i][1]-piece[i-1][1])
			}
		}
		if math.Abs(got-c.want) > 1e-9 {
			t.Errorf("dashes %v cover %v of 100, want %v", c.dash, got, c.want)
		}
	}
}

// A ring is round to a tenth of a pixel, however large.
func TestRing(t *testing.T) {
	for _, r := range []float64{3, 7, 40, 300} {
		ring := Ring(0, 0, r)
		for i, p := range ring {
			q := ring[(i+1)%len(ring)]
			if in := r - math.Hypot((p[0]+q[0])/2, (p[1]+q[1])/2); in < 0 || in > .1 {
				t.Errorf("radius %v: a side lies %v inside", r, in)
			}
		}
	}
}
