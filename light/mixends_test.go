package light

import (
	"math"
	"math/rand/v2"
	"testing"
)

// As many emitters as there may be are mixed like fewer: each is the twin of
// another, so that half of them, at twice the light, come to the same.
func TestMixOfTheMostEmitters(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 6))
	var many, few []XYZ
	for range MaxEmitters / 2 {
		c := ledColours[r.IntN(len(ledColours))]
		many, few = append(many, c, c), append(few, c.Times(2))
	}
	m, f := mixer(t, many, nil), mixer(t, few, nil)
	white := m.white
	near(t, "white", white, f.white, 1e-9*white)
	for _, target := range []XYZ{WhiteD65.XYZ(white / 4), WhiteD65.XYZ(2 * white), XY{.1, .8}.XYZ(white / 10), XY{.7, .3}.XYZ(white)} {
		for _, goal := range []Goal{Brightest, Exact, Hue} {
			drives, half := make([]float64, m.n), make([]float64, f.n)
			a, b := m.Mix(drives, target, goal), f.Mix(half, target, goal)
			if d := DeltaE2000(a.Colour.Lab(WhiteD65.XYZ(white)), b.Colour.Lab(WhiteD65.XYZ(white))); d > .1 || math.Abs(a.Miss-b.Miss) > .1 {
				t.Errorf("goal %d, target %v: %v, and of half as many emitters %v", goal, target, a, b)
			}
			for i := range half {
				if math.Abs(drives[2*i]-drives[2*i+1]) > 1e-6 {
					t.Errorf("goal %d, target %v: twins are driven at %v and %v", goal, target, drives[2*i], drives[2*i+1])
				}
			}
		}
	}
	if _, err := NewMixer(append(many, many[0]), nil); err == nil {
		t.Error("one emitter more passed")
	}
}

// A colour that can be had, but not so bright: no drives of a grid come nearer
// by CIEDE2000, and Hue keeps its hue where Exact goes paler.
func TestExactMixOfTooBright(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 7))
	for range 10 {
		emitters := []XYZ{ledColours[r.IntN(20)], ledColours[30+r.IntN(20)], ledColours[60+r.IntN(20)]}
		m := mixer(t, emitters, nil)
		part := make([]float64, 3)
		for k := range part {
			part[k] = r.Float64()
		}
		target := m.Colour(part)
		target = target.Times(1.5 * m.Most(target.UV()) / target.Y)
		drives := make([]float64, 3)
		got := m.Mix(drives, target, Exact)
		if best := gridNearest(m, target, 40); got.Miss > best+.1 {
			t.Errorf("emitters %v, target %v: misses by %v, the grid by %v", emitters, target, got.Miss, best)
		}
		near(t, "said and had", got.Miss, difference(got.Colour, target), 1e-9)
		hue := m.Mix(drives, target, Hue)
		if off := hue.Colour.UV().Distance(target.UV()); off > 5e-4 || hue.Miss < got.Miss-1e-6 {
			t.Errorf("emitters %v, target %v: the hue is off by %v, the miss %v and %v", emitters, target, off, hue.Miss, got.Miss)
		}
		near(t, "headroom", hue.Colour.Y, .98*target.Y/1.5, 1e-4*target.Y)
	}
}

// Two emitters reach a line only, which can be searched through: what is taken
// is as far from the target as the nearest in u'v' or, where that looks farther,
// a third and a half more than what looks nearest (see Gamut.Nearest).
func TestNearestOnALine(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 8))
	bound, early := 0, 0
	for range 200 {
		a, b := ledColours[r.IntN(len(ledColours))].UV(), ledColours[r.IntN(len(ledColours))].UV()
		g := GamutOf([]UV{a, b})
		c := randomChromaticity(r).UV()
		const y, white, steps = .2, 1, 20000
		least, closest, foot := math.Inf(1), math.Inf(1), UV{}
		for k := range steps + 1 {
			p := UV{a.U + float64(k)/steps*(b.U-a.U), a.V + float64(k)/steps*(b.V-a.V)}
			if d := p.Distance(c); d < closest {
				closest, foot = d, p
			}
			if k%10 == 0 {
				least = min(least, apart(p, c, y, white))
			}
		}
		if closest < 1e-3 {
			continue
		}
		got, miss := g.Nearest(c, y, white)
		near(t, "said and had", miss, apart(got, c, y, white), 1e-9)
		want := apart(foot, c, y, white)
		if most := 1.3*least + .5; want > most {
			bound++
			want = most
		}
		switch {
		case miss > 1.01*want+.01:
			t.Errorf("from %v to %v, %v: misses by %v, want %v (the least is %v)", a, b, c, miss, want, least)
		case miss < .99*want-.01:
			early++
		}
		// On the line, and no farther out than what was searched.
		if off := g.closest(got).Distance(got); off > same {
			t.Errorf("from %v to %v: %v lies %v beside", a, b, got, off)
		}
	}
	// Where the way is no steady one, it may end early, at what looks nearer.
	if bound < 20 || early > 8 {
		t.Errorf("%d of 200 were bound, %d ended early", bound, early)
	}
}
