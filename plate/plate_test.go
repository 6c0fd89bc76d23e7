package plate

import (
	"bytes"
	"encoding/xml"
	"errors"
	"flag"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"lampblack/light"
	"lampblack/plate/drawing"
	"lampblack/si"
)

var update = flag.Bool("update", false, "write the golden plates anew")

func svgOf(d *drawing.Drawing, err error) ([]byte, error) {
	if err != nil {
		return nil, err
	}
	return d.SVG()
}

func led(t *testing.T, peak, width int) light.Spectrum {
	t.Helper()
	s, err := light.LED(si.Wavelength(peak), si.Wavelength(width))
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func phosphor(t *testing.T, kelvin float64) light.Spectrum {
	t.Helper()
	s, err := light.Phosphor(kelvin)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func exampleSpectra(t *testing.T) *Spectra {
	s := &Spectra{Title: "Emitters of the colour bar, one watt each"}
	for _, e := range []struct {
		name string
		s    light.Spectrum
	}{
		{"red", led(t, 625, 18)}, {"green", led(t, 520, 33)}, {"blue", led(t, 460, 20)},
		{"white", phosphor(t, 6500)}, {"ultraviolet", led(t, 395, 13)},
	} {
		s.Curves = append(s.Curves, Curve{e.name, e.s})
	}
	return s
}

func exampleGamuts(t *testing.T) *Gamuts {
	g := &Gamuts{Title: "What the types reach, and the look “lagoon”"}
	var mixers []*light.Mixer
	for _, ty := range []struct {
		name string
		all  []light.Spectrum
	}{
		{"colour bar, 1 m", []light.Spectrum{led(t, 625, 18), led(t, 520, 33), led(t, 460, 20)}},
		{"small wash", []light.Spectrum{led(t, 618, 20), led(t, 510, 30), led(t, 470, 24), led(t, 593, 16)}},
		{"two-white lamp & amber", []light.Spectrum{phosphor(t, 2700), phosphor(t, 6500), led(t, 593, 16)}},
	} {
		var colours []light.XYZ
		for _, s := range ty.all {
			colours = append(colours, s.XYZ())
		}
		m, err := light.NewMixer(colours, nil)
		if err != nil {
			t.Fatal(err)
		}
		mixers = append(mixers, m)
		g.Types = append(g.Types, TypeGamut{ty.name, m.Gamut()})
	}
	g.Common = light.CommonGamut(mixers[:2])
	for _, text := range []string{"#123a7c", "#f2c48d"} {
		c, err := light.ParseColour(text)
		if err != nil {
			t.Fatal(err)
		}
		reached, miss := light.Nearest(mixers, c.XY.UV(), 1)
		g.Targets = append(g.Targets, Target{text, c.XY.UV(), reached, miss})
	}
	return g
}

// The plates are compared with goldens, byte by byte: look at them in a viewer
// before writing them anew with -update.
func TestGoldenPlates(t *testing.T) {
	spectra, err := svgOf(exampleSpectra(t).Draw())
	if err != nil {
		t.Fatal(err)
	}
	gamuts, err := svgOf(exampleGamuts(t).Draw())
	if err != nil {
		t.Fatal(err)
	}
	plot, err := svgOf(aRoom().plot().Draw())
	if err != nil {
		t.Fatal(err)
	}
	dark := func(uva bool) []byte { // of no light at all there are no contours
		p := aRoom().plan(uva)
		p.Levels = make([]float32, len(p.Levels))
		svg, err := svgOf(p.Draw(t.Context()))
		if err != nil {
			t.Fatal(err)
		}
		return withoutPictures(svg)
	}
	v := aRoom().view(false)
	v.White = 20
	view, err := svgOf(v.Draw(t.Context()))
	if err != nil {
		t.Fatal(err)
	}
	for name, got := range map[string][]byte{
		"spectra.svg": spectra, "gamuts.svg": gamuts, "plot.svg": plot, "lux.svg": dark(false), "uva.svg": dark(true), "view.svg": withoutPictures(view),
	} {
		path := filepath.Join("testdata", name)
		if *update {
			if err := os.MkdirAll("testdata", 0o755); err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(path, got, 0o644); err != nil {
				t.Fatal(err)
			}
		}
		want, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(got, want) {
			t.Errorf("%s has changed: look at it, then run with -update", name)
		}
		wellFormed(t, name, got)
	}
}

// withoutPictures leaves out what the pictures in a plate show: their bytes are the
// packer's, and the light in them is looked at elsewhere.
func withoutPictures(svg []byte) []byte {
	return regexp.MustCompile(`base64,[^"]*`).ReplaceAll(svg, []byte("base64,"))
}

func wellFormed(t *testing.T, name string, data []byte) {
	t.Helper()
	for d := xml.NewDecoder(bytes.NewReader(data)); ; {
		if _, err := d.Token(); errors.Is(err, io.EOF) {
			return
		} else if err != nil {
			t.Errorf("%s: %v", name, err)
			return
		}
	}
}

func TestAxesNameQuantityAndUnit(t *testing.T) {
	spectra, err := svgOf(exampleSpectra(t).Draw())
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"wavelength, nm", "W/nm", "UV-A"} {
		if !bytes.Contains(spectra, []byte(want)) {
			t.Errorf("no %q on the spectra", want)
		}
	}
	gamuts, err := svgOf(exampleGamuts(t).Draw())
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"u' (CIE 1976)", "v' (CIE 1976)", "two-white lamp &amp; amber"} {
		if !bytes.Contains(gamuts, []byte(escapeQuote(want))) {
			t.Errorf("no %q on the gamuts", want)
		}
	}
}

