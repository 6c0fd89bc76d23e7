package plate

import (
	"image/png"
	"math"
	"os"
	"strings"
	"testing"

	"lampblack/room"
)

// shadowLevels light one lamp alone: its shadows lie on a wall that sends little back.
var shadowLevels = []float32{0, 0, 1, 0, 0, 0}

// The shadow of a thing that moves on the drape behind it is that of a room in which it stands still and in everybody's
// light, which is solved: in the lux that is direct, at pixels by lot.
func TestShadowOfAThing(t *testing.T) {
	text := strings.Replace(plateRoom, "  - {name: hand, at: [0.3 m, 2.6 m, 1.6 m]}\n", "  - {name: hand, at: [-2.6 m, -1 m, 1.6 m]}\n", 1)
	text = strings.Replace(text, "black cloth", "white paint", 1)
	loose, fixed := solved(text, "fish"), solved(text)
	c := Camera{Eye: -1, From: room.Point{-2.5, -3.5, 2.4}, Toward: room.Point{-.3, 3.3, 1.4}}
	is, want := view(t, loose, c, true), view(t, fixed, c, true)
	empty := view(t, loose, c, false)
	off, n, shaded, sum := 0, 0, 0, 0.
	for y := range glossHigh {
		for x := range glossWide {
			i := y*glossWide + x
			panel := want.sight.panels[i]
			if panel < 0 || want.sight.transport.Panels[panel].Name != "backdrop" || is.codes[i] == 255 {
				continue
			}
			a, b := logLuminance(float64(is.codes[i])), logLuminance(float64(want.codes[i]))
			n++
			if math.Abs(a-b) > .1*b+.02 {
				off++
			}
			if a < .7*logLuminance(float64(empty.codes[i])) {
				shaded++
			}
			sum += math.Abs(a - b)
		}
	}
	t.Logf("%d of %d pixels are off by more than a tenth, %d lie in the shadow; %.4f cd/m² in the mean", off, n, shaded, sum/float64(n))
	if n < 20000 || shaded < 1500 || off*300 > n {
		t.Error("the shadow is not where it is in a room that has it")
	}
}

// viewed is a picture and its codes.
type viewed struct {
	sight *Sight
	codes []uint8
}

func view(t *testing.T, s setting, c Camera, there bool) viewed {
	t.Helper()
	sight, err := NewSight(t.Context(), s.transport, &c, glossWide, glossHigh, nil, nil)
	if err != nil {
		t.Fatal(err)
	}
	absent := make([]bool, len(s.transport.Panels))
	for i := range absent {
		absent[i] = !there && s.transport.Panels[i].Name == "fish"
	}
	scene := sight.Light(nil, room.All, &Instant{Levels: shadowLevels, Absent: absent})
	img := scene.paint(nil, false, func(v *room.Shine) shown { y := float32(logCode(float64(v.Y))); return shown{y, y, y} })
	out := viewed{sight: sight}
	for i := 0; i < len(img.Pix); i += 4 {
		out.codes = append(out.codes, img.Pix[i])
	}
	if dir := os.Getenv("LAMPBLACK_PICTURES"); dir != "" {
		f, _ := os.CreateTemp(dir, "shadow-*.png")
		_ = png.Encode(f, img)
		_ = f.Close()
	}
	return out
}

// What is asked for at a place is what the picture shows there, shadow and all.
func TestShadowAtAPlace(t *testing.T) {
	s := solved(strings.Replace(plateRoom, "black cloth", "white paint", 1), "fish")
	c := Camera{Eye: -1, From: room.Point{-2.5, -3.5, 2.4}, Toward: room.Point{-.3, 3.3, 1.4}}
	is := view(t, s, c, true)
	n := &Instant{Levels: shadowLevels}
	off, in := 0, 0
	for k := range 200 {
		x, y := 200+(k*37)%80, 135+(k*17)%50
		want := float64(is.sight.At(room.All, n, float64(x), float64(y)).Shine.Y)
		got := logLuminance(float64(is.codes[y*glossWide+x]))
		if math.Abs(got-want) > .1*want {
			off++
		}
		if is.sight.At(room.Falls, n, float64(x), float64(y)).Shine.Y > 2*float32(want) {
			in++
		}
	}
	if off > 20 || in < 20 {
		t.Errorf("%d of 200 places are off, %d lie in the shadow", off, in)
	}
}

// A body hides a lens from behind its head and its chest, and from the floor under a lamp over it; not beside it, above it,
// or before it. Where the edge of a thing runs through the middle of a lens, half of it is hidden.
func TestWhatIsHidden(t *testing.T) {
	s := solved(plateRoom, "fish")
	p := somebody{at: room.Point{0, 0, 1.6}}
	body := s.transport.Shadow(p.shade())
	front := room.Point{2, -3, 3} // the second unit
	behind := func(through room.Point, far float64) room.Point {
		for i := range through {
			through[i] = front[i] + lengthOf(far)*(through[i]-front[i])
		}
		return through
	}
	for _, c := range []struct {
		what    string
		through room.Point
		far     float64
		want    float32
	}{
		{"head", room.Point{0, 0, 1.6}, 1.3, 1}, {"chest", room.Point{0, 0, 1.25}, 1.3, 1}, {"legs", room.Point{.05, 0, .4}, 1.1, 1},
		{"above", room.Point{0, 0, 1.95}, 1.3, 0}, {"beside the head", room.Point{.2, .13, 1.6}, 1.2, 0}, {"beside", room.Point{.5, .3, 1.2}, 1.3, 0}, {"before", room.Point{0, 0, 1.3}, .8, 0},
	} {
		if got := body.Hides(1, behind(c.through, c.far)); math.Abs(float64(got-c.want)) > .02 {
			t.Errorf("%s hides %.2f, want %v", c.what, got, c.want)
		}
	}
	over := somebody{at: room.Point{2, -3, 1.6}}
	if got := s.transport.Shadow(over.shade()).Hides(1, room.Point{2, -2.95, 0}); got < .99 {
		t.Errorf("from above a body hides %.2f", got)
	}
	fish := s.transport.Shadow(s.transport.Shade("fish")) // its upper edge is 1.65 m high
	edge := behind(room.Point{.3, 1.8, 1.65}, 1.2)
	if got := fish.Hides(1, edge); math.Abs(float64(got)-.5) > .03 {
		t.Errorf("an edge through the middle of the lens hides %.2f", got)
	}
	if s.transport.Shade("backdrop") != nil {
		t.Error("what stays is looked for as if it moved")
	}
}
