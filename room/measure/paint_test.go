package measure_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"lampblack/light"
	"lampblack/room"
	"lampblack/room/measure"
	"lampblack/si"
)

// picture is what a phone makes of a light whose white it takes for white: exposed so that a
// luminance of full is as bright as it goes, each channel off by some hundredths.
func picture(rng *rand.Rand, c light.XYZ, full float64) light.RGB {
	rgb := c.Photographed(full)
	off := func(v uint8) uint8 {
		return uint8(min(max(math.Round(float64(v)*math.Exp(.02*rng.NormFloat64())), 0), 255))
	}
	return light.RGB{R: off(rgb.R), G: off(rgb.G), B: off(rgb.B)}
}

// Every fluorescent paint, made with more or less glow than is thought and photographed with a
// phone that is off, beside paper whose brightener nobody knows well: its name is found again,
// or that of one which looks alike in both lights, and its glow lies in the interval. The
// pictures are made by the same paints that they are compared with, so these shares are better
// than those of real ones.
func TestPaintByPhone(t *testing.T) {
	day, err := light.Illuminant("D65")
	if err != nil {
		t.Fatal(err)
	}
	uv, err := light.LED(385, 13)
	if err != nil {
		t.Fatal(err)
	}
	paper, err := light.PaintNamed("optical white paper")
	if err != nil {
		t.Fatal(err)
	}
	rng := rand.New(rand.NewPCG(20260314, 9))
	confused := map[string]int{}
	white, n, named, inside, narrower := float64(day.LuminousFlux()), 0, 0, 0, 0.
	for _, p := range light.Paints() {
		if !p.Fluoresces() || strings.HasPrefix(p.Name, "optical") {
			continue
		}
		for range 40 {
			times, paperTimes := math.Exp(math.Log(p.Factor)/1.96*rng.NormFloat64()), math.Exp(math.Log(3)/1.96*rng.NormFloat64())
			glow, back := p.Glow(&uv), p.Reflected(&uv)
			sheet := paper.Whole(&uv)
			whole := *glow.Scale(times).Add(&back, 1)
			sheet.Scale(paperTimes)
			full := 1.5 * max(whole.XYZ().Y, sheet.XYZ().Y)
			dayWhole := p.Whole(&day)
			s := measure.Sample{Name: "it", Peak: 385,
				Paint: picture(rng, dayWhole.XYZ(), 1.3*white), White: picture(rng, day.XYZ().Times(.87), 1.3*white),
				Glow: picture(rng, whole.XYZ(), full), Paper: picture(rng, sheet.XYZ(), full)}
			l, err := s.Match()
			if err != nil {
				t.Errorf("%s: %v (%s, %.1f)", p.Name, err, l.Like, l.Far)
				continue
			}
			n++
			if l.Like == p.Name {
				named++
			} else {
				confused[p.Name+" as "+l.Like]++
			}
			like, _ := light.PaintNamed(l.Like)
			is, known := times*float64(p.GlowLuminance(&uv)), float64(like.GlowLuminance(&uv))
			if float64(l.Glow.Low)*known <= is && is <= float64(l.Glow.High)*known {
				inside++
			}
			narrower += math.Log(float64(l.Glow.High/l.Glow.Best)) / math.Log(p.Factor)
		}
	}
	t.Logf("%d pictures: %d named, luminance of %d inside the interval, which is %.2f of what it was in the logarithm; %v", n, named, inside, narrower/float64(n), confused)
	if named < n*3/4 || inside < n*9/10 || narrower > .95*float64(n) {
		t.Errorf("of %d pictures %d are named, %d inside the interval, which is %.2f of what it was", n, named, inside, narrower/float64(n))
	}
}

