package page

import (
	"slices"
	"testing"
	"time"

	"lampblack/light"
	"lampblack/rig"
)

// The ribbons of the bench: first those to be seen, then those of ultraviolet,
// each in the order in which the rig file first names its system; units of none
// come last. No look lights the spare at the back, so it has no ribbon; front
// right stands in two. A wash has 100 lm + 300 lm, the bar 6 W; the leaf and the
// berry glow, the stone does not.
func TestRibbons(t *testing.T) {
	want := []Ribbon{
		{Name: "front", Units: []int{0, 1}},
		{Name: "side", Units: []int{1}},
		{Name: "no system", Units: []int{3}},
		{Name: "uv", Dark: true, Units: []int{2}},
		{Name: "foot", Dark: true, Units: []int{2}},
	}
	b := benchBook(t)
	got := b.Contents().Ribbons
	if len(got) != len(want) {
		t.Fatalf("%d ribbons: %+v", len(got), got)
	}
	for i, w := range want {
		g := got[i]
		if g.Name != w.Name || g.Dark != w.Dark || !slices.Equal(g.Units, w.Units) {
			t.Errorf("got %+v, want %+v", g, w)
		}
		near(t, "all of "+g.Name, b.ribbons[i].full, []float64{800, 400, 400, 6, 6}[i], .05)
	}
}

// A red look is red. The chromaticity of 630 nm (CIE 015: x 0.6424, y 0.2650, z
// 0), as bright as a screen can show it: in linear sRGB (IEC 61966-2-1) 1.674,
// -0.126, -0.018, which as the brightest red of the screen's own primary, Y =
// 0.2127, is 1.344, -0.101, -0.015. Green is below 0: the colour goes 0.679 of
// the way from the grey of that Y, to 0.980, 0, 0.058: at its brightest 1, 0, 0.059, coded 255, 0, 69.
//
// Equal energy is 1.2048, 0.9483, 0.9088, at most 1, 0.787, 0.754: 255, 229, 225.
//
// Half of each, 100 lm of red in 400 lm: X 542.4, Y 400, Z 300, linear 993.2,
// 237.1, 265.7, at most 1, 0.239, 0.268: 255, 134, 141.
var red, white, between = [3]int{255, 0, 69}, [3]int{255, 229, 225}, [3]int{255, 134, 141}

// The screen's own primaries and its white show as themselves (IEC 61966-2-1),
// however bright they are; darkness and no light that an eye sees are black.
func TestHueOfPrimaries(t *testing.T) {
	for _, c := range []struct {
		of   light.XYZ
		want [3]int
	}{
		{light.XYZ{X: .4124564, Y: .2126729, Z: .0193339}, [3]int{255, 0, 0}},
		{light.XYZ{X: .3575761, Y: .7151522, Z: .1191920}, [3]int{0, 255, 0}},
		{light.XYZ{X: .1804375, Y: .0721750, Z: .9503041}, [3]int{0, 0, 255}},
		{light.XYZ{X: .95047, Y: 1, Z: 1.08883}, [3]int{255, 255, 255}},
		{light.XYZ{}, [3]int{}},
		{light.XYZ{X: 1, Z: 1}, [3]int{}},
	} {
		for _, bright := range []float64{1e-6, 1, 1e6} {
			got := c.of.Times(bright).Vivid()
			sameColour(t, "a primary", [3]int{int(got.R), int(got.G), int(got.B)}, c.want)
		}
	}
}

// Where every unit has a system there is no ribbon of those without one.
func TestSystemNames(t *testing.T) {
	r := &rig.Rig{Units: []rig.Unit{{Systems: []string{"top", "front"}}, {Systems: []string{"front", "back"}}}}
	if got := systemNames(r); !slices.Equal(got, []string{"top", "front", "back"}) {
		t.Errorf("systems %v", got)
	}
	if got := unitsOf(r, "front"); !slices.Equal(got, []int{0, 1}) {
		t.Errorf("front has units %v", got)
	}
}

