package plate

import (
	"context"
	"math"
	"testing"

	"lampblack/light"
	"lampblack/room"
	"lampblack/si"
)

// What goes between points is what it is: at pixels drawn by lot the picture's light is what is
// worked out there by itself, within what is stated for it, but at the edges of shadows.
func TestSightIsTrue(t *testing.T) {
	s := aRoom()
	v := s.view(false)
	sight, err := v.sight(t.Context(), 320, 187, &v.Instant)
	if err != nil {
		t.Fatal(err)
	}
	scene := sight.Light(nil, room.All, &v.Instant)
	// A screen that shows luminances as they are, 20 codes to a cd/m².
	const scale = 20
	img := scene.paint(nil, false, func(v *room.Shine) shown { y := float32(min(v.Y*scale, 254)); return shown{y, y, y} })
	full := scene.paint(nil, false, func(v *room.Shine) shown { return shown{99, 99, 99} })
	for i := 0; i < len(full.Pix); i += 4 {
		if full.Pix[i] < 98 {
			t.Fatalf("pixel %d, %d is left out", i/4%320, i/4/320)
		}
	}
	off, n := 0, 0
	for i := range 300 {
		x, y := (i*7919)%320, (i*104729)%187
		is := sight.At(room.All, &v.Instant, float64(x)+.5, float64(y)+.5)
		want, got := float64(is.Shine.Y)*scale, float64(img.RGBAAt(x, y).R)
		if want > 250 {
			continue
		}
		n++
		if math.Abs(got-want) > 1+.06*want {
			off++
		}
	}
	if n < 200 || off*20 > n {
		t.Errorf("%d of %d pixels are off by more than 6 %%", off, n)
	}
	if blocks := len(sight.points); blocks > 320*187/3 {
		t.Errorf("light is worked out at %d points of %d pixels", blocks, 320*187)
	}
}

// In the middle of a patch that nothing shades, a point looks as the patch does.
func TestShineIsLuminance(t *testing.T) {
	tr := aRoom().transport
	shining := tr.Shine(nil, room.All, plateLevels)
	checked := 0
	for i := range tr.Places {
		p := &tr.Places[i]
		if p.Panel < 0 || p.Area == 0 {
			continue
		}
		want := tr.Luminance(i, plateLevels)
		patch := shining.Patch(i)
		if got := patch.Colour(); math.Abs(got.Y-want.Y) > 1e-4*want.Y+1e-7 {
			t.Fatalf("patch %d of %s: %v, want %v", i, p.Name, got, want)
		}
		rays := tr.Pointer().Direct(nil, p.At, p.Normal, nil)
		of, by := [4]int32{int32(i), int32(i), int32(i), int32(i)}, [4]float32{1}
		got := shining.At(p.Panel, rays, &of, &by)
		checked++
		if math.Abs(float64(got.Y)-want.Y) < .1*want.Y {
			checked += 1000
		}
	}
	if all, near := checked%1000, checked/1000; near*10 < all*8 {
		t.Errorf("%d of %d patches look in their middle as they do in the mean", near, all)
	}
}

// For an eye, what is just seen in the room is just seen on the screen: a difference of the
// threshold (Adrian 1989) at what it is adapted to becomes the threshold at the screen. In the dark
// there is no colour (CIE 191:2010: cones are blind below 0.005 cd/m²), in the light there is all of it.
func TestToneForAnEye(t *testing.T) {
	for _, field := range []float32{.02, .1, 1, 10} {
		var s statistics
		grey := room.Shine{X: .95 * field, Y: field, Z: 1.09 * field, Violet: field, Scotopic: 2.2 * field}
		s.add(&grey, 1000)
		tone := s.tone(AsEye)
		in := float64(light.Threshold(lum(tone.Field), detail, age))
		out := float64(light.Threshold(reader, detail, age))
		if got := in / tone.White * screen; math.Abs(got/out-1) > 1e-6 {
			t.Errorf("in %v cd/m² a just seen %v cd/m² becomes %v, want %v", field, in, got, out)
		}
	}
	red := func(y float32) room.Shine {
		return room.Shine{X: 1.9 * y, Y: y, Z: .01 * y, Violet: y, Scotopic: .3 * y}
	}
	dark, lit := Tone{As: AsEye, White: .01, Field: .01, Adapted: .1}, Tone{As: AsEye, White: 100, Field: 10, Adapted: 1}
	a, b := red(.004), red(40)
	if d, l := dark.of(&a), lit.of(&b); l[0] < 2*l[1] || (d[0]-d[1])/d[0] > .7*(l[0]-l[1])/l[0] {
		t.Errorf("red in the dark is %v, in the light %v", d, l)
	}
	if got := (&Tone{As: AsEye, White: 1}).of(&room.Shine{}); got != (shown{}) {
		t.Errorf("darkness is %v", got)
	}
}

