package lm63_test

import (
	"fmt"
	"math"
	"reflect"
	"strings"
	"testing"

	"lampblack/wire/lm63"

	"pgregory.net/rapid"
)

// table makes a file of a round distribution.
func table(step, last float64, cd func(theta float64) float64) *lm63.File {
	f := &lm63.File{Edition: 2002, Keywords: keywords, Lamps: 1, Lumens: -1, Multiplier: 1, Type: lm63.C, Size: [3]float64{.1, .2, 0}, Ballast: 1, Third: 1, Watts: 50, Horizontal: []float64{0}, Table: [][]float64{nil}}
	for i := 0; float64(i)*step <= last; i++ {
		v := float64(i) * step
		f.Vertical = append(f.Vertical, v)
		f.Table[0] = append(f.Table[0], cd(v*math.Pi/180))
	}
	return f
}

var keywords = []lm63.Keyword{{Name: "TEST", Text: "none"}, {Name: "TESTLAB", Text: "own"}, {Name: "ISSUEDATE", Text: "2026-01-01"}, {Name: "MANUFAC", Text: "own"}}

func power(n, peak float64) func(float64) float64 {
	return func(t float64) float64 { return peak * math.Pow(math.Max(0, math.Cos(t)), n) }
}

// Closed forms: ∫ I dΩ of I cosⁿθ is 2πI/(n+1). What the mean of both ends makes of them was computed by
// separate code; the cosine comes out exactly with any step, so that it alone proves nothing.
func TestClosedForms(t *testing.T) {
	for _, c := range []struct {
		what        string
		n, peak     float64
		step, last  float64
		exact, over float64 // lm; share by which the method is above
	}{
		{"isotropic", 0, 100, 10, 180, 1256.637, 0},
		{"cosine", 1, 1000, 10, 90, 3141.593, 0},
		{"cosine, uneven", 1, 1000, 7.5, 90, 3141.593, 0},
		{"cos²", 2, 1000, 5, 90, 2094.395, .0025},
		{"cos⁴⁰", 40, 1000, 5, 90, 153.248, .050},
		{"cos⁴⁰", 40, 1000, 2.5, 90, 153.248, .0127},
		{"cos⁴⁰", 40, 1000, 1, 90, 153.248, .0020},
	} {
		cd := power(c.n, c.peak)
		if c.n == 0 {
			cd = func(float64) float64 { return c.peak }
		}
		got := table(c.step, c.last, cd).Flux()
		want := c.exact * (1 + c.over)
		if math.Abs(got/want-1) > .0004 && math.Abs(got/want-1) > c.over*.02 {
			t.Errorf("%s in steps of %g°: %.3f lm, want %.3f", c.what, c.step, got, want)
		}
		t.Logf("%s in steps of %g°: %.3f lm, %+.3f %% of the closed form", c.what, c.step, got, 100*(got/c.exact-1))
	}
}

// The zonal constants 2π(cos θ1 - cos θ2) in steps of 10° as handbooks print them; mirrored above.
func TestZones(t *testing.T) {
	want := []float64{.0955, .2835, .4629, .6282, .7744, .8972, .9926, 1.0579, 1.0911}
	zones := table(10, 180, func(float64) float64 { return 1 }).Zones()
	for i, z := range zones {
		w := want[min(i, 17-i)]
		if math.Abs(z.Lumens-w) > .0001 || z.From != float64(10*i) {
			t.Errorf("zone %g° to %g°: %.4f, want %.4f", z.From, z.To, z.Lumens, w)
		}
	}
}

