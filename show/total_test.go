package show

import (
	"context"
	"fmt"
	"maps"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"lampblack/rig"
	"lampblack/room"
	"lampblack/score"
	"lampblack/source"
)

// stages are rigs in rooms that random looks are solved on: the usual, and what
// is as odd as the readers let through.
func stages(t testing.TB) []*Show {
	oddTypes := map[string]string{
		"faint":  "name: faint\nbeam: {half: 30°}\nemitters: {green: {peak: 520 nm, width: 30 nm, output: 1e-200 W}, uv: {peak: 365 nm, width: 12 nm, output: 0 W}}\nmodes: {two: {1: {drives: green}, 2: {drives: uv}}}\n",
		"fierce": "name: fierce\nbeam: {half: 1°}\nemitters: {white: {like: phosphor 6500 K, output: 9e5 lm}, uv: {peak: 365 nm, width: 12 nm, output: 2000 W ± 99 %}}\nmodes: {two: {1: {drives: white}, 2: {drives: uv}}}\n",
		"same":   "name: same\nbeam: {half: 60°}\nemitters: {a: {peak: 600 nm, width: 20 nm, output: 1 W}, b: {peak: 600 nm, width: 20 nm, output: 1 W}}\nmodes: {two: {1: {drives: a}, 2: {drives: b}}}\n",
	}
	oddRig := `
units:
  - {unit: faint, type: faint, address: 1, at: [0 m, 0 m, 3 m], aim: [0 m, 4 m, 1 m], systems: [top, uv]}
  - {unit: fierce, type: fierce, address: 11, at: [0 m, 4.4 m, 1.75 m], aim: [0 m, 4.5 m, 1.75 m], systems: [top, uv, front]}
  - {unit: same 1, type: same, address: 21, at: [1 m, 1 m, 3 m], aim: [0 m, 4 m, 1 m], systems: front}
  - {unit: same 2, type: same, address: 31, at: [1 m, 1 m, 3 m], aim: [0 m, 4 m, 1 m], systems: front}
  - {unit: away, type: same, address: 41, at: [1 m, 1 m, 3 m], aim: [1 m, 1 m, 900 m], systems: [top, away]}
`
	covered := strings.Replace(hallRoom(), "audience:", "boxes:\n  crate: {material: grey paint, centre: [0 m, 4.5 m, 1.7 m], size: [6.4 m, 0.4 m, 3.4 m]}\naudience:", 1)
	var out []*Show
	for _, c := range []struct{ rig, room string }{
		{hallRig, hallRoom()}, {gymRig, gymRoom()}, {hallRig, covered}, {oddRig, hallRoom()},
		{oddRig, strings.ReplaceAll(hallRoom(), "cream plaster", "black velvet")},
		{hallRig, strings.Replace(hallRoom(), brightPaint(), "white paint", 1)},
		{"units: []\n", hallRoom()},
	} {
		var types source.Named[*rig.Type]
		for _, texts := range []map[string]string{goalTypes, oddTypes} {
			for _, id := range slices.Sorted(maps.Keys(texts)) {
				k, faults := rig.ReadType(id, id+".yaml", []byte(texts[id]))
				if faults.Err() != nil {
					t.Fatal(faults)
				}
				types = append(types, source.Entry[*rig.Type]{Name: id, Value: k})
			}
		}
		s := &Show{}
		var faults source.Faults
		if s.Rig, faults = rig.Read("rig.yaml", []byte(c.rig), types); faults.Err() != nil {
			t.Fatal(faults)
		}
		// What is in the crate is told, and solved all the same.
		if s.Room, faults = room.Read("room.yaml", []byte(c.room)); faults.Err() != nil && c.room != covered {
			t.Fatal(faults)
		}
		s.Transport, _ = s.Room.SolveAt(context.Background(), s.Rig, room.Fineness{Patches: 200, Elements: 60})
		s.universes = s.Rig.Universes()
		s.encoder = rig.NewEncoder(s.Rig, s.universes)
		out = append(out, s)
	}
	return out
}

// on solves a score on a stage.
func on(stage *Show, text string) (*Show, source.Faults) {
	s := &Show{Rig: stage.Rig, Room: stage.Room, Transport: stage.Transport, universes: stage.universes, encoder: stage.encoder}
	var faults source.Faults
	s.Score, faults = score.Read("score.yaml", []byte(text))
	s.solve(&faults)
	s.place(&faults)
	s.compile()
	return s, faults
}

