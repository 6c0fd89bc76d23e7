package plate

import (
	"image"
	"image/png"
	"math"
	"os"
	"strings"
	"testing"

	"lampblack/light"
	"lampblack/room"
)

// glossy is the room with a floor of some gloss, which scatters nothing, a seat that looks down, and a fish that moves.
func glossy(gloss string) setting {
	text := strings.Replace(plateRoom, "walls: grey paint", "materials: {shiny: {reflects: 0, gloss: "+gloss+"}}\nwalls: grey paint\nfloor: shiny", 1)
	return solved(strings.Replace(text, "audience:", "audience:\n  - {name: watcher, at: [0 m, -4 m, 1.6 m], looks at: [0 m, 2 m, 0.3 m]}", 1), "fish")
}

const glossWide, glossHigh = 480, 270

// On these pictures equal steps are equal ratios: 5 % a code.
func logCode(y float64) float64 { return min(20*math.Log1p(y/.001), 255) }

func logLuminance(code float64) float64 { return .001 * math.Expm1(code/20) }

// logarithmic is a picture of luminances.
func logarithmic(t *testing.T, s setting, c Camera) (*Sight, *image.RGBA) {
	t.Helper()
	sight, err := NewSight(t.Context(), s.transport, &c, glossWide, glossHigh, nil, nil)
	if err != nil {
		t.Fatal(err)
	}
	scene := sight.Light(nil, room.All, &Instant{Levels: plateLevels})
	return sight, scene.paint(nil, false, func(v *room.Shine) shown { y := float32(logCode(float64(v.Y))); return shown{y, y, y} })
}

// What a glossy floor shows is what is seen from the image of the eye below it, upside down, by the share of Fresnel's
// equations (light.Gloss, which has its own test): walls, boxes, a thing that moves and a person.
func TestPictureInAFloor(t *testing.T) {
	for _, gloss := range []string{"mirror", "varnish"} {
		s := glossy(gloss)
		sight, img := logarithmic(t, s, Camera{Eye: 0})
		_, below := logarithmic(t, s, Camera{Eye: -1, From: room.Point{0, -4, -1.6}, Toward: room.Point{0, 2, -.3}})
		off, n, bright, sum := 0, 0, 0, 0.
		for y := range glossHigh {
			for x := range glossWide {
				is := s.transport.Panels[max(sight.panels[y*glossWide+x], 0)]
				d := sight.direction(float64(x)+.5, float64(y)+.5)
				if is.Name != room.FloorName || nearLens(sight, s.transport, x, y) {
					continue
				}
				cos := -float64(d[2]) / math.Sqrt(float64(d[0]*d[0]+d[1]*d[1]+d[2]*d[2]))
				want := logCode(light.Glosses[gloss].Share(cos) * logLuminance(float64(below.RGBAAt(x, glossHigh-1-y).R)))
				got := float64(img.RGBAAt(x, y).R)
				n++
				if want > 20 {
					bright++
					sum += got - want
				}
				if math.Abs(got-want) > 3 {
					off++
				}
			}
		}
		if n < 10000 || bright < n/20 || off*50 > n {
			t.Errorf("%s: %d of %d pixels are off, %d are bright", gloss, off, n, bright)
		}
		if bias := sum / float64(bright); math.Abs(bias) > .4 {
			t.Errorf("%s: off by %.2f codes of 5 %% in the mean", gloss, bias)
		}
		t.Logf("%s: %d of %d pixels off by more than 3 codes of 5 %%, %.3f codes in the mean", gloss, off, n, sum/float64(bright))
		if dir := os.Getenv("LAMPBLACK_PICTURES"); dir != "" {
			for name, p := range map[string]*image.RGBA{"in": img, "below": below} {
				f, _ := os.Create(dir + "/" + gloss + "-" + name + ".png")
				_ = png.Encode(f, p)
				_ = f.Close()
			}
		}
	}
}

// nearLens tells whether a pixel is near the image of a lens, which no straight picture shows.
func nearLens(s *Sight, t *room.Transport, x, y int) bool {
	for _, m := range s.mirrors {
		for _, lens := range t.Shining() {
			x0, y0, x1, y1 := m.box(lens[:])
			if x >= x0-3 && x < x1+3 && y >= y0-3 && y < y1+3 {
				return true
			}
		}
	}
	return false
}

// A lens shines in the floor as bright as the checks take its image for glare: intensity by the area that shines, by
// the floor's share.
func TestLensInAFloor(t *testing.T) {
	s := glossy("water")
	sight, img := logarithmic(t, s, Camera{Eye: 0})
	found := 0
	for _, v := range s.transport.Lenses() {
		if v.Eye != 0 || v.In == "" || s.rig.Units[v.Unit].Name.Name != "back" {
			continue
		}
		found++
		toward := s.transport.LensToward(v)
		at := sight.camera.at
		for i := range at {
			at[i] += lengthOf(float64(v.Distance) * toward[i])
		}
		x, y, ok := sight.pixel(at)
		if !ok || x < 0 || y < 0 || x >= glossWide || y >= glossHigh {
			t.Fatalf("the image is at %v, %v", x, y)
		}
		want := float64(s.transport.LensLuminance(v, plateLevels))
		got := sight.At(room.All, &Instant{Levels: plateLevels}, x, y)
		if got.Name != room.FloorName || math.Abs(float64(got.Shine.Y)/want-1) > .02 {
			t.Errorf("%s shines with %.4g cd/m², want %.4g cd/m²", got.Name, got.Shine.Y, want)
		}
		if c := img.RGBAAt(int(x), int(y)).R; float64(c) < logCode(want)-4 {
			t.Errorf("in the picture it is %d", c)
		}
		// A hand's width beside it the floor is dark again.
		if far := sight.At(room.All, &Instant{Levels: plateLevels}, x+30, y); float64(far.Shine.Y) > .2*want {
			t.Errorf("beside it are %v cd/m²", far.Shine.Y)
		}
	}
	if found != 1 {
		t.Errorf("%d images of the lamp at the back", found)
	}
}