// The same field of light in types A, B and C: intensity in any direction, and flux, agree.
func TestTypes(t *testing.T) {
	field := func(x, y, z float64) float64 { // brighter to the right and upward
		return 100 * math.Max(0, z) * (1 + .4*x + .3*y)
	}
	angle := func(list *[]float64, from, to, step float64) {
		for a := from; a <= to+1e-9; a += step {
			*list = append(*list, a)
		}
	}
	want := 100 * math.Pi // the tilts integrate to nothing
	for _, kind := range []lm63.Photometry{lm63.A, lm63.B, lm63.C} {
		f := table(1, 0, power(1, 1))
		f.Type, f.Table, f.Vertical, f.Horizontal = kind, nil, nil, nil
		if kind == lm63.C {
			angle(&f.Vertical, 0, 90, 1)
			angle(&f.Horizontal, 0, 360, 3)
		} else {
			angle(&f.Vertical, -90, 90, 1)
			angle(&f.Horizontal, -90, 90, 1)
		}
		for _, h := range f.Horizontal {
			var col []float64
			for _, v := range f.Vertical {
				x, y, z := direction(kind, v, h)
				col = append(col, field(x, y, z))
			}
			f.Table = append(f.Table, col)
		}
		if err := f.Check(); err != nil {
			t.Fatal(err)
		}
		if got := f.Flux(); math.Abs(got/want-1) > .002 {
			t.Errorf("type %v: %.3f lm, want %.3f", kind, got, want)
		}
		for _, d := range [][3]float64{{0, 0, 1}, {.3, .2, .9}, {-.5, .1, .6}, {.1, -.7, .4}, {-.2, -.2, 2}} {
			n := math.Sqrt(d[0]*d[0] + d[1]*d[1] + d[2]*d[2])
			w := field(d[0]/n, d[1]/n, d[2]/n)
			if got := f.Candela(d[0], d[1], d[2]); math.Abs(got-w) > .05 {
				t.Errorf("type %v toward %v: %.3f cd, want %.3f", kind, d, got, w)
			}
		}
		if got := f.Candela(0, 0, -1); got != 0 {
			t.Errorf("type %v backward: %g cd", kind, got)
		}
	}
}

// direction is that of two angles, as the package says they are.
func direction(kind lm63.Photometry, v, h float64) (x, y, z float64) {
	sv, cv := math.Sincos(v * math.Pi / 180)
	sh, ch := math.Sincos(h * math.Pi / 180)
	switch kind {
	case lm63.A:
		return sh * cv, sv, ch * cv
	case lm63.B:
		return sh, ch * sv, ch * cv
	}
	return sv * ch, sv * sh, cv
}

// Symmetries of type C by the last horizontal angle: 0, 90, 180 and 360, and 90 to 270.
func TestSymmetry(t *testing.T) {
	for _, c := range []struct {
		horizontal []float64
		table      []float64           // at 60° off the axis, by horizontal angle
		at         map[float64]float64 // horizontal angle: candela
	}{
		{[]float64{0}, []float64{5}, map[float64]float64{0: 5, 77: 5, 200: 5}},
		{[]float64{0, 90}, []float64{0, 90}, map[float64]float64{30: 30, 150: 30, 210: 30, 330: 30, 90: 90, 270: 90}},
		{[]float64{0, 180}, []float64{0, 180}, map[float64]float64{30: 30, 150: 150, 210: 150, 330: 30}},
		{[]float64{0, 180, 360}, []float64{0, 180, 0}, map[float64]float64{30: 30, 150: 150, 270: 90}},
		{[]float64{0, 360}, []float64{10, 10}, map[float64]float64{30: 10, 350: 10}},
		{[]float64{90, 270}, []float64{0, 180}, map[float64]float64{90: 0, 180: 90, 270: 180, 45: 45, 315: 135, 0: 90}},
	} {
		f := table(60, 60, power(1, 1))
		f.Horizontal, f.Table = c.horizontal, nil
		for _, v := range c.table {
			f.Table = append(f.Table, []float64{v, v})
		}
		for h, want := range c.at {
			x, y, z := direction(lm63.C, 60, h)
			if got := f.Candela(x, y, z); math.Abs(got-want) > 1e-6 {
				t.Errorf("%v at %g°: %g cd, want %g", c.horizontal, h, got, want)
			}
		}
	}
}

