package plate

import (
	"fmt"
	"math"
	"regexp"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"lampblack/plate/drawing"
	"lampblack/rig"
	"lampblack/room"
	"lampblack/si"
)

func (s setting) plot() *Plot {
	return &Plot{Title: "A room, lighting plan", Room: s.room, Rig: s.rig, Transport: s.transport}
}

// Of 6 m by 9 m, whose stage begins 5.5 m from the wall behind the audience, a
// metre is 100 pixels: x is 84 + 100 (x + 3), y is 56 + 100 (3.5 - y).
func TestPlot(t *testing.T) {
	s := aRoom()
	data, err := svgOf(s.plot().Draw())
	if err != nil {
		t.Fatal(err)
	}
	drawnElsewhere(t, "plot", data)
	svg := string(data)
	for what, want := range map[string]string{
		"a unit by its name":    "<g class=\"unit\" data-name=\"left\">\n<title>left: two colours, universe 1, slots 1 to 2, 1 m up</title>",
		"its aim":               `<path d="M184 376L414 226" fill="none" stroke="#555555"`,
		"edge of the stage":     "<title>edge of the stage</title>\n<path d=\"M84 406L684 406\"",
		"a drape":               `<path d="M634 76L134 76" fill="none" stroke="#222222"`,
		"an object":             "<g class=\"object\">\n<title>fish</title>",
		"a box":                 "<title>table</title>\n<path d=\"M234 351L334 351L334 301L234 301Z\"",
		"a seat":                "<title>middle seat</title>",
		"a performer":           "<g class=\"performer\">\n<title>hand</title>\n<path d=\"M414 139L420.5 151L407.5 151Z\"",
		"a metre across":        `<path d="M184 956L184 56" fill="none" stroke="#dddddd"`,
		"a metre up":            `<path d="M84 306L684 306" fill="none" stroke="#dddddd"`,
		"the walls":             `<path d="M84 56L684 56L684 956L84 956Z"`,
		"what it shows":         "<desc>Lighting plan: left, front, back</desc>",
		"how many of a type":    ">3 × two colours</text>",
		"how wide its light is": ">beam 50°</text>",
		"a height":              ">3 m</text>",
		"whose work it is":      "licensed",
	} {
		if !strings.Contains(svg, want) && !(what == "a drape" && strings.Contains(svg, `<path d="M134 76L634 76" fill="none" stroke="#222222"`)) {
			t.Errorf("no %s: %s", what, want)
		}
	}
	// A thing with two sides is drawn and named once.
	if n := strings.Count(svg, "<title>fish</title>"); n != 1 {
		t.Errorf("the fish is drawn %d times", n)
	}
	// The wedge of 50° reaches as far as the aim, 25° to either side.
	far, turn := math.Hypot(230, -150), math.Atan2(-150, 230)
	corner := func(side float64) string {
		a, reach := turn+side*25*math.Pi/180, far/math.Cos(25*math.Pi/180)
		return fmt.Sprintf("L%.0f", 184+reach*math.Cos(a))
	}
	wedge := regexp.MustCompile(`M184 376L([0-9.]+) [0-9.]+L([0-9.]+) [0-9.]+Z`).FindStringSubmatch(svg)
	if wedge == nil {
		t.Fatal("no wedge of light")
	}
	for i, side := range []float64{-1, 1} {
		var x float64
		fmt.Sscan(wedge[i+1], &x)
		if got := fmt.Sprintf("L%.0f", x); got != corner(side) {
			t.Errorf("side %v of the wedge ends at %s, want %s", side, got, corner(side))
		}
	}
}

// A name is written for every unit, and no two lie on each other.
func TestPlotNames(t *testing.T) {
	crowded := aRoom()
	few := *crowded.rig
	few.Units = nil
	for i := range 6 {
		u := crowded.rig.Units[0]
		u.Name.Name, u.At[0] = fmt.Sprintf("lamp %d", i), si.Length(-2+.25*float64(i))
		few.Units = append(few.Units, u)
	}
	p := crowded.plot()
	p.Rig = &few
	data, err := svgOf(p.Draw())
	if err != nil {
		t.Fatal(err)
	}
	var boxes [][4]float64
	for _, m := range regexp.MustCompile(`<text x="([0-9.]+)" y="([0-9.]+)" text-anchor="middle" fill="#222222" font-size="11"[^>]*>(lamp \d)<`).FindAllStringSubmatch(string(data), -1) {
		var x, y float64
		fmt.Sscan(m[1]+" "+m[2], &x, &y)
		box := area(x, y-4, m[3])
		for _, b := range boxes {
			if box[0] < b[2] && b[0] < box[2] && box[1] < b[3] && b[1] < box[3] {
				t.Errorf("%s lies on another name", m[3])
			}
		}
		boxes = append(boxes, box)
	}
	if len(boxes) != 6 {
		t.Errorf("%d names of 6", len(boxes))
	}
}