// randomScore writes looks that override one another in every way, with goals
// from the sensible to the absurd.
func randomScore(r *rand.Rand) string {
	pick := func(of ...string) string { return of[r.IntN(len(of))] }
	amount := func() float64 { return math.Pow(10, -6+11*r.Float64()) }
	system := func() string {
		return pick("system: top", "system: front", "system: uv", "system: uv", "units: [bar 1]", "units: [uv 1, uv 2]", "system: away", "units: [fierce, faint]", "system: nobody")
	}
	where := func() string {
		return pick("backdrop", "fish", "audience wall", "ceiling", "near", "puppeteer", "floor", "nowhere", "crate")
	}
	part := func() string {
		colour := pick("", "", `colour: "#123a7c", `, `colour: "#000000", `, `colour: 603 nm, `, `colour: x 0.31 y 0.33, `, `colour: 2700 K, `)
		switch r.IntN(8) {
		case 0, 1, 2:
			return fmt.Sprintf("{%s, %slux: %s, on: %s}", system(), colour, pick("0", fmt.Sprintf("%.3g", amount()), "8", "120"), where())
		case 3:
			return fmt.Sprintf("{%s, %slevel: %d %%}", system(), colour, r.IntN(101))
		case 4:
			return fmt.Sprintf("{%s, emitters: {%s: %d %%}}", system(), pick("uv", "red", "green", "white"), r.IntN(101))
		case 5:
			return fmt.Sprintf("{%s, cells: [%d], level: 50 %%}", system(), 1+r.IntN(9))
		}
		return fmt.Sprintf("{%s, glow: {object: fish, %s}}", system(), pick("over background: 20", "luminance: 15 cd/m2", "over background: 1", "over background: 10000",
			fmt.Sprintf("over background: %.3g", min(amount(), 1e4)), fmt.Sprintf("luminance: %.3g cd/m2", amount()), fmt.Sprintf("over background: 3, luminance: %.3g cd/m2", amount())))
	}
	var b strings.Builder
	b.WriteString("looks:\n")
	names := []string{}
	for i := range 1 + r.IntN(5) {
		name := fmt.Sprintf("look %d", i)
		fmt.Fprintf(&b, "  %s:\n    fades: %s\n", name, pick("even to the eye", "straight in light"))
		if len(names) > 0 && r.IntN(3) > 0 {
			fmt.Fprintf(&b, "    like: %s\n", names[r.IntN(len(names))])
		}
		if n := r.IntN(5); n > 0 {
			b.WriteString("    parts:\n")
			for range n {
				fmt.Fprintf(&b, "      - %s\n", part())
			}
		}
		if r.IntN(2) == 0 {
			fmt.Fprintf(&b, "    dark: [{on: %s, at most: %s lx}]\n", where(), pick("0", "3", fmt.Sprintf("%.3g", amount())))
		}
		if r.IntN(2) == 0 {
			fmt.Fprintf(&b, "    ultraviolet at eyes: {at most: %s W/m2}\n", pick("0", "0.4", fmt.Sprintf("%.3g", amount()*1e-3)))
		}
		names = append(names, name)
	}
	b.WriteString("cues:\n")
	for i := range 1 + r.IntN(6) {
		fmt.Fprintf(&b, "  - {cue: %d, at: 0:%02d, look: %s, up: %d s, down: %d s%s}\n", i+1, r.IntN(60), names[r.IntN(len(names))], r.IntN(5), r.IntN(5), pick("", "", ", hold: 1 s, returns: 0.5 s"))
	}
	return b.String()
}

// Whatever a look asks for, on any rig in any room, it is solved or a fault
// with its place is told; levels are amounts of light, limits hold, and what is
// missed is said.
func TestEveryLookIsSolved(t *testing.T) {
	runs := 300
	if os.Getenv("LAMPBLACK_LONG") != "" {
		runs = 6000
	}
	all := stages(t)
	looks := 0
	for seed := range runs {
		text := randomScore(rand.New(rand.NewPCG(uint64(seed), 101)))
		var s *Show
		var faults source.Faults
		func() {
			defer func() {
				if p := recover(); p != nil {
					t.Fatalf("seed %d: %v\n%s", seed, p, text)
				}
			}()
			s, faults = on(all[seed%len(all)], text)
		}()
		for _, f := range faults {
			if f.Pos.Line == 0 {
				t.Errorf("seed %d: a fault without a place: %s", seed, f.Text)
			}
		}
		for i := range s.Looks {
			looks++
			solved(t, s, i, fmt.Sprintf("seed %d, %s\n%s", seed, s.Looks[i].Name, text))
		}
		f := s.NewFrame()
		for at := time.Duration(0); at < s.Length+time.Second; at += 700 * time.Millisecond {
			for d, v := range s.At(f, at).Levels {
				if !(v >= 0 && v <= 1) {
					t.Fatalf("seed %d: drive %d is at %v at %v\n%s", seed, d, v, at, text)
				}
			}
		}
	}
	t.Logf("%d scores, %d looks", runs, looks)
}