// The third number: a factor until 1995, none from 2002 on.
func TestThirdNumber(t *testing.T) {
	for _, c := range []struct {
		first string
		want  float64
	}{{"", 2 * 3 * 5 * 1.1}, {"IESNA91\n[TEST] x\n[MANUFAC] x\n", 2 * 3 * 5 * 1.1}, {"IESNA:LM-63-1995\n", 2 * 3 * 5 * 1.1}, {"IESNA:LM-63-2002\n", 2 * 3 * 5}, {"IES:LM-63-2019\n", 2 * 3 * 5}} {
		f, err := lm63.Parse([]byte(c.first + "TILT=NONE\n1 -1 2 2 1 1 2 0 0 0\n3 1.1 0\n0 90\n0\n5 5\n"))
		if err != nil {
			t.Fatal(err)
		}
		if got := f.Candela(0, 0, 1); math.Abs(got-c.want) > 1e-9 {
			t.Errorf("%q: %g cd, want %g", c.first, got, c.want)
		}
	}
}

// Oddities of real files, each written for this test.
func TestOdd(t *testing.T) {
	const head = "IESNA:LM-63-2002\n[TEST] a\n[TESTLAB] b\n[ISSUEDATE] c\n[MANUFAC] d\nTILT=NONE\n"
	for _, c := range []struct{ what, text, note string }{
		{"plain", head + "1 1000 1 3 1 1 2 0.1 0.1 0\n1 1 20\n0 45 90\n0\n100 50 0\n", ""},
		{"wrapped anywhere", head + "1 1000 1 3\n1 1\n2 0.1 0.1 0 1\n1 20 0\n45 90 0 100\n50\n0", ""},
		{"commas between", head + "1,1000,1,3,1,1,2,0.1,0.1,0\n1,1,20\n0, 45 ,90\n0\n100,50,0\n", ""},
		{"decimal commas", head + "1 1000 1,0 3 1 1 2 0,1 0,1 0\n1 1,0 20,5\n0 45,0 90,0\n0\n100,0 50,0 0,0\n", "commas stand for decimal points"},
		{"line ends, a mark and an end sign", "\xef\xbb\xbf" + strings.ReplaceAll(head+"1 1000 1 3 1 1 2 0.1 0.1 0\n1 1 20\n0 45 90\n0\n100 50 0\n", "\n", "\r\n") + "\x1a", ""},
		{"old line ends", strings.ReplaceAll(head+"1 1000 1 3 1 1 2 0.1 0.1 0\n1 1 20\n0 45 90\n0\n100 50 0\n", "\n", "\r"), ""},
		{"no horizontal angle", head + "1 1000 1 3 1 1 2 0.1 0.1 0\n1 1 20\n0 45 90\n100 50 0\n", "missing: taken as 0°"},
		{"another horizontal angle", head + "1 1000 1 3 1 1 2 0.1 0.1 0\n1 1 20\n0 45 90\n22.5\n100 50 0\n", "taken as all around"},
		{"text behind", head + "1 1000 1 3 1 1 2 0.1 0.1 0\n1 1 20\n0 45 90\n0\n100 50 0\nEnd of file\n", "line 12: what follows"},
		{"no last angle", head + "1 1000 1 3 2 1 2 0.1 0.1 0\n1 1 20\n0 45 90\n0 270\n100 50 0 100 50 0\n", "closed at 360°"},
		{"half a quarter", head + "1 1000 1 3 2 1 2 0.1 0.1 0\n1 1 20\n0 45 90\n0 45\n100 50 0 100 50 0\n", "no symmetry"},
		{"another first line", strings.Replace(head, "IESNA:LM-63-2002", "IESNA: LM-63 rev 2002", 1) + "1 1000 1 3 1 1 2 0.1 0.1 0\n1 1 20\n0 45 90\n0\n100 50 0\n", "read as edition 2002"},
		{"no keywords", "IESNA:LM-63-2002\nTILT = none\n1 1000 1 3 1 1 2 0.1 0.1 0\n1 1 20\n0 45 90\n0\n100 50 0\n", "wants the keyword TEST"},
		{"tilt in a file", strings.Replace(head, "NONE", "x.tlt", 1) + "1 1000 1 3 1 1 2 0.1 0.1 0\n1 1 20\n0 45 90\n0\n100 50 0\n", "not read"},
		{"tilt within", strings.Replace(head, "NONE", "INCLUDE", 1) + "1\n2\n0 90\n1 .8\n1 1000 1 3 1 1 2 0.1 0.1 0\n1 1 20\n0 45 90\n0\n100 50 0\n", ""},
		{"factors of nothing", head + "1 1000 0 3 1 1 2 0.1 0.1 0\n0 1 20\n0 45 90\n0\n100 50 0\n", "taken as 1"},
		{"free text of 1986", "A lamp\nof old\nTILT=NONE\n1 1000 1 3 1 1 2 0.1 0.1 0\n1 1 20\n0 45 90\n0\n100 50 0\n", ""},
	} {
		f, err := lm63.Parse([]byte(c.text))
		if err != nil {
			t.Errorf("%s: %v", c.what, err)
			continue
		}
		notes := strings.Join(f.Notes, "\n")
		if c.note == "" && notes != "" || !strings.Contains(notes, c.note) {
			t.Errorf("%s: notes %q, want %q", c.what, notes, c.note)
		}
		x, y, z := direction(lm63.C, 22.5, 10)
		if got := f.Candela(x, y, z); math.Abs(got-75) > 1e-9 {
			t.Errorf("%s: %g cd, want 75", c.what, got)
		}
	}
}

