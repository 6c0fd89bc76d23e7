package room_test

import (
	"math"
	"math/rand/v2"
	"testing"
)

// The tracer itself, against closed forms.

// E = I cosθ/d² (IES definition 9.1.2) for a point of 926.1 cd on its axis, as in
// TestInverseSquareAndCosine, but for what bins of 5 nm round off: without reflection every path is alike.
func TestTracerInverseSquare(t *testing.T) {
	rg := hang(t, "units:\n  - {unit: a, type: spot, address: 1, at: [0 m, -5 m, 2 m], aim: [0 m, 0 m, 2 m]}\n", spot(t, "spot", "1000 lm", "60°"))
	tr := newTracer(read(t, black+"size: [20 m, 20 m, 4 m]\nstage front: 10 m\n"), rg, full(rg))
	rng := rand.New(rand.NewPCG(16, 1))
	for _, d := range []float64{.5, 1, 2, 5} {
		mean, err := tr.mean(rng, &spotOf{corner: tv{0, d - 5, 2}, n: tv{0, -1, 0}}, []spectrum{luminous()}, .01, 1000)
		near(t, "on the axis", mean[0], 926.1/(d*d), 2e-3)
		if err[0] > 1e-6*mean[0] {
			t.Errorf("%v m away: error %v of %v without any chance in it", d, err[0], mean[0])
		}
	}
}

// A closed room of one reflectance holds E = Φ/(A(1-ρ)) on the mean over its faces (the
// integrating sphere's formula), whatever its shape.
func TestTracerEnclosure(t *testing.T) {
	rg := hang(t, "units:\n  - {unit: a, type: spot, address: 1, at: [1 m, -2 m, 2 m], aim: [-1 m, 2 m, 0.4 m]}\n", spot(t, "spot", "1000 lm", "120°"))
	for _, rho := range []string{"0 %", "50 %", "80 %"} {
		r := read(t, "size: [6 m, 9 m, 3 m]\nstage front: 5 m\nmaterials: {all: {reflects: "+rho+"}}\nwalls: all\nfloor: all\nceiling: all\n")
		tr := newTracer(r, rg, full(rg))
		rng := rand.New(rand.NewPCG(16, 2))
		sum, area, variance := 0.0, 0.0, 0.0
		for i := range tr.quads {
			q := &tr.quads[i]
			a := math.Sqrt(q.uu * q.vv)
			mean, err := tr.mean(rng, &spotOf{q.corner, q.u, q.v, q.n}, []spectrum{luminous()}, .005, 40000)
			sum, area, variance = sum+a*mean[0], area+a, variance+a*a*err[0]*err[0]
		}
		want := 1000 / (area * (1 - float64(*r.Materials.Get("all").Reflects)))
		off := math.Sqrt(variance) / area
		t.Logf("%s: %.3f lx ± %.3f, want %.3f", rho, sum/area, off, want)
		if math.Abs(sum/area-want) > 4*off+.001*want || off > .01*want {
			t.Errorf("%s: %.4f lx ± %.4f, want %.4f", rho, sum/area, off, want)
		}
	}
}

// View factors of a cube: 0.1998 to the face across, 0.2000 to each beside (Incropera table
// 13.2; Howell C-11 and C-14).
func TestTracerViewFactors(t *testing.T) {
	rg := hang(t, "units:\n  - {unit: a, type: spot, address: 1, at: [0 m, 0 m, 1 m], aim: [0 m, 0.5 m, 1 m]}\n", spot(t, "spot", "1 lm", "60°"))
	tr := newTracer(read(t, "size: [2 m, 2 m, 2 m]\nstage front: 1 m\n"), rg, full(rg))
	rng := rand.New(rand.NewPCG(16, 3))
	const n = 400000
	for from := range tr.quads {
		var seen [6]float64
		s := spotOf{tr.quads[from].corner, tr.quads[from].u, tr.quads[from].v, tr.quads[from].n}
		for range n / 6 {
			p, _ := tr.draw(rng, &s)
			_, to := tr.first(p.add(s.n, clearance), toward(rng, s.n))
			seen[to] += 6. / n
		}
		for to, f := range seen {
			want := map[bool]float64{true: .19982, false: .20004}[from/2 == to/2]
			if from == to {
				want = 0
			}
			if off := 4 * math.Sqrt(.16*6/n); math.Abs(f-want) > off {
				t.Errorf("from %d to %d: %v, want %v ± %v", from, to, f, want, off)
			}
		}
	}
}

// Fluorescence: what a painted card sends out under black light, lumens by the paint's own
// excitation and shape, arrives on the black faces of the room, all of it.
func TestTracerGlow(t *testing.T) {
	rg := hang(t, "units:\n  - {unit: uv, type: bl, address: 1, at: [0 m, 0 m, 1 m], aim: [0 m, 0.9 m, 1 m]}\n", kind(t, "bl", blackLight))
	r := read(t, black+"size: [2 m, 2 m, 2 m]\nstage front: 1 m\nobjects:\n  card: {paint: "+anyPaint()+", centre: [0 m, 0.9 m, 1 m], width: 1 m, height: 1 m, faces: [0 m, -1 m, 0 m]}\n")
	tr := newTracer(r, rg, full(rg))
	rng := rand.New(rand.NewPCG(16, 4))
	card := &tr.quads[6]
	c := &tr.coats[card.coat]
	visible := luminous()
	sends := make([]spectrum, 1)
	for in := range c.glows {
		for b, v := range visible {
			sends[0][in] += c.glows[in][b] * v
		}
		sends[0][in] += c.reflects[in] * visible[in]
	}
	sent, _ := tr.mean(rng, &spotOf{card.corner, card.u, card.v, card.n}, sends, .001, 100000)
	arrives, variance := 0.0, 0.0
	for i := range tr.quads[:6] {
		q := &tr.quads[i]
		area := math.Sqrt(q.uu * q.vv)
		mean, err := tr.mean(rng, &spotOf{q.corner, q.u, q.v, q.n}, []spectrum{visible}, .003, 200000)
		arrives, variance = arrives+area*mean[0], variance+area*area*err[0]*err[0]
	}
	straight := 0.0 // lumens of the lamp itself that pass the card
	for i := range tr.quads[:6] {
		q := &tr.quads[i]
		sum := 0.0
		for range 20000 {
			one := []float64{0}
			p, _ := tr.draw(rng, &spotOf{q.corner, q.u, q.v, q.n})
			tr.direct(rng, p.add(q.n, clearance), q.n, []spectrum{visible}, one)
			sum += one[0] / 20000
		}
		straight += math.Sqrt(q.uu*q.vv) * sum
	}
	t.Logf("%.2f lm sent, %.2f ± %.2f arrive beside %.3f of the lamp's own", sent[0], arrives-straight, math.Sqrt(variance), straight)
	if off := 4*math.Sqrt(variance) + .003*sent[0]; math.Abs(arrives-straight-sent[0]) > off || sent[0] < 10 {
		t.Errorf("%.3f lm sent, %.3f arrive, may be %.3f off", sent[0], arrives-straight, off)
	}
}
