package page

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"testing"

	"lampblack/score"
)

// The cards of the bench's looks: a swatch for each ribbon (front, side, no
// system, uv, foot), by hand as in TestRibbonColours, and what the score asks
// for in words.
func TestLookCards(t *testing.T) {
	looks := benchBook(t).looks
	dark := [3]int{}
	for i, want := range []struct {
		name, purpose, parts string
		front, side          [3]int
		levels               []byte
	}{
		{"red", "alarm", "front: red 100 %", red, red, []byte{146, 146, 0, 0, 0}},
		{"white", "", "front: white 100 %", white, white, []byte{228, 228, 0, 0, 0}},
		{"ember", "", "front left: red 50 %", red, dark, []byte{77, 0, 0, 0, 0}},
		{"tip", "", "uv, cells 1 and 2: uv 100 %", dark, dark, []byte{0, 0, 0, 194, 194}},
		{"point", "", "spot: white 100 %", dark, dark, []byte{0, 0, 228, 0, 0}},
	} {
		l := looks[i]
		if l.Name != want.name || l.Purpose != want.purpose || strings.Join(l.Parts, " / ") != want.parts || len(l.Swatches) != 4*5 || len(l.Misses) > 0 {
			t.Errorf("look %d is %+v, want %+v", i, l, want)
			continue
		}
		var levels []byte
		for k := range 5 {
			levels = append(levels, l.Swatches[4*k+3])
		}
		if !slices.Equal(levels, want.levels) {
			t.Errorf("%s: levels %v, want %v", want.name, levels, want.levels)
		}
		sameColour(t, want.name+" front", swatch(l, 0), want.front)
		sameColour(t, want.name+" side", swatch(l, 1), want.side)
	}
	if l := looks[6]; l.Purpose != "nothing" || len(looks) != 7 || slices.Max(l.Swatches) != 0 || l.Parts == nil {
		t.Errorf("dark is %+v", l)
	}
	// Where the dab lies in the diagram: see TestEmitters.
	u, v := dotOf(t, looks[0], "front")
	near(t, "u' of red", u, .5565, .0008)
	near(t, "v' of red", v, .5165, .0008)
	u, v = dotOf(t, looks[1], "front")
	near(t, "u' of white", u, 4./19, .0008)
	near(t, "v' of white", v, 9./19, .0008)
}

// dotOf is where the diagram of a look says that a ribbon's colour lies.
func dotOf(t *testing.T, l Look, ribbon string) (u, v float64) {
	t.Helper()
	said := regexp.MustCompile(regexp.QuoteMeta(ribbon) + ` u′ ([0-9.]+) v′ ([0-9.]+)`).FindStringSubmatch(l.Colours)
	if said == nil {
		t.Fatalf("no %s on the diagram of %s:\n%s", ribbon, l.Name, l.Colours)
	}
	fmt.Sscan(said[1]+" "+said[2], &u, &v)
	return u, v
}

func swatch(l Look, ribbon int) [3]int {
	s := l.Swatches[4*ribbon:]
	return [3]int{int(s[0]), int(s[1]), int(s[2])}
}

// Ultraviolet is shown in the colour of what it makes glow. The leaf is 24 times
// as large as the berry, so the ribbon is green; with the paints changed over it
// is red. Room gives the same glow, patch by patch.
func TestDarkRibbonIsTheGlow(t *testing.T) {
	b := benchBook(t)
	l := b.looks[3]
	if c := swatch(l, 3); c[1] < 250 || c[0] > 150 || c[2] > 200 {
		t.Errorf("the leaf's ribbon is %v", c)
	}
	if swatch(l, 3) != swatch(l, 4) {
		t.Errorf("uv is %v, foot %v: it is one bar", swatch(l, 3), swatch(l, 4))
	}
	light := b.RoomUnder(3)
	var sum [3]float64
	for _, p := range b.shape.Panels {
		area := p.Width * p.Height / float64(p.Cols*p.Rows)
		for i := range p.Cols * p.Rows {
			for k, v := range place(light, p.First+i)[3:6] {
				sum[k] += area * v
			}
		}
	}
	// Back to X, Y, Z (IEC 61966-2-1), and to u', v'.
	x := .4124564*sum[0] + .3575761*sum[1] + .1804375*sum[2]
	y := .2126729*sum[0] + .7151522*sum[1] + .0721750*sum[2]
	z := .0193339*sum[0] + .1191920*sum[1] + .9503041*sum[2]
	u, v := dotOf(t, l, "uv")
	near(t, "u' of the glow", u, 4*x/(x+15*y+3*z), .0015)
	near(t, "v' of the glow", v, 9*y/(x+15*y+3*z), .0015)
}