// From above, a lamp that hangs straight down shows its back, in its true size,
// as it is turned; one that is level shows its top.
func TestSides(t *testing.T) {
	kind := &rig.Type{Size: [3]si.Length{1, .2, .4}}
	for name, c := range map[string]struct {
		aim        [3]si.Length
		turn       si.Angle
		wide, deep float64
		middle     float64 // y
	}{
		"down":            {[3]si.Length{0, 0, 1}, 0, 1, .2, 0},
		"down, turned":    {[3]si.Length{0, 0, 1}, math.Pi / 2, .2, 1, 0},
		"level":           {[3]si.Length{0, 1, 3}, 0, 1, .4, -.2},
		"level, upright":  {[3]si.Length{0, 1, 3}, math.Pi / 2, .2, .4, -.2},
		"toward the hall": {[3]si.Length{0, -1, 3}, 0, 1, .4, .2},
	} {
		u := &rig.Unit{Type: kind, At: [3]si.Length{0, 0, 3}, Aim: c.aim, Turn: c.turn}
		faces := sides(u, axesOf(u))
		if len(faces) != 1 {
			t.Errorf("%s: %d faces look up", name, len(faces))
			continue
		}
		low, high := [2]float64{9, 9}, [2]float64{-9, -9}
		for _, p := range faces[0] {
			for k := range p {
				low[k], high[k] = min(low[k], p[k]), max(high[k], p[k])
			}
		}
		near := func(got, want float64) bool { return math.Abs(got-want) < 1e-9 }
		if !near(high[0]-low[0], c.wide) || !near(high[1]-low[1], c.deep) || !near((low[1]+high[1])/2, c.middle) {
			t.Errorf("%s: from %v to %v", name, low, high)
		}
	}
}

// However a unit is aimed and turned, its row of cells, the direction across it
// and that of its light are square to each other and one long.
func TestAxes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		u := &rig.Unit{At: [3]si.Length{0, 0, 3}}
		for k := range u.Aim {
			u.Aim[k] = si.Length(rapid.Float64Range(-4, 4).Draw(t, "aim"))
		}
		u.Turn = si.Angle(rapid.Float64Range(-math.Pi, math.Pi).Draw(t, "turn"))
		axes := axesOf(u)
		for i, a := range axes {
			for j, b := range axes[:i+1] {
				dot, want := 0.0, 0.0
				for k := range a {
					dot += float64(a[k]) * float64(b[k])
				}
				if i == j {
					want = 1
				}
				if math.Abs(dot-want) > 1e-9 {
					t.Fatalf("aimed at %v, turned by %v: axes %d and %d make %v", u.Aim, u.Turn, i, j, dot)
				}
			}
		}
	})
}