// A spectrometer's table of a paint, read by the room as it is printed, is that paint: colour of
// the glow, and what it gives back of daylight where it does not glow.
func TestPaintByTable(t *testing.T) {
	day, _ := light.Illuminant("D65")
	uv, _ := light.LED(385, 13)
	for _, name := range []string{"fluorescent orange", "fluorescent blue", "fluorescent pink", "optical white cloth"} {
		p, err := light.PaintNamed(name)
		if err != nil {
			t.Fatal(err)
		}
		glow, whole := p.Glow(&uv), p.Whole(&day)
		var csv strings.Builder
		csv.WriteString("# made up\nnm, daylight, glow\n")
		for nm := si.Wavelength(380); nm <= 780; nm += 5 {
			fmt.Fprintf(&csv, "%g, %.5f, %.6g\n", float64(nm), whole.At(nm)/day.At(nm), 1e3*glow.At(nm))
		}
		rows, faults := measure.ReadTable("t.csv", strings.NewReader(csv.String()))
		if err := faults.Err(); err != nil {
			t.Fatal(err)
		}
		l, err := (&measure.Sample{Name: "own: one", Peak: 385, Table: rows}).Match()
		if err != nil || l.Like != name {
			t.Fatalf("%s is taken for %+v: %v", name, l, err)
		}
		text := "size: [6 m, 8 m, 4 m]\nstage front: 5 m\n" + l.Text() + "objects:\n  o: {paint: \"own: one\", centre: [0 m, 1 m, 1 m], width: 1 m, height: 1 m, faces: [0 m, -1 m, 0 m]}\n"
		r, faults := room.Read("room.yaml", []byte(text))
		if err := faults.Err(); err != nil {
			t.Fatalf("%v\n%s", err, text)
		}
		if ok, _, _ := r.Fluoresces("o"); !ok {
			t.Errorf("%s does not fluoresce any more", name)
		}
		back, _ := r.Reflectance("own: one")
		for _, nm := range []si.Wavelength{385, 390, 700} { // glow below 410 nm counts as reflected
			if d := back.At(nm) - p.Reflectance.At(nm); math.Abs(d) > .04 {
				t.Errorf("%s at %v: reflects %v, wants %v", name, nm, back.At(nm), p.Reflectance.At(nm))
			}
		}
	}
}

func TestBadPaintTables(t *testing.T) {
	for text, want := range map[string]string{
		"":                             "0 rows",
		"a, b\n1, 2\n":                 "no columns",
		"nm, daylight, glow\n400,.1,0": "1 rows",
		"nm, daylight, glow\n400,.1,0\n400,.1,0\n":   "does not come after",
		"nm, daylight, glow\n400,x,0\n410,.1,0\n":    "is no daylight",
		"nm, daylight, glow\n400\n410,.1,0\n":        "has no daylight",
		"nm, daylight, glow\n400,NaN,0\n410,.1,-1\n": "is no",
		"nm, daylight, glow\n400,\"x\n":              "cannot be read",
	} {
		_, faults := measure.ReadTable("t.csv", strings.NewReader(text))
		said := ""
		for _, f := range faults {
			said += f.Text
		}
		if !strings.Contains(said, want) {
			t.Errorf("%q: said %q, want %q", text, said, want)
		}
	}
	for _, s := range []measure.Sample{{Peak: 385}, {Peak: 385, White: light.RGB{R: 255}, Glow: light.RGB{R: 9}}, {Peak: 385, Table: []measure.Row{{400, 0, 0}, {500, 0, 0}}},
		{Peak: 385, White: light.RGB{R: 255, G: 255, B: 255}, Glow: light.RGB{R: 255}}} {
		if l, err := s.Match(); err == nil {
			t.Errorf("%+v is %+v", s, l)
		}
	}
}

func FuzzReadPaintTable(f *testing.F) {
	f.Add("nm, daylight, glow\n400,.1,0\n410,.1,1\n")
	f.Add("glow;nm\n\"")
	f.Fuzz(func(t *testing.T, text string) {
		rows, faults := measure.ReadTable("t.csv", strings.NewReader(text))
		if faults.Err() != nil {
			return
		}
		if l, err := (&measure.Sample{Name: "x", Peak: 385, Table: rows}).Match(); err == nil && l.Text() == "" {
			t.Error("no text")
		}
	})
}