// solved measures a look anew, by the room's readings and not by the solver's
// rows.
func solved(t *testing.T, s *Show, look int, where string) {
	t.Helper()
	l, asked := &s.Looks[look], &s.Score.Looks[look].Value
	told := func(unit string) bool {
		for _, m := range l.Misses {
			if m.Unit == unit {
				return true
			}
		}
		return false
	}
	for d, v := range l.Levels {
		if !(v >= 0 && v <= 1) {
			t.Fatalf("drive %d is at %v: %s", d, v, where)
		}
	}
	for _, m := range l.Misses {
		if m.Pos.Line == 0 || math.IsNaN(m.Found) || math.IsNaN(m.Wanted) || strings.Contains(m.Text, "NaN") {
			t.Errorf("a miss without place or sense, %+v: %s", m, where)
		}
	}
	// The look's last part has its units to itself: its glow is fluorescence, as
	// much as was asked, or that is told.
	if n := len(asked.Parts); n > 0 && asked.Parts[n-1].Glow != nil {
		glow, ok := s.Transport.Glow("fish", l.Levels)
		g := asked.Parts[n-1].Glow
		if ok && float64(glow.SeenOwn) < .979*g.Over*float64(glow.SeenBehind) && !told("times its background") && !told("cd/m²") {
			t.Errorf("to the eye the fish glows %v over %v, and nothing is said: %s", glow.SeenOwn, glow.SeenBehind, where)
		}
		if ok && glow.Own.Y < .979*float64(g.Luminance) && !told("cd/m²") {
			t.Errorf("the fish glows with %v, and nothing is said: %s", glow.Own.Y, where)
		}
	}
	for _, dark := range asked.Dark {
		if s.Transport.Find(dark.On.Name) == nil {
			continue
		}
		if most := float64(s.Transport.Lux(dark.On.Name, l.Levels)); most > float64(dark.Most)*1.021+1.1e-4 && !told("lx") {
			t.Errorf("%s has %v lx on the mean instead of at most %v: %s", dark.On, most, dark.Most, where)
		}
	}
	if asked.Eyes != nil {
		for e := range s.Transport.Eyes {
			if uva := float64(s.Transport.MostUVA(e, l.Levels).High); uva > float64(asked.Eyes.Most)*1.021+1.1e-6 && !told("W/m²") {
				t.Errorf("%v W/m2 at an eye instead of at most %v: %s", uva, asked.Eyes.Most, where)
			}
		}
	}
}

// One unit that lights one surface alone is at the level that its light there
// asks for, over seven decades, or at full, or a miss is told.
func TestLuxIsLux(t *testing.T) {
	all := stages(t)
	for _, s := range all[:4] {
		for i := range s.Rig.Units {
			for _, lux := range []float64{1e-3, .05, 1, 30, 400, 2e4} {
				text := fmt.Sprintf("looks:\n  a: {parts: [{units: [%s], lux: %g, on: floor}]}\ncues: [{cue: 1, at: 0:01, look: a}]\n", s.Rig.Units[i].Name, lux)
				at, faults := on(s, text)
				if faults.Err() != nil {
					t.Fatal(faults)
				}
				l := &at.Looks[0]
				got := float64(s.Transport.Lux("floor", l.Levels))
				top := float32(0)
				for _, v := range l.Levels {
					top = max(top, v)
				}
				if math.Abs(got-lux) > .002*lux+1e-6 && lux > .01 && top < .999 && len(l.Misses) == 0 {
					t.Errorf("%s asked for %g lx gives %g at level %v, and nothing is said", s.Rig.Units[i].Name, lux, got, top)
				}
			}
		}
	}
}

