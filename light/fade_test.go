package light

import (
	"math"
	"math/rand/v2"
	"testing"
)

func randomDrives(r *rand.Rand, n int) []float64 {
	d := make([]float64, n)
	for i := range d {
		d[i] = r.Float64() * float64(r.IntN(2)+r.IntN(2)) / 2
	}
	return d
}

// Both ways begin and end where they should, stay between 0 and 1, and stay on
// the line between the two chromaticities in u'v'.
func TestFadeStaysOnItsLine(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 8))
	for range 500 {
		emitters := randomEmitters(r, 8)
		m := mixer(t, emitters, nil)
		a, b := randomDrives(r, m.n), randomDrives(r, m.n)
		for _, way := range []Way{Straight, Even} {
			f := m.NewFade(a, b, way)
			dst := make([]float64, m.n)
			for i, v := range f.At(dst, 0) {
				if f.a.Y > 0 {
					near(t, "start", v, a[i], 1e-9)
				}
			}
			for i, v := range f.At(dst, 1) {
				if f.b.Y > 0 {
					near(t, "end", v, b[i], 1e-9)
				}
			}
			for k := range 21 {
				got := m.Colour(f.At(dst, float64(k)/20))
				if d := offLine(f.a.UV(), f.b.UV(), got.UV()); f.a.Y > 0 && f.b.Y > 0 && math.Abs(d) > 1e-6 {
					t.Fatalf("emitters %v, %v to %v: off the line by %v", emitters, a, b, d)
				}
			}
		}
	}
}

// At 400 moments no drive moves further than a path of bounded slope could:
// there are no jumps, and an Even fade spends its CIEDE2000 evenly.
func TestFadeIsSmoothAndEven(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 9))
	for i := range 300 {
		emitters := randomEmitters(r, 8)
		m := mixer(t, emitters, nil)
		a, b := randomDrives(r, m.n), randomDrives(r, m.n)
		for _, way := range []Way{Straight, Even} {
			f := m.NewFade(a, b, way)
			before, now := f.At(make([]float64, m.n), 0), make([]float64, m.n)
			for k := 1; k <= 400; k++ {
				f.At(now, float64(k)/400)
				for e := range now {
					if d := math.Abs(now[e] - before[e]); d > .05 {
						t.Fatalf("case %d way %d: drive %d moves by %.3f in 1/400 of a fade from %v to %v", i, way, e, d, a, b)
					}
				}
				copy(before, now)
			}
		}
		even := m.NewFade(a, b, Even)
		least, most := paceBounds(even)
		if even.Length() > 20 && most > 1.6*least+.2 {
			t.Errorf("case %d: twentieths of the fade between %v and %v differ from %.2f to %.2f", i, a, b, least, most)
		}
	}
}

func paceBounds(f *Fade) (least, most float64) {
	white := WhiteD65.XYZ(max(f.a.Y, f.b.Y))
	least = math.Inf(1)
	for k := range 20 {
		sum := 0.0
		for i := range 16 {
			at := (float64(k) + float64(i)/16) / 20
			sum += DeltaE2000(f.Colour(at).Lab(white), f.Colour(at+1./320).Lab(white))
		}
		least, most = min(least, sum), max(most, sum)
	}
	return least, most
}

// Straight light fades look fast at first: half way to white from black is
// L* 76. Even ones are at L* 50 (CIELAB: 18.4 % of the light).
func TestFadeFromBlack(t *testing.T) {
	m := mixer(t, exampleEmitters(t), nil)
	white := make([]float64, 4)
	m.Mix(white, WhiteD65.XYZ(1), Brightest)
	black := make([]float64, 4)
	straight, even := m.NewFade(black, white, Straight), m.NewFade(black, white, Even)
	near(t, "straight", Lightness(straight.Colour(.5).Y/straight.b.Y), 76.07, .01)
	// CIEDE2000 is a little finer than L* in the middle greys.
	near(t, "even", Lightness(even.Colour(.5).Y/even.b.Y), 50, 3)
	if len(even.Knots(9)) != 9 || even.Knots(9)[8][1] != white[1] {
		t.Error("knots do not end on the end")
	}
}

func TestFadeDoesNotAllocate(t *testing.T) {
	m := mixer(t, exampleEmitters(t), nil)
	f := m.NewFade([]float64{1, 0, 0, 0}, []float64{0, 0, 1, .2}, Even)
	dst := make([]float64, 4)
	if n := testing.AllocsPerRun(100, func() { f.At(dst, .37) }); n != 0 {
		t.Errorf("%v allocations", n)
	}
}

func BenchmarkFadeAt(b *testing.B) {
	m := mixer(b, exampleEmitters(b), nil)
	f := m.NewFade([]float64{1, 0, 0, 0}, []float64{0, 0, 1, .2}, Even)
	dst := make([]float64, 4)
	b.ReportAllocs()
	for b.Loop() {
		f.At(dst, .37)
	}
}

// A stored path goes one way in every drive, ends where it should, and stays
// near the even path in colour: within 10 CIEDE2000 in nine cases of ten.
func TestKnotsGoOneWay(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 10))
	far := 0
	const cases = 1000 // the 600th would turn back if nothing were done about it
	for i := range cases {
		m := mixer(t, randomEmitters(r, 8), nil)
		a, b := randomDrives(r, m.n), randomDrives(r, m.n)
		for e := range b {
			if r.IntN(4) == 0 {
				b[e] = a[e]
			}
		}
		f := m.NewFade(a, b, Even)
		knots := f.Knots(17)
		white := WhiteD65.XYZ(max(f.a.Y, f.b.Y, 1e-9))
		worst := 0.0
		for k, drives := range knots {
			worst = max(worst, DeltaE2000(m.Colour(drives).Lab(white), f.Colour(float64(k)/16).Lab(white)))
			for e, v := range drives {
				if k == 0 && v != a[e] || k == 16 && v != b[e] {
					t.Fatalf("case %d: knot %d of drive %d is %v, from %v to %v", i, k, e, v, a[e], b[e])
				}
				if k > 0 && (v-knots[k-1][e])*(b[e]-a[e]) < 0 || a[e] == b[e] && v != a[e] {
					t.Fatalf("case %d: drive %d turns back at knot %d, from %v to %v", i, e, k, a[e], b[e])
				}
			}
		}
		if worst > 10 {
			far++
		}
	}
	t.Logf("%d of %d stray from the even path by more than 10", far, cases)
	if far > cases/10 {
		t.Errorf("%d of %d stray from the even path by more than 10", far, cases)
	}
}
