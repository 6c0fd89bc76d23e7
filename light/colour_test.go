package light

import (
	"bufio"
	"fmt"
	"math"
	"os"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// All 34 pairs of Sharma, Wu and Dalal (2005), table 1, both ways round.
func TestDeltaE2000(t *testing.T) {
	f, err := os.Open("testdata/sharma2005.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	pairs := 0
	for lines := bufio.NewScanner(f); lines.Scan(); {
		if strings.HasPrefix(lines.Text(), "#") {
			continue
		}
		var a, b Lab
		var want float64
		if _, err := fmt.Sscanf(strings.ReplaceAll(lines.Text(), ",", " "), "%g %g %g %g %g %g %g", &a.L, &a.A, &a.B, &b.L, &b.A, &b.B, &want); err != nil {
			t.Fatal(err)
		}
		pairs++
		near(t, lines.Text(), DeltaE2000(a, b), want, 1e-4)
		near(t, lines.Text()+" reversed", DeltaE2000(b, a), want, 1e-4)
	}
	if pairs != 34 {
		t.Errorf("%d pairs, want 34", pairs)
	}
}

// Worked values of the open-source library colour-science (its test of
// XYZ_to_Lab), white (0.3127, 0.3290) and (0.44757, 0.40745).
func TestLab(t *testing.T) {
	for _, c := range []struct {
		xyz   XYZ
		white XY
		want  Lab
	}{
		{XYZ{.20654008, .12197225, .05136952}, XY{.3127, .3290}, Lab{41.52787529, 52.63858304, 26.92317922}},
		{XYZ{.14222010, .23042768, .10495772}, XY{.3127, .3290}, Lab{55.11636304, -41.08791787, 30.91825778}},
		{XYZ{.07818780, .06157201, .28099326}, XY{.3127, .3290}, Lab{29.80565520, 20.01830466, -48.34913874}},
		{XYZ{.20654008, .12197225, .05136952}, XY{.44757, .40745}, Lab{41.52787529, 38.48089305, -5.73295122}},
	} {
		got := c.xyz.Lab(c.white.XYZ(1))
		near(t, "L*", got.L, c.want.L, 1e-6)
		near(t, "a*", got.A, c.want.A, 1e-6)
		near(t, "b*", got.B, c.want.B, 1e-6)
		back := got.XYZ(c.white.XYZ(1))
		near(t, "X back", back.X, c.xyz.X, 1e-12)
		near(t, "Z back", back.Z, c.xyz.Z, 1e-12)
	}
}

// Ohno, LEUKOS 10(1):47-55 (2014), as worked in colour-science's test_ohno2013;
// D65 and A against Robertson 1968 by the same library. Ohno's table method is
// itself good to 1 K at these Duv; far from the locus the nearest point is
// ill-defined, hence 5 K in 2445 K.
func TestCCT(t *testing.T) {
	uv := func(u, v float64) XY { return UV{u, v * 1.5}.XY() }
	for _, c := range []struct {
		xy          XY
		kelvin, duv float64
		tolerance   float64
	}{
		{uv(.1978, .3122), 6507.4748, .0032233, 1},
		{uv(.4328, .2883), 1041.6783, -.0673781, 1},
		{uv(.2927, .2722), 2444.9718, -.0843706, 5},
		{XY{.3127, .3290}, 6503.7, .0032, 3},
		{XY{.44757, .40745}, 2855.6, 0, 1},
		{XY{1. / 3, 1. / 3}, 5454.0, -.0044, 3},
	} {
		kelvin, duv, err := CCT(c.xy)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "CCT", kelvin, c.kelvin, c.tolerance)
		near(t, "Duv", duv, c.duv, 5e-5)
	}
	if _, _, err := CCT(XY{math.NaN(), .3}); err == nil {
		t.Error("NaN has a colour temperature")
	}
}

// McCamy's cubic (Color Res. Appl. 17, 142, 1992) is good to 20 K
// near the locus between 3000 and 8000 K.
func TestPlanckianAgainstMcCamy(t *testing.T) {
	for kelvin := 3000.0; kelvin <= 8000; kelvin += 250 {
		c, err := Planckian(kelvin)
		if err != nil {
			t.Fatal(err)
		}
		n := (c.X - .3320) / (c.Y - .1858)
		near(t, "McCamy", -449*n*n*n+3525*n*n-6823.3*n+5520.33, kelvin, 20)
		got, duv, err := CCT(c)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "own inverse", got, kelvin, .01)
		near(t, "own Duv", duv, 0, 1e-7)
	}
}