// Every way of asking for light, as a person would say it.
func TestPartsInWords(t *testing.T) {
	for part, want := range map[string]string{
		`{system: front, colour: "#123a7c", lux: 8, on: backdrop}`:                   "front: #123a7c, 8 lx on backdrop",
		`{system: front, colour: 4000 K, level: 40 %}`:                               "front: 4000 K, at 40 %",
		`{system: front, colour: 455 nm}`:                                            "front: 455 nm",
		`{system: front, level: 12.6 %}`:                                             "front: at 13 %",
		`{system: front, level: 0.5 %}`:                                              "front: at 0.5 %",
		`{system: uv, glow: {object: lantern fish, over background: 20}}`:            "uv: lantern fish glows 20 times its background",
		`{system: uv, glow: {object: lantern fish, luminance: 0.5 cd/m2}}`:           "uv: lantern fish glows at 0.5 cd/m²",
		`{system: uv, glow: {object: fish, over background: 5, luminance: 2 cd/m2}}`: "uv: fish glows 5 times its background at 2 cd/m²",
		`{units: [left, right], emitters: {red: 20 %, uv: 100 %}}`:                   "left, right: red 20 %, uv 100 %",
		`{system: uv, units: [left], cells: [1, 3, 4], level: 5 %}`:                  "uv, left, cells 1, 3 and 4: at 5 %",
		`{system: uv, cells: [2], level: 5 %}`:                                       "uv, cell 2: at 5 %",
		`{system: top, level: 100 %, flash: 2.5 Hz}`:                                 "top: at 100 %, flashing 2.5 Hz",
		`{system: top, level: 5 %, use: safety light}`:                               "top: at 5 %, as safety light",
	} {
		sc, faults := score.Read("s", []byte("looks:\n  l: {parts: ["+part+"]}\ncues: []\n"))
		if err := faults.Err(); err != nil {
			t.Fatal(err)
		}
		if got := inWords(&sc.Looks[0].Value.Parts[0]); got != want {
			t.Errorf("%s\nreads %q, want %q", part, got, want)
		}
	}
}

// A look's card says all that it asks for: what it is like comes first, and
// beside its parts what shall stay dark.
//
// What cannot be had is told with both figures. Of the 356.4 cd of
// TestRoomLight, the backdrop takes the solid angle of 4 m by 3 m at 4 m, 4
// atan(2·1.5/(4 √(2²+1.5²+4²))) = 0.631 sr, without its corners, which lie
// beyond the beam's edge (0.006 sr), and without what stands before it: the leaf,
// 0.24 m2 at 3.5 m and 14° off, takes 0.018 sr, berry and stone 0.001 sr. That
// leaves 0.606 sr, 216 lm on 12 m2, 18.0 lx.
func TestLookAsks(t *testing.T) {
	base, err := solvedBench()
	if err != nil {
		t.Fatal(err)
	}
	sc, faults := score.Read("score.yaml", []byte(`
looks:
  night: {parts: [{units: [spot], emitters: {red: 10 %}}]}
  late:
    like: night
    people move: yes
    dark: [{on: backdrop, at most: 0.2 lx}]
    ultraviolet at eyes: {at most: 1 mW/m2}
    parts: [{units: [spot], colour: x 0.3333 y 0.3333, level: 5 %}]
  noon: {parts: [{units: [spot], colour: x 0.3333 y 0.3333, lux: 90000, on: backdrop}]}
cues:
  - {cue: 1, at: 0:00, look: late}
`))
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	s, _ := base.With(sc)
	looks := New(s, nil).looks
	l, noon := looks[1], looks[2]
	want := []string{
		"spot: red 10 %",
		"spot: x 0.3333 y 0.3333, at 5 %",
		"backdrop stays dark: at most 0.2 lx",
		"ultraviolet at eyes: at most 1 mW/m²",
		"people move while it stands",
	}
	if !slices.Equal(l.Parts, want) {
		t.Errorf("the card says\n%s\nwant\n%s", strings.Join(l.Parts, "\n"), strings.Join(want, "\n"))
	}
	if len(noon.Misses) != 1 || noon.Misses[0].Unit != "lx" || noon.Misses[0].Wanted != 90000 || noon.Misses[0].Text != "18 lx on backdrop instead of 90 klx: its units are at full" {
		t.Fatalf("the misses are %+v", noon.Misses)
	}
	near(t, "lx that can be had", noon.Misses[0].Found, 18, .2)
}
