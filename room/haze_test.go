package room

import (
	"math"
	"strings"
	"testing"
)

// simpson integrates f from 0 to v.
func simpson(v float64, f func(float64) float64) float64 {
	const n = 2000
	sum := f(0) + f(v)
	for i := 1; i < n; i++ {
		sum += float64(2+2*(i%2)) * f(v*float64(i)/n)
	}
	return sum * v / n / 3
}

// The airlight of a point source in an even medium that scatters alike to all sides, against the form of B. Sun,
// R. Ramamoorthi, S. Narasimhan and S. Nayar (A practical analytic single scattering model for real time
// rendering, 2005, from memory): with T optical depths from the eye to the source (sv) and to the end of the
// line (vp), γ the angle between,
//
//	L = σ² I exp(-Tsv cos γ) / (2π Tsv sin γ) · (F(a, π/4 + atan((Tvp - Tsv cos γ)/(Tsv sin γ))/2) - F(a, γ/2)),
//	a = Tsv sin γ,  F(u, v) = ∫ exp(-u tan ξ) dξ from 0 to v.
func TestAirlightOfAPoint(t *testing.T) {
	for _, c := range []struct{ sigma, source, angle, far float64 }{
		{.01, 8, .3, 10}, {.05, 8, .3, 10}, {.05, 3, 1.2, 20}, {.2, 5, 1.9, 6}, {.1, 4, .8, 2},
	} {
		l := sight{vec{}, vec{0, 1, 0}, c.far}
		got := l.glare(c.sigma, 0, vec{c.source * math.Sin(c.angle), c.source * math.Cos(c.angle), 0}, func(vec) float64 { return 1 })
		sv, vp := c.sigma*c.source, c.sigma*c.far
		a := sv * math.Sin(c.angle)
		big := func(v float64) float64 {
			return simpson(v, func(x float64) float64 { return math.Exp(-a * math.Tan(x)) })
		}
		want := c.sigma * c.sigma * math.Exp(-sv*math.Cos(c.angle)) / (2 * math.Pi * a) *
			(big(math.Pi/4+math.Atan((vp-sv*math.Cos(c.angle))/a)/2) - big(c.angle/2))
		if math.Abs(got/want-1) > 1e-3 {
			t.Errorf("%+v: %.6g, want %.6g", c, got, want)
		}
	}
}

// What is scattered leaves somewhere, and its mean cosine is g (Henyey and Greenstein's own definition).
func TestPhase(t *testing.T) {
	for _, g := range []float64{0, .5, forward} {
		all := simpson(2, func(x float64) float64 { return 2 * math.Pi * phase(g, x-1) })
		mean := simpson(2, func(x float64) float64 { return 2 * math.Pi * phase(g, x-1) * (x - 1) })
		if math.Abs(all-1) > 1e-4 || math.Abs(mean-g) > 1e-4 {
			t.Errorf("g %v: %v in all, mean cosine %v", g, all, mean)
		}
	}
}

// Bad haze is told with its place.
func TestBadHaze(t *testing.T) {
	for haze, want := range map[string]string{
		"{leaves: 0 %, over: 8 m}":    "room.yaml:3:7: haze that leaves 0 % over 8 m",
		"{leaves: 100 %, over: 8 m}":  "some of a beam and not all",
		"{leaves: 90 %, over: -1 m}":  "over -1 m",
		"{leaves: 10 %, over: 8 m}":   "this is no thin haze: it leaves 1.7 % over the length of the room",
		"{leaves: .nan %, over: 8 m}": "room.yaml:3:",
	} {
		r, faults := Read("room.yaml", []byte("size: [8 m, 10 m, 6 m]\nstage front: 5 m\nhaze: "+haze+"\n"))
		if got := faults.Error(); !strings.Contains(got, want) || r.Extinction() != 0 {
			t.Errorf("%s: %s, want %s", haze, got, want)
		}
	}
}
