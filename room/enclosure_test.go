package room_test

import (
	"testing"

	"lampblack/light"
	"lampblack/room"
)

// flux is what falls on all surfaces, W, for the first drive at full, and what
// they take up.
func flux(tr *room.Transport, reflectance func(p *room.Place) light.Spectrum) (direct, total, absorbed float64) {
	for i := range tr.Places {
		p := &tr.Places[i]
		straight, all := tr.Arrives(i, 0)
		rho := reflectance(p)
		direct += p.Area * float64(straight.Power())
		total += p.Area * float64(all.Power())
		absorbed += p.Area * (float64(all.Power()) - all.Weighted(&rho))
	}
	return direct, total, absorbed
}

func surface(tr *room.Transport) float64 {
	sum := 0.0
	for i := range tr.Places {
		sum += tr.Places[i].Area
	}
	return sum
}

// A closed room of one reflectance holds E = Φ/(A(1-ρ)) on the mean, the
// integrating sphere's formula, whatever its shape.
func TestClosedEnclosure(t *testing.T) {
	for _, half := range []string{"15°", "40°", "120°"} {
		for _, reflects := range []string{"0 %", "50 %", "95 %"} {
			rg := hang(t, `
units:
  - {unit: a, type: spot, address: 1, at: [1 m, -2 m, 2.6 m], aim: [-1 m, 2 m, 0.4 m]}
`, spot(t, "spot", "2 W", half))
			r := read(t, `
size: [6 m, 9 m, 3 m]
stage front: 5 m
materials: {all: {reflects: `+reflects+`}}
walls: all
floor: all
ceiling: all
`)
			tr := solve(t, r, rg, room.Fineness{Patches: 1500, Elements: 150})
			spectrum := tr.Lights[0].Spectrum
			m, _ := r.Reflectance("all")
			rho := spectrum.Weighted(&m)
			direct, total, absorbed := flux(tr, func(*room.Place) light.Spectrum { return m })
			t.Logf("%s %s: direct %.4f total %.4f want %.4f absorbed %.4f", half, reflects, direct, total, 2/(1-rho), absorbed)
			near(t, half+" direct flux", direct, 2, .001)
			near(t, half+" at "+reflects, total/surface(tr), 2/(surface(tr)*(1-rho)), .001)
		}
	}
}

// With drapes, boxes and objects in the way, and unlike reflectances, all
// light that was sent out is taken up somewhere.
func TestEnergyIsKept(t *testing.T) {
	rg := hang(t, `
units:
  - {unit: a, type: spot, address: 1, at: [2 m, -4 m, 2.6 m], aim: [-0.5 m, 1.5 m, 1.2 m]}
`, spot(t, "spot", "2 W", "50°"))
	r := read(t, `
size: [8 m, 12 m, 4 m]
stage front: 7 m
walls: white paint
floor: wood floor
ceiling: painted plaster white
surfaces:
  backdrop: {material: grey cloth, centre: [0 m, 4 m, 1.5 m], width: 5 m, height: 3 m, faces: [0 m, -1 m, 0 m]}
  leg: {material: black cloth, centre: [2.5 m, 2 m, 1.5 m], width: 1 m, height: 3 m, faces: [-1 m, -1 m, 0 m]}
  cloth on the wall: {material: red velvet, centre: [-4 m, -2 m, 1.5 m], width: 3 m, height: 2 m, faces: [1 m, 0 m, 0 m]}
boxes:
  playboard: {centre: [0 m, 1 m, 0.5 m], size: [3 m, 0.4 m, 1 m], material: dark wood}
  beam: {centre: [0 m, 0 m, 3.5 m], size: [6 m, 0.3 m, 0.3 m], material: grey paint}
objects:
  fish: {paint: `+anyPaint()+`, centre: [0 m, 1.5 m, 1.4 m], width: 0.6 m, height: 0.4 m, faces: [0 m, -1 m, 0 m]}
`)
	tr := solve(t, r, rg, room.Usual)
	direct, _, absorbed := flux(tr, func(p *room.Place) light.Spectrum { return reflectanceAt(tr, r, p) })
	t.Logf("direct %.4f absorbed %.4f of 2", direct, absorbed)
	near(t, "direct flux", direct, 2, .01)
	near(t, "absorbed", absorbed, 2, .01)
}
