package plate

import (
	"strings"
	"testing"

	"lampblack/light"
	"lampblack/rig"
)

// D65 lies at u' 0.1978, v' 0.4683 (CIE 15:2018): with 159 pixels to one, and
// u' -0.02 and v' 0.62 at the top left, at 34.63, 24.12.
func TestDots(t *testing.T) {
	d := Dots{{Name: "front <1>", Colour: light.UV{U: .1978, V: .4683}, Shown: light.RGB{R: 255, G: 250, B: 240}, Share: .5}}
	data, err := svgOf(d.Draw(), nil)
	if err != nil {
		t.Fatal(err)
	}
	wellFormed(t, "dots", data)
	svg := string(data)
	for _, want := range []string{
		"<title>CIE 1976 diagram: front &lt;1&gt; u′ 0.198 v′ 0.468</title>",
		`fill="none"/>`,
		"<path d=\"M33.03 24.12L36.23 24.12\"",                    // the cross
		"<title>front &lt;1&gt;</title>\n<path d=\"M38.28 24.12L", // the dot, of 1.9 + 3.5/2
		`fill="#fffaf0" stroke="#222222"`,
	} {
		if !strings.Contains(svg, want) {
			t.Errorf("no %s in\n%s", want, svg)
		}
	}
	if dark, _ := svgOf(Dots(nil).Draw(), nil); !strings.Contains(string(dark), "<title>CIE 1976 diagram: dark</title>") {
		t.Errorf("nothing is %s", dark)
	}
}

// A spectrum of 600 nm alone is highest in the middle of its marks for 500 and
// 700 nm, and is drawn in orange; ultraviolet is drawn in violet.
func TestSmallSpectrum(t *testing.T) {
	shapes := map[string]rig.Light{}
	for name, peak := range map[string]int{"orange": 600, "uv": 385} {
		s := led(t, peak, 12)
		shapes[name] = rig.Light{Spectrum: s, Colour: s.XYZ()}
	}
	for name, want := range map[string][]string{
		// 132 pixels are 480 nm: 600 nm lie at 82.5.
		"orange": {"<title>spectrum of orange, 300 nm to 780 nm</title>", "L82.5 1L", "M27.5 24.5L27.5 26", `fill="#ff`},
		"uv":     {"L23.38 1L", `fill="#5b3fa0"`},
		"dark":   {"M0 24.5L132 24.5"},
	} {
		l := shapes[name]
		data, err := svgOf(SmallSpectrum(name, &l), nil)
		if err != nil {
			t.Fatal(err)
		}
		wellFormed(t, name, data)
		for _, w := range want {
			if !strings.Contains(string(data), w) {
				t.Errorf("%s: no %s in\n%s", name, w, data)
			}
		}
	}
}