func escapeQuote(s string) string { return strings.ReplaceAll(s, "'", "&#39;") }

func TestHostileInput(t *testing.T) {
	s := &Spectra{Title: "</svg><script>\x00", Curves: []Curve{{Name: "<b>"}}}
	data, err := svgOf(s.Draw())
	if err != nil {
		t.Fatal(err)
	}
	wellFormed(t, "hostile", data)
	if bytes.Contains(data, []byte("<script>")) {
		t.Error("a title is taken for markup")
	}
	s.Curves[0].Spectrum[3] = math.NaN()
	if _, err := s.Draw(); err == nil {
		t.Error("NaN is drawn")
	}
	if _, err := (&Gamuts{Targets: []Target{{Wanted: light.UV{U: math.NaN()}}}}).Draw(); err == nil {
		t.Error("a target of NaN is drawn")
	}
	if data, err := svgOf((&Gamuts{}).Draw()); err != nil {
		t.Error(err)
	} else {
		wellFormed(t, "empty", data)
	}
}

// The first 28 lines differ in colour and dash together; the colours stay apart
// in lightness or hue for all three kinds of dichromacy (Okabe and Ito).
func TestStrokesDiffer(t *testing.T) {
	seen := map[string]bool{}
	for i := range 28 {
		s := strokeOf(i)
		look := fmt.Sprint(s.colour, s.dash)
		if seen[look] {
			t.Errorf("line %d looks like another", i)
		}
		seen[look] = true
	}
}

func TestStepAndTick(t *testing.T) {
	for _, c := range []struct{ top, want float64 }{{1, .2}, {.043, .01}, {7, 2}, {5, 1}, {1e-6, 2e-7}} {
		if got := step(c.top, 5); math.Abs(got-c.want) > 1e-12 {
			t.Errorf("step of %v: %v, want %v", c.top, got, c.want)
		}
	}
	if got := tick(.3, .1); got != "0.3" {
		t.Errorf("tick: %q", got)
	}
}

// The edge of all colours, by CIE 015's table of the 1931 observer: 420 nm has x
// 0.1344, y 0.0040, z 0.6456; 520 nm x 0.0633, y 0.7100, z 0.0782; 700 nm x
// 0.0114, y 0.0041, z 0; u' = 4x/(x+15y+3z), v' = 9y/(x+15y+3z).
func TestLocus(t *testing.T) {
	got := locus(420, 5)
	if len(got) != 57 { // each 5 nm from 420 to 700
		t.Fatalf("%d points", len(got))
	}
	for i, want := range map[int]light.UV{0: {U: .2522, V: .0169}, 20: {U: .0231, V: .5837}, 56: {U: .6234, V: .5065}} {
		if got[i].Distance(want) > .001 {
			t.Errorf("%d nm lies at %v, want %v", 420+5*i, got[i], want)
		}
	}
}
