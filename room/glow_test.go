package room_test

import (
	"math"
	"testing"

	"lampblack/light"
	"lampblack/room"
	"lampblack/si"
)

const blackLight = `
name: black light
size: [0.1 m, 0.1 m, 0.1 m]
beam: {half: 40°, shape: gaussian}
emitters:
  uv: {peak: 385 nm, width: 12 nm, output: 10 W ± 20 %}
modes:
  one: {1: {drives: uv}}
`

const glowRoom = black + `
size: [10 m, 14 m, 5 m]
stage front: 8 m
surfaces:
  backdrop: {material: black velvet, centre: [0 m, 4 m, 2 m], width: 6 m, height: 3 m, faces: [0 m, -1 m, 0 m]}
objects:
  fish: {paint: fluorescent yellow-green, centre: [0 m, 1.5 m, 1.5 m], width: 0.2 m, height: 0.2 m, faces: [0 m, -1 m, 0 m], background: backdrop}
  sign: {paint: fluorescent pink, centre: [2 m, 1.5 m, 1.5 m], width: 0.2 m, height: 0.2 m, faces: [0 m, -1 m, 0 m], background: black cloth}
audience: [{name: me, at: [0 m, -4 m, 1.5 m]}]
`

func glowing(t *testing.T) *room.Transport {
	rg := hang(t, `
units:
  - {unit: uv, type: bl, address: 1, at: [0 m, -1.5 m, 1.5 m], aim: [0 m, 1.5 m, 1.5 m]}
`, kind(t, "bl", blackLight))
	return solve(t, read(t, glowRoom), rg, room.Fineness{Patches: 3000, Elements: 300})
}

// The chain from lamp to eye by hand: intensity by the beam's closed form,
// E = I/d² on the object 3 m away, glow by the paint, background by Lambert's
// law L = ρE/π on the velvet 5.5 m away.
func TestGlowOverBackground(t *testing.T) {
	tr := glowing(t)
	d, err := light.Beam{Half: 40 * math.Pi / 180, Shape: light.Gaussian}.Distribution()
	if err != nil {
		t.Fatal(err)
	}
	led, _ := light.LED(385, 12)
	paint, _ := light.PaintNamed("fluorescent yellow-green")
	atFish := led
	atFish.Scale(10 * d.Peak() / 9)
	g, ok := tr.Glow("fish", []float32{1})
	if !ok {
		t.Fatal("no fish")
	}
	near(t, "glow", g.Own.Y, float64(paint.GlowLuminance(&atFish)), .02)
	near(t, "low end", float64(g.Luminance.Low), g.Own.Y*.8/paint.Factor, 1e-3)
	near(t, "high end", float64(g.Luminance.High), g.Own.Y*1.2*paint.Factor, 1e-3)
	reflected := paint.Reflected(&atFish)
	near(t, "all of it", g.Colour.Y, g.Own.Y+float64(light.Luminance(&reflected)), .02)
	seenAsTheEyeDoes(t, tr, g)
	// The seat side of the room is black, so the backdrop is lit by the lamp
	// past the fish and by the glow of the objects, which face away from it.
	if meter := g.Own.Y / g.Behind.Y; g.Over >= meter/2 {
		t.Errorf("%v times its background by a meter, %v to the eye, which sees violet", meter, g.Over)
	}
	velvet, _ := tr.Glow("sign", []float32{1})
	if velvet.Behind.Y <= 0 || velvet.Over <= 1 {
		t.Errorf("the sign before black cloth: %+v", velvet)
	}
	own, whole, behind := tr.GlowRows("sign")
	if len(own) != 1 || len(whole) != 1 || len(behind) != 1 {
		t.Fatalf("rows of the sign: %v, %v, %v", own, whole, behind)
	}
	near(t, "own glow of the sign", own[0], velvet.Own.Y, 1e-5)
	near(t, "the whole sign", whole[0], velvet.Colour.Y, 1e-5)
	near(t, "what is behind the sign", behind[0], velvet.Behind.Y, 1e-5)
	// Black cloth in the same light, by Lambert's law: the sign is 2 m aside, 33.7° off
	// the axis of a gaussian beam of 40°, and √13 m away.
	cloth, _ := light.PaintNamed("black cloth")
	back := cloth.Reflected(&atFish)
	aside := math.Atan(2. / 3)
	falls := math.Exp(-math.Ln2*math.Pow(aside/(20*math.Pi/180), 2)) * 9 / 13 * math.Cos(aside)
	near(t, "behind the sign", velvet.Behind.Y, falls*float64(light.Luminance(&back)), .02)
	if own, whole, behind := tr.GlowRows("nobody"); own != nil || whole != nil || behind != nil {
		t.Error("an object that is not there has rows")
	}
	if _, ok := tr.Glow("nobody", []float32{1}); ok {
		t.Error("an object that is not there glows")
	}
	dark, _ := tr.Glow("fish", []float32{0})
	if dark.Over != 0 || dark.Adapted != 0 || dark.Least.Best < .005 {
		t.Errorf("in the dark: %+v", dark)
	}
}