// IEC 61966-2-1: primaries, white, and the code values that its own equations
// give for linear 0.0031308 and 0.5.
func TestSRGB(t *testing.T) {
	for _, c := range []struct {
		code RGB
		want XY
	}{{RGB{255, 0, 0}, XY{.64, .33}}, {RGB{0, 255, 0}, XY{.30, .60}}, {RGB{0, 0, 255}, XY{.15, .06}}, {RGB{255, 255, 255}, XY{.3127, .3290}}} {
		got := c.code.XYZ().XY()
		near(t, c.code.String()+" x", got.X, c.want.X, 1e-4)
		near(t, c.code.String()+" y", got.Y, c.want.Y, 1e-4)
	}
	if got := encodeSRGB(.5); got != 188 {
		t.Errorf("linear 0.5 is code %d, want 188 (1.055·0.5^(1/2.4) - 0.055 = 0.7354)", got)
	}
	if got := encodeSRGB(.0031308); got != 10 {
		t.Errorf("linear 0.0031308 is code %d, want 10 (0.04045)", got)
	}
	for v := range 256 {
		if got := encodeSRGB(decodeSRGB(float64(v) / 255)); int(got) != v {
			t.Errorf("code %d decodes and encodes to %d", v, got)
		}
	}
}

func TestToneMapKeepsHueAndOrder(t *testing.T) {
	m := ToneMap{White: 100, Knee: .7}
	if got := m.SRGB(WhiteD65.XYZ(35)); got.R != got.G || got.G != got.B || math.Abs(float64(got.R)-255*(1.055*math.Pow(.35, 1/2.4)-.055)) > 1 {
		t.Errorf("grey of 35 %% is %v", got)
	}
	before := -1
	for y := 0.0; y < 1000; y += 5 {
		got := int(m.SRGB(WhiteD65.XYZ(y)).G)
		if got < before {
			t.Fatalf("brighter light is darker on screen at %v", y)
		}
		before = got
	}
	blue := led(t, 450, 20)
	if got := m.SRGB(blue.XYZ().Times(.5)); got.B <= got.R || got.B <= got.G {
		t.Errorf("a blue LED looks %v", got)
	}
	if got := m.SRGB(XYZ{math.NaN(), 1, 1}); got != (RGB{}) {
		t.Errorf("NaN looks %v", got)
	}
}

func TestParseColour(t *testing.T) {
	for _, c := range []struct {
		text  string
		xy    XY
		level float64
	}{
		{"#ffffff", XY{.3127, .3290}, 1},
		{"#f00", XY{.64, .33}, .2126729},
		{"x 0.3 y 0.31", XY{.3, .31}, 1},
		{"u 0.19783 v 0.46832", XY{.3127, .3290}, 1}, // D65 in u'v', CIE 015
		{"6504 K", XY{.3135, .3237}, 1},              // Planckian locus, Wyszecki and Stiles; from memory
		{"555 nm", XY{.3373, .6589}, 1},              // CIE 018:2019 chromaticity of 555 nm
		{"#000000", XY{.3127, .3290}, 0},
	} {
		got, err := ParseColour(c.text)
		if err != nil {
			t.Error(err)
			continue
		}
		near(t, c.text+" x", got.XY.X, c.xy.X, 2e-4)
		near(t, c.text+" y", got.XY.Y, c.xy.Y, 2e-4)
		near(t, c.text+" level", got.Level, c.level, 1e-3)
	}
	for _, text := range []string{"", "#12345", "#gggggg", "x 0.3", "x 2 y 2", "x NaN y NaN", "x 0.3 y 0", "4000", "-3 K", "900000 K", "1000 nm", "reed"} {
		if _, err := ParseColour(text); err == nil {
			t.Errorf("%q is taken for a colour", text)
		}
	}
}

// Every spectral colour is a colour, also where x + y is 1 but for rounding.
func TestSpectralColours(t *testing.T) {
	for nm := 380; nm <= 700; nm++ {
		c, err := ParseColour(fmt.Sprintf("%d nm", nm))
		if err != nil {
			t.Error(err)
		}
		if xyz := c.XY.XYZ(1); xyz.Z < 0 || !xyz.visible() {
			t.Errorf("%d nm: %v", nm, xyz)
		}
	}
}

func FuzzParseColour(f *testing.F) {
	for _, s := range []string{"#123a7c", "x 0.3 y 0.3", "4000 K", "455 nm", "u 0.2 v 0.47"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		c, err := ParseColour(s)
		if err == nil && (!c.XY.Valid() || !(c.Level >= 0 && c.Level <= 1.0001)) {
			t.Errorf("%q gives %v", s, c)
		}
	})
}

func TestDeltaE2000IsADifference(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		draw := func(name string) Lab {
			return Lab{rapid.Float64Range(0, 150).Draw(t, name+"L"), rapid.Float64Range(-200, 200).Draw(t, name+"a"), rapid.Float64Range(-200, 200).Draw(t, name+"b")}
		}
		a, b := draw("a"), draw("b")
		d, e := DeltaE2000(a, b), DeltaE2000(b, a)
		if !(d >= 0) || math.Abs(d-e) > 1e-9 || DeltaE2000(a, a) != 0 {
			t.Fatalf("%v %v: %v and %v", a, b, d, e)
		}
	})
}
