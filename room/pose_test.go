package room_test

import (
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"testing"

	"lampblack/room"
	"lampblack/si"
)

// somewhere is a pose of the fish of theHall before the backdrop.
func somewhere(rng *rand.Rand) room.Pose {
	at := func(low, high float64) si.Length { return si.Length(low + rng.Float64()*(high-low)) }
	turn := (rng.Float64() - .5) * math.Pi / 2
	return room.Pose{At: room.Point{at(-2.5, 2.5), at(1.2, 4), at(1.4, 2.8)}, Faces: room.Point{si.Length(math.Sin(turn)), si.Length(-math.Cos(turn)), 0}}
}

// What a loose fish receives at a pose is what a room that is solved with the fish standing
// there, in everybody's light, gives it: the shadow that it does not cast is the whole
// difference. The glow of its paint and the lux on it, each of all lamps at full.
func TestPosedAgainstSolved(t *testing.T) {
	n := 12
	if os.Getenv("LAMPBLACK_LONG") != "" {
		n = 200
	}
	rg := bars(t, 6)
	r := theHall(t)
	r.Loosen([]string{"fish"})
	f := room.Fineness{Patches: 1500, Elements: 300}
	loose := solve(t, r, rg, f)
	levels := full(rg)
	rng := rand.New(rand.NewPCG(20260314, 2))
	var off []float64
	for range n {
		pose := somewhere(rng)
		got := loose.With(loose.Posed("fish", pose))
		still := theHall(t)
		o := still.Objects.Get("fish")
		o.Centre, o.Faces = pose.At, pose.Faces
		want := solve(t, still, rg, f)
		for _, one := range [][2]float64{
			{float64(got.Lux("fish", levels)), float64(want.Lux("fish", levels))},
			{glowOf(t, got, levels), glowOf(t, want, levels)},
		} {
			off = append(off, math.Abs(one[0]/one[1]-1))
		}
	}
	slices.Sort(off)
	t.Logf("%d poses: median %.2f %%, 95th percentile %.2f %%, worst %.2f %%", n, 100*off[len(off)/2], 100*off[len(off)*95/100], 100*off[len(off)-1])
	if p := off[len(off)*95/100]; p > .05 {
		t.Errorf("the 95th percentile is off by %.2f %%", 100*p)
	}
}

func glowOf(t *testing.T, tr *room.Transport, levels []float32) float64 {
	g, ok := tr.Glow("fish", levels)
	if !ok {
		t.Fatal("no fish")
	}
	return g.Own.Y
}

// Half-way between two poses that lie near each other is what lies between.
func TestBetweenPoses(t *testing.T) {
	rg := bars(t, 6)
	r := theHall(t)
	r.Loosen([]string{"fish"})
	tr := solve(t, r, rg, room.Fineness{Patches: 1500, Elements: 300})
	levels := full(rg)
	a := room.Pose{At: room.Point{-1, 2, 2}, Faces: room.Point{0, -1, 0}}
	b := room.Pose{At: room.Point{-.9, 2, 2}, Faces: room.Point{0, -1, 0}}
	half := room.Pose{At: room.Point{-.95, 2, 2}, Faces: room.Point{0, -1, 0}}
	pa, pb, ph := tr.Posed("fish", a), tr.Posed("fish", b), tr.Posed("fish", half)
	if off := tr.Off(pa, ph, pb); off > .02 {
		t.Errorf("straight lines are off by %.2f %%", 100*off)
	}
	got, want := tr.With(room.Between(pa, pb, .5, half)), tr.With(ph)
	near(t, "glow half-way", glowOf(t, got, levels), glowOf(t, want, levels), .02)
	for i := range got.Panels {
		if got.Panels[i].Corner != want.Panels[i].Corner {
			t.Errorf("panel %d is at %v, want %v", i, got.Panels[i].Corner, want.Panels[i].Corner)
		}
	}
	if tr.Panels[0].Corner != got.Panels[0].Corner || tr.Find("fish") == nil {
		t.Error("the room has changed")
	}
}