// boxesOf are the boxes of the paths of a drawing, in its order.
func boxesOf(svg string) [][4]float64 {
	var out [][4]float64
	for _, path := range regexp.MustCompile(`<path d="([^"]+)"`).FindAllStringSubmatch(svg, -1) {
		box := [4]float64{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
		for _, m := range regexp.MustCompile(`[ML](-?[0-9.]+) (-?[0-9.]+)`).FindAllStringSubmatch(path[1], -1) {
			var x, y float64
			fmt.Sscan(m[1]+" "+m[2], &x, &y)
			box = [4]float64{min(box[0], x), min(box[1], y), max(box[2], x), max(box[3], y)}
		}
		out = append(out, box)
	}
	return out
}

// A bar of four cells, 1.2 m long, that hangs along x over the middle and looks
// down: 120 pixels of body, and its cells 30 pixels apart.
func TestPlotOfABar(t *testing.T) {
	s := aRoom()
	bar := *s.rig.Units[0].Type
	bar.Size, bar.Cells = [3]si.Length{1.2, .2, .1}, 4
	p := s.plot()
	p.Rig = &rig.Rig{Units: []rig.Unit{{Type: &bar, At: [3]si.Length{0, 1, 3}, Aim: [3]si.Length{0, 1, 0}}}}
	p.Rig.Units[0].Name.Name = "bar"
	data, err := svgOf(p.Draw())
	if err != nil {
		t.Fatal(err)
	}
	_, own, _ := strings.Cut(string(data), `data-name="bar"`)
	own, _, _ = strings.Cut(own, "</g>")
	boxes := boxesOf(own)
	if len(boxes) != 5 {
		t.Fatalf("%d paths, want the body and four cells", len(boxes))
	}
	near := func(got, want float64) bool { return math.Abs(got-want) < .02 }
	if b := boxes[0]; !near(b[0], 324) || !near(b[2], 444) || !near(b[1], 296) || !near(b[3], 316) {
		t.Errorf("the body lies at %v", b)
	}
	for i, b := range boxes[1:] {
		if x, y := (b[0]+b[2])/2, (b[1]+b[3])/2; !near(x, 339+30*float64(i)) || !near(y, 306) {
			t.Errorf("cell %d lies at %v, %v", i+1, x, y)
		}
	}
}

// A room without a size has no plan; a room that was not solved has one, without
// what stands in it; a unit of a type that is not there has a mark.
func TestPlotOfLittle(t *testing.T) {
	s := aRoom()
	p := s.plot()
	p.Transport = nil
	if data, err := svgOf(p.Draw()); err != nil || strings.Contains(string(data), "backdrop") {
		t.Errorf("not solved: %v", err)
	}
	p.Rig = &rig.Rig{Units: []rig.Unit{{At: [3]si.Length{1, 1, 1}}}}
	p.Rig.Units[0].Name.Name, p.Rig.Units[0].TypeName.Name = "lamp", "wish"
	if data, err := svgOf(p.Draw()); err != nil || !strings.Contains(string(data), "<title>lamp: wish, universe 0, slot 0, 1 m up</title>") {
		t.Errorf("a unit of no type: %v", err)
	}
	p.Room = &room.Room{}
	if _, err := p.Draw(); err == nil {
		t.Error("a room without a size is drawn")
	}
}

// No two texts of a plan lie on each other, nor on a mark, however crowded it is; what is not on
// stage is not on it.
func TestNamesNeverCollide(t *testing.T) {
	l := labels{frame: [4]float64{0, 0, 400, 400}}
	g := &drawing.Group{}
	marks := 0
	for i := range 40 {
		x, y := 150+float64(i*37%100), 150+float64(i*53%100)
		mark := [4]float64{x - 6, y - 6, x + 6, y + 6}
		l.take(mark)
		marks++
		_ = mark
	}
	written := 0
	for i := range 40 {
		x, y := 150+float64(i*37%100), 150+float64(i*53%100)
		if l.name(g, [4]float64{x - 6, y - 6, x + 6, y + 6}, quiet("puppeteer")) {
			written++
		}
	}
	if written < 30 {
		t.Errorf("%d of 40 names find room", written)
	}
	texts := l.taken[marks:]
	for i, a := range texts {
		if a[0] < 0 || a[3] > 400 {
			t.Errorf("%v is beyond the frame", a)
		}
		for k, b := range l.taken {
			if k != marks+i && a[0] < b[2] && b[0] < a[2] && a[1] < b[3] && b[1] < a[3] {
				t.Fatalf("%v lies on %v", a, b)
			}
		}
	}
}

func TestPlanLeavesOutWhoIsAway(t *testing.T) {
	s := aRoom()
	p := s.plan(false)
	p.Away = make([]bool, len(s.transport.Eyes))
	p.Absent = make([]bool, len(s.transport.Panels))
	for i := range p.Away {
		p.Away[i] = s.transport.Places[s.transport.Eyes[i]].Name == "hand"
	}
	all, err := svgOf(s.plan(false).Draw(t.Context()))
	if err != nil {
		t.Fatal(err)
	}
	some, err := svgOf(p.Draw(t.Context()))
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(string(all), ">hand<") || strings.Contains(string(some), ">hand<") {
		t.Error("who is away is on the plan")
	}
}
