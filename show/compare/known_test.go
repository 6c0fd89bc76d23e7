package compare_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
	"testing/fstest"

	"lampblack/check/checktest"
	"lampblack/room"
	"lampblack/show"
	"lampblack/show/compare"
)

// A booth whose lamps all hang in one place and point one way, so that each gives the same share of
// the light, whatever the room does with it.
const (
	boothRoom = `
size: [4 m, 5 m, 3 m]
stage front: 2 m
surfaces:
  backdrop: {material: black cloth, centre: [0 m, 2.5 m, 1.5 m], width: 3 m, height: 2 m, faces: [0 m, -1 m, 0 m]}
  border: {material: black cloth, centre: [0 m, 2.4 m, 2.7 m], width: 3 m, height: 40 cm, faces: [0 m, -1 m, 0 m]}
audience:
  - {name: eye, at: [0 m, -1.5 m, 1.2 m], looks at: [0 m, 2 m, 1 m]}
`
	lampType = `
name: lamp
beam: {half: 40°}
emitters:
  white: {like: phosphor 4000 K, output: %g lm}
modes:
  one slot: {1: {drives: white}}
`
)

// Counting goes for any room: one of few patches is enough.
func TestMain(m *testing.M) {
	room.Usual = room.Fineness{Patches: 150, Elements: 40}
	m.Run()
}

// booth is a show of n lamps, the first of another output; out are units that are out.
func booth(t testing.TB, n int, first float64, level, lux float64, hall string, out ...string) *show.Show {
	t.Helper()
	rig := "units:\n"
	for i := range n {
		kind := "lamp"
		if i == 0 {
			kind = "other"
		}
		rig += fmt.Sprintf("  - {unit: par %d, type: %s, address: %d, at: [0 m, -1 m, 2.5 m], aim: [0 m, 2.5 m, 1.5 m], systems: front}\n", i+1, kind, i+1)
	}
	dir := fstest.MapFS{}
	for name, text := range map[string]string{
		"room.yaml": hall, "rig.yaml": rig, "fixtures/lamp.yaml": fmt.Sprintf(lampType, 300.), "fixtures/other.yaml": fmt.Sprintf(lampType, 300*first),
		"score.yaml": fmt.Sprintf("looks:\n  wash: {system: front, emitters: {white: %g %%}}\n  asked: {system: front, lux: %g, on: backdrop}\n"+
			"cues:\n  - {cue: 1, at: 0:00, look: wash}\n  - {cue: 2, at: 0:10, look: asked}\n", 100*level, lux),
	} {
		dir[name] = &fstest.MapFile{Data: []byte(text)}
	}
	f, faults := show.Read(dir)
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	f.Out = out
	s, faults := show.New(t.Context(), f, nil)
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	return s
}

// Twenty changes of one lamp among equals, whose loss is a matter of counting: a lamp that dies, and
// whose likes take over what they can, or another of a share of its light. What is told is what
// counting says, within 0.5 %.
func TestKnownLosses(t *testing.T) {
	r := rand.New(rand.NewPCG(17, 8))
	worst := 0.
	for k := range 20 {
		n := 2 + r.IntN(6)
		level, asks := .3+.7*r.Float64(), .5+.5*r.Float64()
		full := float64(booth(t, n, 1, 1, 1, boothRoom).Transport.Lux("backdrop", ones(n)))
		before := booth(t, n, 1, level, asks*full, boothRoom)
		share, after := 0., (*show.Show)(nil)
		wantWash := 0.
		if k%2 == 0 {
			after = booth(t, n, 1, level, asks*full, boothRoom, "par 1")
			wantWash = float64(n-1) / float64(n) * min(float64(n)/float64(n-1), 1/level)
		} else {
			share = .1 + .8*r.Float64()
			after = booth(t, n, share, level, asks*full, boothRoom)
			wantWash = (float64(n-1) + share) / float64(n)
		}
		wantAsked := min(1, (float64(n-1)+share)/float64(n)/asks)
		name := fmt.Sprintf("%d lamps, one with %.0f %% left, at %.0f %%, %.0f %% of full asked", n, 100*share, 100*level, 100*asks)
		looks := compare.Shows(before, after)
		if len(looks) != 2 || len(looks[1].Wishes) != 1 {
			t.Fatalf("%s: %+v", name, looks)
		}
		wash, w := &looks[0], &looks[1].Wishes[0]
		worst = max(worst, math.Abs(wash.General/wantWash-1), math.Abs(w.After.Found/w.Wanted/wantAsked-1))
		checktest.Within(t, name+": wash", wash.General, wantWash, .005)
		checktest.Within(t, name+": lux", w.After.Found/w.Wanted, wantAsked, .005)
		told(t, name, wash, wantWash < .95)
		told(t, name, &looks[1], wantAsked < .95)
	}
	t.Logf("20 changes: at most %.2f %% beside what counting says", 100*worst)
}

func ones(n int) []float32 {
	out := make([]float32, n)
	for i := range out {
		out[i] = 1
	}
	return out
}

// told checks that a loss has words where there is one, and none where there is not.
func told(t *testing.T, name string, l *compare.Look, lost bool) {
	t.Helper()
	lines := l.Lines()
	if lost != (len(lines) > 0) || lost && lines[0].Kind != compare.Lost {
		t.Errorf("%s, look %s: it says %+v", name, l.Name, lines)
	}
}

// A show held against itself differs in nothing.
func TestSame(t *testing.T) {
	s := booth(t, 4, 1, .5, 100, boothRoom)
	for _, l := range compare.Shows(s, s) {
		kept, asked := l.Kept()
		if lines := l.Lines(); len(lines) > 0 || kept != asked || len(l.Light) > 0 && math.Abs(l.General-1) > 1e-9 {
			t.Errorf("look %s: %+v, %d of %d kept", l.Name, lines, kept, asked)
		}
	}
}