// The eye's field is ten degrees about the fish, .2 m wide and 5.5 m off: (.2/5.5)²/(π·(5°)²)
// of it is fish. Its adaptation, and both luminances, by CIE 191:2010 with VM in place of V.
func seenAsTheEyeDoes(t *testing.T, tr *room.Transport, g room.Glow) {
	t.Helper()
	share := .2 * .2 / (5.5 * 5.5) / (math.Pi * math.Pow(5*math.Pi/180, 2))
	led, _ := light.LED(385, 12)
	velvet, _ := light.PaintNamed("black velvet")
	paint, _ := light.PaintNamed("fluorescent yellow-green")
	fish := paint.Whole(&led)
	own := paint.Glow(&led)
	scale := g.Own.Y / float64(light.Luminance(&own))
	back := velvet.Reflected(&led)
	behind := g.Behind.Y / float64(light.Luminance(&back)) // near enough: the little glow that falls there is not violet
	of := func(s *light.Spectrum, scale float64) (p, r float64) {
		return scale * float64(s.Seen()) / math.Pi, scale * float64(s.Scotopic()) / math.Pi
	}
	fp, fs := of(&fish, scale)
	bp, bs := of(&back, behind)
	_, m := light.Mesopic(si.Luminance(share*fp+(1-share)*bp), si.Luminance(share*fs+(1-share)*bs))
	near(t, "adaptation", g.Adapted, m, .02)
	op, os := of(&own, scale)
	near(t, "glow to the eye", float64(g.SeenOwn), float64(light.SeenAt(si.Luminance(op), si.Luminance(os), m)), .02)
	for i, row := range [][]float64{first(tr.SeenRows("fish", g.Adapted)), last(tr.SeenRows("fish", g.Adapted))} {
		near(t, "rows to the eye", row[0], []float64{float64(g.SeenOwn), float64(g.SeenBehind)}[i], 1e-5)
	}
	near(t, "least", float64(g.Least.Best), float64(light.LeastSeen(g.SeenBehind, si.Angle(2*math.Atan(.1/5.5))).Best), 1e-9)
	if g.From != "me" {
		t.Errorf("seen from %q", g.From)
	}
}

func first(a, _, _ []float64) []float64 { return a }

func last(_, _, c []float64) []float64 { return c }

// Glow lights the room: what the objects send out arrives, all of it. The
// 385 nm of the lamp itself count 0.1 lm/W at most and are taken off.
func TestGlowLightsTheRoom(t *testing.T) {
	tr := glowing(t)
	levels := []float32{1}
	arrives, sent := 0.0, 0.0
	for i := range tr.Places {
		p := &tr.Places[i]
		_, all := tr.Arrives(i, 0)
		own := float64(all.LuminousFlux())
		arrives += p.Area * (tr.Reading(i, room.Photopic, levels) - own)
		sent += p.Area * math.Pi * tr.GlowOnly(i, levels).Y
	}
	if sent < .5 {
		t.Fatalf("only %v lm of glow", sent)
	}
	near(t, "flux of glow", arrives, sent, .03)
	if tr.Lux("me", levels) <= 0 {
		t.Error("no glow reaches the seat")
	}
}

// Rows are readings for one drive each: any reading is their sum.
func TestRowsAreReadings(t *testing.T) {
	r, rg := theHall(t), bars(t, 2)
	tr := solve(t, r, rg, room.Fineness{Patches: 600, Elements: 100})
	levels := full(rg)
	for d := range levels {
		levels[d] = float32(d%5) / 5
	}
	total := func(row []float64) float64 {
		sum := 0.0
		for d, v := range row {
			sum += v * float64(levels[d])
		}
		return sum
	}
	for _, name := range []string{"fish", "backdrop", "seat 3"} {
		near(t, "lux on "+name, total(tr.MeanRow(name, room.Photopic)), float64(tr.Lux(name, levels)), 1e-5)
	}
	own, whole, behind := tr.GlowRows("fish")
	g, _ := tr.Glow("fish", levels)
	near(t, "glow", total(own), g.Own.Y, 1e-5)
	near(t, "object", total(whole), g.Colour.Y, 1e-5)
	near(t, "background", total(behind), g.Behind.Y, 1e-5)
	near(t, "UV-A at an eye that turns", total(tr.MostRow(0, room.UVA)), float64(tr.MostUVA(0, levels).Best), 1e-5)
	e := tr.UVA(0, levels)
	near(t, "low end of UV-A", float64(e.Low), .6*float64(e.Best), .05)
	near(t, "high end of UV-A", float64(e.High), 1.4*float64(e.Best), .05)
	pieces := tr.PieceRows("backdrop", room.Photopic)
	if len(pieces) < 4 {
		t.Errorf("%d pieces of the backdrop", len(pieces))
	}
}