func TestRefuses(t *testing.T) {
	const ok = "1 1000 1 3 1 1 2 0.1 0.1 0\n1 1 20\n0 45 90\n0\n100 50 0\n"
	for _, c := range []struct{ text, says string }{
		{"", "no line TILT="},
		{strings.Repeat("a\n", 20_000), "no line TILT="},
		{"TILT=NONE\n1 1000", "ends before the multiplier"},
		{"TILT=NONE\nx", `line 2: got "x", want the number of lamps`},
		{"TILT=NONE\n" + strings.Replace(ok, "1 1000 1 3", "1 1000 1 1e9", 1), "want 1 to 4000"},
		{"TILT=NONE\n" + strings.Replace(ok, "1 1000 1 3 1 1", "1 1000 1 3 1 4", 1), "the photometric type"},
		{"TILT=NONE\n" + strings.Replace(ok, "0 45 90", "0 95 90", 1), "does not come after"},
		{"TILT=NONE\n" + strings.Replace(ok, "0 45 90", "0 45 190", 1), "outside 0° to 180°"},
		{"TILT=NONE\n" + strings.Replace(ok, "100 50", "-1 50", 1), "-1 cd"},
		{"TILT=NONE\n" + strings.Replace(ok, "100 50 0", "100 50", 1), "ends before"},
		{"TILT=NONE\n" + strings.Replace(ok, "100 50", "NaN 50", 1), `got "NaN"`},
		{"TILT=NONE\n" + strings.Replace(ok, "1000 1", "1000 -1", 1), "come to -1"},
		{"TILT=INCLUDE\n9", "ways in which the lamp lies"},
		{strings.Repeat(" ", lm63.MostFile+1), "octets"},
		{"TILT=NONE\n1 -1 1 4000 4000 1 2 0 0 0 1 1 0 " + strings.Repeat("0 ", 100), "ends before a vertical"},
	} {
		if _, err := lm63.Parse([]byte(c.text)); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%.60q: error %v, want %q in it", c.text, err, c.says)
		}
	}
}

// Any file is read as it was written, in all editions and types.
func TestRoundTripAny(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want := anyFile(t)
		b, err := want.Append(nil)
		if err != nil {
			t.Fatal(err)
		}
		got, err := lm63.Parse(b)
		if err != nil {
			t.Fatalf("%v\n%s", err, b)
		}
		got.Notes = nil
		if !reflect.DeepEqual(got, want) {
			t.Fatalf("got  %+v\nwant %+v\n%s", got, want, b)
		}
		for line := range strings.Lines(string(b)) {
			if len(line) > 132 {
				t.Errorf("a line of %d", len(line))
			}
		}
	})
}