// A camera's white is what one pixel in two hundred exceeds, by the strongest drive: no channel of the
// rest is cut off.
func TestToneForACamera(t *testing.T) {
	var s statistics
	green := light.XY{X: .3, Y: .6}.XYZ(5)
	v := room.Shine{X: float32(green.X), Y: float32(green.Y), Z: float32(green.Z)}
	s.add(&v, 100)
	s.add(&room.Shine{X: .01, Y: .01, Z: .01}, 900)
	s.add(&room.Shine{X: 5000, Y: 5000, Z: 5000}, 2)
	tone := s.tone(AsCamera)
	_, g, _ := green.LinearSRGB()
	if math.Abs(tone.White/g-1) > .05 {
		t.Errorf("white is %v, the green's strongest drive %v", tone.White, g)
	}
	if c := tone.of(&v); c[1] > 254 || c[0] > 10 || c[2] > 10 {
		t.Errorf("a lone green is %v", c)
	}
	// Lifted shows what is a thousand times darker.
	dim := room.Shine{X: v.X / 1000, Y: v.Y / 1000, Z: v.Z / 1000}
	up := s.tone(Lifted)
	if a, b := up.of(&dim), tone.of(&dim); a[1] < 40 || b[1] > 20 {
		t.Errorf("lifted %v, straight %v", a, b)
	}
}

// People stand before what is behind them; who is away, and who sees, is not there.
func TestFigures(t *testing.T) {
	s := aRoom()
	v := s.view(false)
	sight, err := v.sight(t.Context(), 440, 260, &v.Instant)
	if err != nil {
		t.Fatal(err)
	}
	hand := -1
	for e, place := range s.transport.Eyes {
		if s.transport.Places[place].Name == "hand" {
			hand = e
		}
	}
	// The hip of who stands behind the fish, below it.
	at := s.transport.Places[s.transport.Eyes[hand]].At
	x, y, ok := sight.pixel(room.Point{at[0], at[1], at[2] - .8})
	if !ok {
		t.Fatal("the hand is not in the picture")
	}
	if got := sight.At(room.All, &v.Instant, x, y); got.Name != "hand" || got.Kind != room.KindPerson {
		t.Errorf("there is %+v, want the hand", got)
	}
	away := v.Instant
	away.Away = make([]bool, len(s.transport.Eyes))
	away.Away[hand] = true
	if got := sight.At(room.All, &away, x, y); got.Name == "hand" {
		t.Error("who is away is there")
	}
}

// A body is as tall as its eyes say, closed, and the same on both sides.
func TestOutlineOfABody(t *testing.T) {
	p := somebody{at: room.Point{0, 0, 1.6}}
	high := 0.
	for _, v := range p.outline(headHalf) {
		high = max(high, v[1])
	}
	// Eyes at 0.936 of a person's height.
	if math.Abs(high*.936-1.6) > .03 {
		t.Errorf("who has eyes at 1.6 m is %v m tall", high)
	}
	body := silhouetteOf(p.outline(standingHalf))
	if !body.holds(.1, 1.2) || !body.holds(-.1, 1.2) || body.holds(.6, 1.2) || body.holds(0, .4) {
		t.Error("the trunk is not where it should be, or there is nothing between the legs")
	}
}

func TestSightEnds(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	v := aRoom().view(false)
	if _, err := v.sight(ctx, 440, 260, &v.Instant); err == nil {
		t.Error("a picture is made for nobody")
	}
	for _, size := range [][2]int{{1, 100}, {100, 0}, {1 << 15, 1 << 15}} {
		if _, err := v.sight(t.Context(), size[0], size[1]); err == nil {
			t.Errorf("a picture of %v pixels is made", size)
		}
	}
}

func lum(v float64) si.Luminance { return si.Luminance(v) }