// At home a loose thing receives what it does in the room as solved, and a performer sees what
// they do there.
func TestPosedAtHome(t *testing.T) {
	rg := bars(t, 6)
	r := theHall(t)
	r.Loosen([]string{"boat"})
	tr := solve(t, r, rg, room.Fineness{Patches: 1500, Elements: 300})
	levels := full(rg)
	for _, name := range []string{"boat", "performer 2"} {
		home, ok := r.Home(name)
		if !ok {
			t.Fatalf("no %s", name)
		}
		moved := tr.With(tr.Posed(name, home))
		near(t, "lux at home of "+name, float64(moved.Lux(name, levels)), float64(tr.Lux(name, levels)), 2e-3)
		for e := range tr.Eyes {
			near(t, "most light at eyes", float64(moved.MostUVA(e, levels).Best), float64(tr.MostUVA(e, levels).Best), 2e-3)
		}
		if len(moved.Views) != len(tr.Views) {
			t.Errorf("%d lenses in view, at home %d", len(moved.Views), len(tr.Views))
		}
	}
}

// Under black light alone a white card beside a large glowing one is lit by that one's glow, at a
// pose as in the room that is solved with it standing there.
func TestPosedInGlow(t *testing.T) {
	const text = black + `size: [4 m, 4 m, 3 m]
stage front: 2 m
objects:
  card: {paint: white paint, centre: [0.6 m, 1 m, 1.5 m], width: 0.4 m, height: 0.4 m, faces: [-1 m, 0 m, 0 m]}
  sun: {paint: fluorescent yellow-green, centre: [0 m, 1.5 m, 1.5 m], width: 1 m, height: 1 m, faces: [0 m, -1 m, 0 m]}
`
	rg := hang(t, "units:\n  - {unit: uv, type: bl, address: 1, at: [0 m, -1 m, 1.5 m], aim: [0 m, 1.5 m, 1.5 m]}\n", kind(t, "bl", `
name: black light
beam: {half: 40°}
emitters:
  uv: {peak: 365 nm, width: 10 nm, output: 3 W}
modes:
  one: {1: {drives: uv}}
`))
	levels := full(rg)
	still := read(t, text)
	want := solve(t, still, rg, room.Fineness{Patches: 800, Elements: 200}).Lux("card", levels)
	r := read(t, text)
	r.Loosen([]string{"card"})
	tr := solve(t, r, rg, room.Fineness{Patches: 800, Elements: 200})
	home, _ := r.Home("card")
	if got := tr.With(tr.Posed("card", home)).Lux("card", levels); want < .01 || math.Abs(float64(got/want)-1) > .05 {
		t.Errorf("the glow gives the card %v, in the room solved with it %v", got, want)
	}
}

// Nearer to a lamp a performer's eyes take more.
func TestPosedEyes(t *testing.T) {
	rg := bars(t, 6)
	r := theHall(t)
	tr := solve(t, r, rg, room.Fineness{Patches: 1500, Elements: 300})
	levels := full(rg)
	home, _ := r.Home("performer 2")
	near := home
	near.At[2] += 1
	far := home
	far.At[2] -= .6
	e := slices.IndexFunc(tr.Eyes, func(p int) bool { return tr.Places[p].Name == "performer 2" })
	high := tr.With(tr.Posed("performer 2", near)).MostUVA(e, levels).Best
	low := tr.With(tr.Posed("performer 2", far)).MostUVA(e, levels).Best
	if high <= low {
		t.Errorf("a metre and a half nearer to the lamps: %v, below: %v", high, low)
	}
}

func BenchmarkPosed(b *testing.B) {
	rg, r := bars(b, 12), theHall(b)
	r.Loosen([]string{"fish"})
	tr := solve(b, r, rg, room.Usual)
	home, _ := r.Home("fish")
	man, _ := r.Home("performer 1")
	p, q := tr.Posed("fish", home), tr.Posed("fish", home)
	b.Run("object", func(b *testing.B) {
		for b.Loop() {
			tr.Posed("fish", home)
		}
	})
	b.Run("eyes", func(b *testing.B) {
		for b.Loop() {
			tr.Posed("performer 1", man)
		}
	})
	b.Run("between", func(b *testing.B) {
		for b.Loop() {
			tr.With(room.Between(p, q, .5, home))
		}
	})
}