func anyFile(t *rapid.T) *lm63.File {
	number := func(what string, from, to int) float64 {
		return float64(rapid.IntRange(from*8, to*8).Draw(t, what)) / 8
	}
	f := &lm63.File{Edition: rapid.SampledFrom(lm63.Editions).Draw(t, "edition"), Keywords: keywords, Lamps: rapid.IntRange(0, 9).Draw(t, "lamps"), Lumens: number("lumens", -1, 9000),
		Multiplier: number("multiplier", 1, 9), Type: rapid.SampledFrom([]lm63.Photometry{lm63.A, lm63.B, lm63.C}).Draw(t, "type"), Feet: rapid.Bool().Draw(t, "feet"),
		Size: [3]float64{number("width", -2, 2), number("length", -2, 2), number("height", -2, 2)}, Ballast: number("ballast", 1, 2), Third: number("third", 1, 2), Watts: number("watts", 0, 2000)}
	f.Keywords = append(f.Keywords[:4:4], lm63.Keyword{Text: "more of it"})
	switch rapid.IntRange(0, 2).Draw(t, "tilt") {
	case 1:
		f.Tilt.File = "a.tlt"
	case 2:
		f.Tilt = lm63.Tilt{Included: true, Lies: 2, Angles: []float64{0, 90}, Factors: []float64{1, .5}}
	}
	n := rapid.IntRange(2, 9).Draw(t, "vertical")
	for i := range n {
		f.Vertical = append(f.Vertical, float64(i)*10)
	}
	f.Horizontal = rapid.SampledFrom([][]float64{{0}, {0, 45, 90}, {0, 90, 180}, {0, 90, 180, 270, 360}, {90, 180, 270}}).Draw(t, "horizontal")
	if f.Type != lm63.C {
		f.Horizontal = rapid.SampledFrom([][]float64{{-90, 0, 90}, {0, 45, 90}, {0}}).Draw(t, "horizontal")
	}
	for range f.Horizontal {
		var col []float64
		for range n {
			col = append(col, number("cd", 0, 9000))
		}
		f.Table = append(f.Table, col)
	}
	return f
}

func FuzzParse(f *testing.F) {
	for _, text := range []string{"TILT=NONE\n1 1000 1 3 1 1 2 0.1 0.1 0\n1 1 20\n0 45 90\n0\n100 50 0\n", "IES:LM-63-2019\nTILT=INCLUDE\n1 2 0 90 1 1\n1 -1 1 2 2 2 1 0 0 0 1 1 0 0 90 -5 5 1,2,3,4",
		"IESNA91\n[A] b\nTILT=x\n1 1 1,5 2 2 3 1 0 0 0 1 1 0 0 9 0 9 1 2 3 4"} {
		f.Add([]byte(text))
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		one, err := lm63.Parse(b[:min(len(b), 1<<14)])
		if err != nil {
			return
		}
		one.Flux()
		for _, d := range [][3]float64{{0, 0, 1}, {1, 0, 0}, {0, 0, 0}, {-1, -1, -1}, {math.Inf(1), 0, 0}} {
			one.Candela(d[0], d[1], d[2])
		}
		text, err := one.Append(nil)
		if err != nil {
			return
		}
		two, err := lm63.Parse(text)
		if err != nil {
			t.Fatalf("our own file: %v\n%s", err, text)
		}
		if again, err := two.Append(nil); err != nil || string(again) != string(text) {
			t.Fatalf("%s\nis written again as\n%s, %v", text, again, err)
		}
	})
}

// A table of a narrow beam, and its lumens.
func Example() {
	f, err := lm63.Parse([]byte("TILT=NONE\n1 -1 1 4 1 1 2 0 0 0\n1 1 20\n0 10 20 90\n0\n2000 1000 0 0\n"))
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("edition %d, type %v, %.0f lm, %.0f cd ahead\n", f.Edition, f.Type, f.Flux(), f.Candela(0, 0, 1))
	// Output: edition 1986, type C, 285 lm, 2000 cd ahead
}