// The front ribbon through the bench's show. The level is the CIE 1976 lightness
// of the share of all its light, 116 ∛share - 16, of 255:
//
//	red         2·100 of 800 lm   L* 57.08   146
//	a half each 400 of 800        L* 76.07   194
//	white       2·300 of 800      L* 89.39   228
//	one third on its way to dark: 600·(1-1/3) = 400 of 800, L* 76.07, 194
//	ember       50 of 800         L* 30.04    77
func TestRibbonColours(t *testing.T) {
	b := benchBook(t)
	for _, c := range []struct {
		name  string
		at    time.Duration
		want  [3]int
		level int
	}{
		{"before the first cue", 0, red, 146},
		{"at the start of a fade", 10 * time.Second, red, 146},
		{"halfway", 12 * time.Second, between, 194},
		{"at its end", 14 * time.Second, white, 228},
		{"under a bump of others", 20120 * time.Millisecond, white, 228},
		{"on the way down", 28 * time.Second, white, 194},
		{"dark", 30 * time.Second, [3]int{}, 0},
		{"one lamp of two at a half", 36 * time.Second, red, 77},
	} {
		row, err := b.Light(c.at, c.at+time.Millisecond, time.Millisecond)
		if err != nil || len(row) != 4*5 {
			t.Fatalf("%s: %d bytes, %v", c.name, len(row), err)
		}
		sameColour(t, c.name, [3]int{int(row[0]), int(row[1]), int(row[2])}, c.want)
		if int(row[3]) != c.level {
			t.Errorf("%s: level %d, want %d", c.name, row[3], c.level)
		}
	}
}

// Side is front right alone, no system the spot: what one has the other lacks.
func TestRibbonsOfOtherSystems(t *testing.T) {
	b := benchBook(t)
	level := func(at time.Duration) []byte {
		row, err := b.Light(at, at+time.Millisecond, time.Millisecond)
		if err != nil {
			t.Fatal(err)
		}
		var out []byte
		for i := 3; i < len(row); i += 4 {
			out = append(out, row[i])
		}
		return out
	}
	// 300 of 400 lm of the side lamp; the bump has two of four openings of the
	// bar, halfway up and halfway back (0.75 s after 0:20.37) one of four: 3 W and
	// 1.5 W of 6 W, L* 76.07 and 57.08. Cue 5 waits half a second from 0:49.9 on;
	// it brings red to both lamps at the front, 100 of 400 lm to the side.
	for at, want := range map[time.Duration][]byte{
		15 * time.Second:         {228, 228, 0, 0, 0},
		19870 * time.Millisecond: {228, 228, 0, 146, 146},
		20120 * time.Millisecond: {228, 228, 0, 194, 194},
		20370 * time.Millisecond: {228, 228, 0, 194, 194},
		21120 * time.Millisecond: {228, 228, 0, 146, 146},
		21870 * time.Millisecond: {228, 228, 0, 0, 0},
		50399 * time.Millisecond: {77, 0, 0, 0, 0},
		50400 * time.Millisecond: {146, 146, 0, 0, 0},
		36 * time.Second:         {77, 0, 0, 0, 0},
	} {
		if got := level(at); !slices.Equal(got, want) {
			t.Errorf("at %v the levels are %v, want %v", at, got, want)
		}
	}
}

// Steps begin with from and end before to.
func TestLightSteps(t *testing.T) {
	b := benchBook(t)
	const second = time.Second
	for _, c := range []struct {
		from, to, step time.Duration
		steps          int // -1 when it is refused
	}{
		{10 * second, 14 * second, second, 4},
		{10 * second, 14500 * time.Millisecond, second, 5},
		{10 * second, 14*second + 1, second, 5},
		{10 * second, 10 * second, second, 0},
		{0, 24 * second, time.Millisecond, 24000},
		{0, 24*second + 1, time.Millisecond, -1},
		{0, second, time.Millisecond - 1, -1},
		{0, second, -second, -1},
		{-1, second, second, -1},
		{2 * second, 2*second - 1, second, -1},
	} {
		got, err := b.Light(c.from, c.to, c.step)
		if (err != nil) != (c.steps < 0) || err == nil && len(got) != c.steps*4*5 {
			t.Errorf("%v to %v by %v: %d bytes, %v", c.from, c.to, c.step, len(got), err)
		}
	}
	// The fade of cue 2 is at its quarter at 0:11 and at its half at 0:12.
	fade, _ := b.Light(10*second, 14*second, second)
	for i := range 4 {
		at := 10*second + time.Duration(i)*second
		if one, _ := b.Light(at, at+1, second); !slices.Equal(one, fade[20*i:20*i+20]) {
			t.Errorf("step %d is %v, alone %v", i, fade[20*i:20*i+20], one)
		}
	}
	if slices.Equal(fade[:20], fade[20:40]) {
		t.Error("the fade stands still")
	}
}
