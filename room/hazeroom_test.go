package room_test

import (
	"math"
	"testing"

	"lampblack/room"
	"lampblack/si"
)

// Beer and Lambert: of a beam that leaves 90 % over 6 m that much arrives 6 m away, and 0.9^(4/6) 4 m away.
func TestHazeDims(t *testing.T) {
	rg := hang(t, "units:\n  - {unit: a, type: spot, address: 1, at: [0 m, 2 m, 2 m], aim: [0 m, -4 m, 2 m]}\n", spot(t, "spot", "1000 lm", "60°"))
	const text = black + "size: [8 m, 12 m, 4 m]\nstage front: 6 m\naudience:\n  - {name: far, at: [0 m, -4 m, 2 m], looks at: [0 m, 2 m, 2 m]}\n  - {name: near, at: [0 m, -2 m, 2 m], looks at: [0 m, 2 m, 2 m]}\n"
	clear := solve(t, read(t, text), rg, room.Fineness{Patches: 100, Elements: 20})
	hazy := solve(t, read(t, text+"haze: {leaves: 90 %, over: 6 m}\n"), rg, room.Fineness{Patches: 100, Elements: 20})
	levels := full(rg)
	near(t, "6 m away", float64(hazy.Lux("far", levels)/clear.Lux("far", levels)), .9, 1e-4)
	near(t, "4 m away", float64(hazy.Lux("near", levels)/clear.Lux("near", levels)), math.Pow(.9, 4./6), 1e-4)
	at := []room.Point{{0, -4, 2}}
	n := room.Point{0, 1, 0}
	probe := room.Probe{Sense: room.Photopic, Levels: levels, Normal: &n}
	near(t, "a probe", hazy.Probe(t.Context(), probe, at)[0]/clear.Probe(t.Context(), probe, at)[0], .9, 1e-4)
	near(t, "what may harm", hazy.MostRow(0, room.Photopic)[0], clear.MostRow(0, room.Photopic)[0], 1e-6)
}

// A beam that crosses the line of sight at right angles, 5 m before the eye and 2 m from the lamp, as a
// thin sheet: by hand on the side of a uniform cone. The haze glows where the beam is, not where a board keeps it off,
// and not in clear air.
func TestBeamInHaze(t *testing.T) {
	rg := hang(t, "units:\n  - {unit: a, type: spot, address: 1, at: [-2 m, 1 m, 2 m], aim: [2 m, 1 m, 2 m]}\n", spot(t, "spot", "1000 lm", "20°"))
	const text = black + "size: [8 m, 12 m, 4 m]\nstage front: 6 m\naudience: [{name: me, at: [0 m, -4 m, 2 m]}]\n"
	levels := full(rg)
	seen := func(more string, toward room.Point) float64 {
		tr := solve(t, read(t, text+more), rg, room.Fineness{Patches: 100, Elements: 20})
		return tr.Airlight(room.Point{0, -4, 2}, toward, si.Length(9), levels).Y
	}
	const haze = "haze: {leaves: 90 %, over: 6 m}\n"
	beam := seen(haze, room.Point{0, 1, 0})
	// Most of the light comes from within the beam's 10° of half angle: σ·phase(90°)·I/r² over 2 m · 2 tan 10° of it.
	sigma := -math.Log(.9) / 6
	g := .75
	phase := (1 - g*g) / (4 * math.Pi * math.Pow(1+g*g, 1.5))
	candela := candelaOf(t, levels)
	rough := sigma * math.Exp(-7*sigma) * phase * candela / 4 * 2 * 2 * math.Tan(10*math.Pi/180)
	if beam < .7*rough || beam > 1.4*rough {
		t.Errorf("the beam has %.3f cd/m², about %.3f by hand", beam, rough)
	}
	if off := seen(haze, room.Point{-1, 0, 0}); off > beam/20 {
		t.Errorf("beside the beam the haze has %.4f cd/m², in it %.4f", off, beam)
	}
	if hidden := seen(haze+"boxes: {board: {centre: [-1 m, 1 m, 2 m], size: [0.02 m, 2 m, 2 m], material: nothing}}\n", room.Point{0, 1, 0}); hidden > beam/1e3 {
		t.Errorf("behind a board the haze has %.4f cd/m²", hidden)
	}
	if clear := seen("", room.Point{0, 1, 0}); clear != 0 {
		t.Errorf("clear air has %v cd/m²", clear)
	}
}

// candelaOf is the intensity on the axis, by E = I/d² a metre away.
func candelaOf(t *testing.T, levels []float32) float64 {
	t.Helper()
	one := hang(t, "units:\n  - {unit: a, type: spot, address: 1, at: [0 m, 0 m, 2 m], aim: [0 m, -1 m, 2 m]}\n", spot(t, "spot", "1000 lm", "20°"))
	tr := solve(t, read(t, black+"size: [8 m, 12 m, 4 m]\nstage front: 6 m\naudience: [{name: me, at: [0 m, -1 m, 2 m], looks at: [0 m, 0 m, 2 m]}]\n"), one, room.Fineness{Patches: 100, Elements: 20})
	return float64(tr.Lux("me", levels))
}

// Haze lies over a glowing thing and over what is behind it alike, so that it stands out less; rows and readings agree, and
// at a pose as at home.
func TestGlowInHaze(t *testing.T) {
	rg := hang(t, "units:\n  - {unit: uv, type: bl, address: 1, at: [0 m, -1.5 m, 2.5 m], aim: [0 m, 1.5 m, 1.5 m]}\n", kind(t, "bl", blackLight))
	clear := solve(t, read(t, glowRoom), rg, room.Fineness{Patches: 600, Elements: 100})
	r := read(t, glowRoom+"haze: {leaves: 90 %, over: 6 m}\n")
	r.Loosen([]string{"sign"})
	hazy := solve(t, r, rg, room.Fineness{Patches: 600, Elements: 100})
	levels := full(rg)
	a, _ := clear.Glow("fish", levels)
	b, _ := hazy.Glow("fish", levels)
	if b.Over >= a.Over || b.Behind.Y <= a.Behind.Y || b.Own.Y >= .95*a.Own.Y {
		t.Errorf("in clear air %v over its background, in haze %v; own %v and %v", a.Over, b.Over, a.Own.Y, b.Own.Y)
	}
	own, whole, behind := hazy.GlowRows("fish")
	near(t, "own", own[0], b.Own.Y, 1e-5)
	near(t, "whole", whole[0], b.Colour.Y, 1e-5)
	near(t, "behind", behind[0], b.Behind.Y, 1e-5)
	near(t, "with its interval", float64(b.Luminance.Best), b.Own.Y, 1e-5)
	home, _ := r.Home("sign")
	still, _ := hazy.Glow("sign", levels)
	posed, _ := hazy.With(hazy.Posed("sign", home)).Glow("sign", levels)
	near(t, "at home", posed.Behind.Y, still.Behind.Y, 1e-3)
}