// A goal that a look takes from another and then says something else for is no
// goal any more; one that it takes from itself is told.
func TestOverriddenGoals(t *testing.T) {
	s, faults := on(stages(t)[0], `
looks:
  first:
    parts:
      - {system: top, lux: 8, on: backdrop}
      - {system: uv, glow: {object: fish, luminance: 8 cd/m2}}
  second:
    like: first
    parts:
      - {system: top, level: 30 %}
      - {system: uv, emitters: {uv: 10 %}}
  third:
    parts:
      - {system: top, lux: 8, on: backdrop}
      - {system: top, level: 30 %}
  fourth: {like: first, parts: [{system: top, lux: 2, on: backdrop}]}
  fifth: {dark: [{on: backdrop, at most: 1 lx}], ultraviolet at eyes: {at most: 1 W/m2}, parts: [{system: front, level: 0 %}]}
cues: [{cue: 1, at: 0:01, look: second}]
`)
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	for i, want := range []int{0, 0, 1, 0, 0} {
		l := &s.Looks[i]
		if len(l.Misses) != want {
			t.Errorf("look %s misses %v, want %d", l.Name, l.Misses, want)
		}
	}
	for d := range s.Rig.Drives {
		want := float32(.3)
		if s.Rig.Emitter(d).Light.BlackLight() {
			want = .1
		}
		if slices.Contains(s.Rig.System("top"), s.Rig.Drives[d].Unit) && s.Looks[1].Levels[d] != want {
			t.Errorf("drive %d is at %v, want %v as the second look says", d, s.Looks[1].Levels[d], want)
		}
	}
	if lux := float64(s.Transport.Lux("backdrop", s.Looks[3].Levels)); lux < 2 || lux > 4 {
		t.Errorf("2 lx in place of 8 lx gives %v with the glow", lux)
	}
}

// No wash is bent to make a paint glow, however bright the background.
func TestLuxBeforeGlow(t *testing.T) {
	s, faults := on(stages(t)[1], `
looks:
  a:
    parts:
      - {system: front, colour: "#ffffff", lux: 20, on: backdrop}
      - {system: uv, glow: {object: fish, over background: 10000}}
cues: [{cue: 1, at: 0:01, look: a}]
`)
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	front := slices.Clone(s.Looks[0].Levels)
	for d := range front {
		if !slices.Contains(s.Rig.System("front"), s.Rig.Drives[d].Unit) {
			front[d] = 0
		}
	}
	if lux := float64(s.Transport.Lux("backdrop", front)); math.Abs(lux-20) > .2 {
		t.Errorf("the wash is %.1f lx instead of 20 lx", lux)
	}
}

// What reflects and does not fluoresce cannot glow, however bright black light
// of 397 nm makes it look; the miss says what would. Nor does a glow that is
// ten thousand times a black background count when nobody sees it.
func TestGlowIsFluorescence(t *testing.T) {
	const score = `
looks:
  a: {parts: [{system: uv, glow: {object: fish, over background: 2}}]}
  b: {parts: [{system: uv, glow: {object: fish, over background: 2}}], ultraviolet at eyes: {at most: 0.000001 W/m2}}
cues: [{cue: 1, at: 0:01, look: a}]
`
	all := stages(t)
	plain, faults := on(all[5], score)
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	if m := plain.Looks[0].Misses; len(m) != 1 || !strings.Contains(m[0].Text, "white paint does not fluoresce") || !strings.Contains(m[0].Hint, "optical white paper") {
		t.Errorf("white paint glows: %+v", m)
	}
	full := make([]float32, len(plain.Rig.Drives))
	for d := range full {
		if plain.Rig.Emitter(d).Light.BlackLight() {
			full[d] = 1
		}
	}
	if g, _ := plain.Transport.Glow("fish", full); g.Colour.Y < 2*g.Behind.Y || g.Over != 0 {
		t.Errorf("white paint over black cloth: %v times in all, %v by glow; the case proves nothing", g.Colour.Y/g.Behind.Y, g.Over)
	}
	bright, _ := on(all[0], score)
	if m := bright.Looks[0].Misses; len(m) != 0 {
		t.Errorf("fluorescent paint does not glow: %+v", m)
	}
	if m := bright.Looks[1].Misses; len(m) == 0 || m[0].Unit != "cd/m²" || m[0].Found >= m[0].Wanted || m[0].Wanted > .1 {
		t.Errorf("next to no ultraviolet is enough: %+v", m)
	}
}
