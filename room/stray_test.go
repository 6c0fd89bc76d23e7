package room_test

import (
	"math"
	"strings"
	"testing"

	"lampblack/light"
	"lampblack/room"
)

// What a word stands for is what its source gives, reckoned by hand: intensity over distance
// squared for signs and gaps, shares of what is out of doors for windows.
func TestStrayWords(t *testing.T) {
	sign := func(luminance, area, far float64) float64 { return luminance * area / (far * far) }
	for word, want := range map[string][2]float64{
		"exit sign":                {sign(8.6, .3*.15, 4), sign(500, .3*.15, 4)},
		"gap under a door":         {sign(.3*100/math.Pi, .9*.01, 5), 10 * sign(.3*100/math.Pi, .9*.01, 2)},
		"daylight behind curtains": {10000 * .02 * .0005, 10000 * .02 * .05},
		"street lamp outside":      {2 * .005, 15 * .033},
		"moonlight outside":        {.1 * .01, .3 * .066},
		"emergency lamp":           {.5, 10},
		"music stand lamp":         {sign(300*.8/math.Pi, .06, 15), sign(300*.8/math.Pi, .06, 3)},
		"projector on black":       {3000. / 6 / 10000, 3000. / 6 / 500},
	} {
		r := read(t, glowRoom+"stray light: [{from: "+word+"}]\n")
		lux, from := r.Stray[0].Falls()
		if from == "" || !(lux.Low < lux.Best && lux.Best < lux.High) {
			t.Errorf("%s: %v by %q", word, lux, from)
		}
		near(t, "least of "+word, float64(lux.Low), want[0], .35)
		near(t, "most of "+word, float64(lux.High), want[1], .35)
	}
	if n := len(room.StrayNames()); n != 8 {
		t.Errorf("%d words, and 8 are looked at", n)
	}
}

// Light that is not the show's lies on a background as Lambert's law has it, L = ρE/π, and only
// on what it is said to fall on; the glow then stands out less, the more the more it may be.
func TestStrayCountsAgainstGlow(t *testing.T) {
	solved := func(more string) room.Glow {
		rg := hang(t, "units:\n  - {unit: uv, type: bl, address: 1, at: [0 m, -1.5 m, 1.5 m], aim: [0 m, 1.5 m, 1.5 m]}\n", kind(t, "bl", blackLight))
		tr := solve(t, read(t, glowRoom+more), rg, room.Fineness{Patches: 1000, Elements: 100})
		g, _ := tr.Glow("fish", []float32{1})
		return g
	}
	bare := solved("")
	elsewhere := solved("stray light: [{lux: 5 lx, on: sign}]\n")
	if elsewhere.Over != bare.Over || bare.Stray != 0 || bare.Worst != bare.Over {
		t.Errorf("light on the sign: %+v, without %+v", elsewhere, bare)
	}
	lit := solved("stray light: [{lux: 5 lx (2 lx to 20 lx), on: backdrop}]\n")
	velvet, _ := light.PaintNamed("black velvet")
	day, _ := light.Illuminant("D65")
	back := velvet.Reflected(&day)
	want := 5 * float64(light.Luminance(&back)/light.Luminance(&day)) / math.Pi
	near(t, "background", float64(lit.SeenBehind-light.SeenAt(0, 0, 0))-float64(bare.SeenBehind), want, .1)
	near(t, "share", lit.Stray, want/float64(lit.SeenBehind), .1)
	near(t, "times", lit.Over, float64(lit.SeenOwn/lit.SeenBehind), 1e-9)
	if !(lit.Over < bare.Over && lit.Worst < .6*lit.Over) {
		t.Errorf("%v times without, %v with, %v at most", bare.Over, lit.Over, lit.Worst)
	}
	if word := solved("stray light: [{from: daylight behind curtains}]\n"); word.Over >= bare.Over {
		t.Errorf("daylight on all: %v times, without %v", word.Over, bare.Over)
	}
}

// Slips are told where they are, and leave a room that can be computed with.
func TestStrayFaults(t *testing.T) {
	for text, want := range map[string]string{
		"{from: exit sgn}":                     "there is no word \"exit sgn\" for stray light",
		"{on: backdrop}":                       "in a word or in lux",
		"{from: exit sign, lux: 2 lx}":         "in a word or in lux",
		"{from: exit sign, on: back drop}":     "nothing called \"back drop\"",
		"{lux: -1 lx}":                         "outside 0 lx to 1000 lx",
		"{lux: 1e9 lx}":                        "outside 0 lx to 1000 lx",
		"{from: exit sign, on: audience wall}": "",
		"{lux: 0.2 lx ± 50 %, on: stage wall}": "",
		"{lux: 0.1 lx to 0.3 lx, on: fish}":    "",
	} {
		r, faults := room.Read("room.yaml", []byte(glowRoom+"stray light: ["+text+"]\n"))
		said := ""
		for _, f := range faults {
			said += f.Text
			if f.Pos.Line == 0 {
				t.Errorf("%s: no place", text)
			}
		}
		if !strings.Contains(said, want) || (want == "") != (said == "") {
			t.Errorf("%s: said %q, want %q", text, said, want)
		}
		if lux, _ := r.Stray[0].Falls(); math.IsNaN(float64(lux.High)) || lux.High > 1000 {
			t.Errorf("%s: %v is left", text, lux)
		}
	}
}
