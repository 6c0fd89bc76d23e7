package show

import (
	"context"
	"fmt"
	"math"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"pgregory.net/rapid"

	"lampblack/rig"
)

// lit is a naive lamp: it reads slots by its manual, range by range, and says
// how much light each of its emitters gives. It shares no code with the
// encoder.
func lit(u *rig.Unit, slots []byte, emitter string, cell int) float64 {
	value := func(s *rig.Slot) (v, last float64) {
		v, last = float64(slots[s.Coarse-1]), 255
		if s.Fine > 0 {
			v, last = v*256+float64(slots[s.Fine-1]), 65535
		}
		return v, last
	}
	share := func(s *rig.Slot) float64 {
		v, last := value(s)
		for _, r := range s.Ranges {
			if v >= float64(r.From) && v <= float64(r.To) {
				switch r.Does {
				case rig.Level:
					return (v - float64(r.From)) / float64(r.To-r.From)
				case rig.Open, rig.Flash:
					return 1
				}
			}
		}
		dark := float64(s.Curve.DarkTo) / 255 * last
		x := max((v-dark)/(last-dark), 0)
		switch s.Curve.Then {
		case "square":
			return x * x
		case "s":
			return x * x * (3 - 2*x)
		}
		return x
	}
	out := 0.0
	for i := range u.Mode.Slots {
		s := &u.Mode.Slots[i]
		if s.Drives == emitter && (s.Cell == 0 || s.Cell == cell+1) {
			out = share(s)
		}
	}
	for i := range u.Mode.Slots {
		s := &u.Mode.Slots[i]
		for _, d := range s.Dims {
			if d == "all" || d == emitter {
				out *= share(s)
			}
		}
	}
	return out
}

// What the lamps do with the slots is what the frame says, to within the
// coarsest step of their dimmers; no slot enters a range that must be left
// alone; and the frame at an instant does not depend on what came before.
func TestFrames(t *testing.T) {
	s := open(t)
	fresh, used := s.NewFrame(), s.NewFrame()
	rapid.Check(t, func(t *rapid.T) {
		at := time.Duration(rapid.Int64Range(-int64(time.Second), int64(50*time.Second)).Draw(t, "t"))
		s.At(used, time.Duration(rapid.Int64Range(0, int64(time.Minute)).Draw(t, "before")))
		s.At(used, at)
		*fresh = *s.NewFrame()
		s.At(fresh, at)
		for i := range fresh.Universes {
			if fresh.Universes[i] != used.Universes[i] {
				t.Fatalf("at %v the frame depends on what came before", at)
			}
		}
		for d, level := range fresh.Levels {
			drive := s.Rig.Drives[d]
			u := &s.Rig.Units[drive.Unit]
			page := fresh.Universes[u.Universe-1].Slots[u.Address-1:]
			got := lit(u, page, u.Type.Emitters[drive.Emitter].Name, drive.Cells[0])
			if fresh.Flash[drive.Unit] == 0 && math.Abs(got-float64(level)) > 1./240+1./120 {
				t.Fatalf("at %v drive %d of %v should give %.4f and gives %.4f from %v", at, d, u.Name, level, got, page[:8])
			}
			for i := range u.Mode.Slots {
				slot := &u.Mode.Slots[i]
				if r := slot.At(int(page[slot.Coarse-1])); r != nil && r.Does == rig.Never {
					t.Fatalf("at %v %v slot %d stands at %d, in a range to be left alone", at, u.Name, slot.Coarse, page[slot.Coarse-1])
				}
			}
		}
	})
}

func TestLanding(t *testing.T) {
	s := open(t)
	f := s.NewFrame()
	level := func(unit string, at time.Duration) float32 {
		from, to := s.Rig.UnitDrives(s.Rig.Index(unit))
		sum := float32(0)
		for _, l := range s.At(f, at).Levels[from:to] {
			sum += l
		}
		return sum
	}
	ms := time.Millisecond
	if before, at, after := level("lamp", 19899*ms), level("lamp", 20000*ms), level("lamp", 21201*ms); before != 0 || at != 1 || after != 0 {
		t.Errorf("the bump that peaks at 20 s gives %v, %v, %v before, at and after", before, at, after)
	}
	if a, b := level("lamp", 19950*ms), level("lamp", 20700*ms); math.Abs(float64(a)-.5) > .01 || math.Abs(float64(b)-.5) > .01 {
		t.Errorf("half way up and down the bump gives %v and %v", a, b)
	}
	warm := level("left", 9*time.Second)
	if got := level("left", 35*time.Second); math.Abs(float64(got-warm)) > 1e-6 {
		t.Errorf("the change that completes at 30 s has %v then, not %v", got, warm)
	}
	if a, b := level("bar", 29990*ms), level("bar", 30*time.Second); a <= b || b != 0 {
		t.Errorf("10 ms before its completion the bar gives %v, at it %v", a, b)
	}
}

// The part that flashes uses the strobe slot of a unit that has one of its
// own, at a value whose rate by the manual is within one step of the rate asked for, and no faster.
func TestStrobe(t *testing.T) {
	s := open(t)
	f := s.At(s.NewFrame(), 29200*time.Millisecond)
	slot := float64(f.Universes[0].Slots[6])
	if hz := 1 + (slot-10)/245*19; hz > 3 || hz < 3-19./245 {
		t.Errorf("slot 7 at %v is %.2f Hz by the manual, not 3", slot, hz)
	}
	shared := float64(f.Universes[0].Slots[499])
	if hz := 1 + (shared-128)/122*11; hz > 3 || hz < 3-11./122 {
		t.Errorf("the shared slot at %v is %.2f Hz by the manual, not 3", shared, hz)
	}
	if f := s.At(f, 29*time.Second-1); f.Universes[0].Slots[6] > 9 {
		t.Error("it flashes before its cue")
	}
}

// The colour of warm light from the par lies on the target's chromaticity, and
// no ultraviolet takes part in a colour.
func TestColour(t *testing.T) {
	s := open(t)
	f := s.At(s.NewFrame(), 5*time.Second)
	from, to := s.Rig.UnitDrives(0)
	var x, y, z float64
	for d := from; d < to; d++ {
		c := s.Rig.Emitter(d).Light.Colour.Times(float64(f.Levels[d]))
		x, y, z = x+c.X, y+c.Y, z+c.Z
		if s.Rig.Emitter(d).Light.BlackLight() && f.Levels[d] != 0 {
			t.Errorf("ultraviolet at %v takes part in a colour", f.Levels[d])
		}
	}
	// #ffb060 by IEC 61966-2-1: linear (1, .4342, .1170), and its matrix gives
	// XYZ .5888, .5316, .1824, from memory of the standard's decoding.
	wantX, wantY := .5888/(.5888+.5316+.1824), .5316/(.5888+.5316+.1824)
	if gotX, gotY := x/(x+y+z), y/(x+y+z); math.Hypot(gotX-wantX, gotY-wantY) > .002 {
		t.Errorf("warm is x %.4f y %.4f, want x %.4f y %.4f", gotX, gotY, wantX, wantY)
	}
}

func TestAtDoesNotAllocate(t *testing.T) {
	s := open(t)
	f := s.NewFrame()
	at := time.Duration(0)
	if n := testing.AllocsPerRun(1000, func() { s.At(f, at); at += 37 * time.Millisecond }); n != 0 {
		t.Errorf("At allocates %v times", n)
	}
}

func TestReadFinds(t *testing.T) {
	for name, c := range map[string]struct{ file, old, new, want string }{
		"dangling look":   {"score.yaml", "look: sea,", "look: see,", `score.yaml:19:30: there is no look "see" (did you mean "sea"?)`},
		"dangling system": {"score.yaml", "{system: uv,", "{system: uw,", `no unit belongs to a system "uw" (did you mean "uv"?)`},
		"two names":       {"rig.yaml", "unit: right,", "unit: left, ", `rig.yaml:4:12: two units have the name "left" (the first is on line 3)`},
		"past 512":        {"rig.yaml", "address: 500", "address: 512", "runs past 512 (the highest address that fits is 511)"},
		"no such mode":    {"rig.yaml", "type: shared,", "type: shared, mode: ten,", `fixture type shared has no mode "ten"`},
		"negative watts":  {"fixtures/par.yaml", "output: 1 W ± 40 %", "output: -1 W", "output of emitter uv is negative"},
		"NaN":             {"fixtures/par.yaml", "output: 1 W ± 40 %", "output: .nan W", "fixtures/par.yaml:9:47"},
		"beam of 360°":    {"fixtures/par.yaml", "half: 25°", "half: 360°", "a beam of 360° lies outside 1° to 179°"},
		"zero width":      {"fixtures/bar.yaml", "width: 12 nm", "width: 0 nm", "the width of emitter uv, 0 nm, lies outside"},
		"slot overlap":    {"fixtures/par.yaml", "10-255: never", "5-255: never", "ranges 0-9 and 5-255 overlap"},
		"unknown emitter": {"score.yaml", "{uv: 80 %,", "{uw: 80 %,", `no unit of this part has an emitter "uw"`},
		"leaves":          {"show.yaml", "track.wav", "../track.wav", `the soundtrack "../track.wav" leaves the show's folder`},
		"nowhere":         {"score.yaml", "at: 0:10,", "", "cue 2 does not say when"},
	} {
		text := hall[c.file]
		if !strings.Contains(text, c.old) {
			t.Fatalf("%s: the hall has no %q", name, c.old)
		}
		f, faults := Read(hallWith(map[string]string{c.file: strings.Replace(text, c.old, c.new, 1)}))
		if faults.Err() == nil {
			_, faults = New(context.Background(), f, nil)
		}
		if faults.Err() == nil || !strings.Contains(faults.Error(), c.want) {
			t.Errorf("%s: got %v\nwant %s", name, faults, c.want)
		}
	}
}

func TestReadMissing(t *testing.T) {
	dir := fstest.MapFS{"show.yaml/x": &fstest.MapFile{}}
	_, faults := Read(dir)
	got := faults.Error()
	for _, want := range []string{"show.yaml: this is a folder", "rig.yaml: the file is missing", "score.yaml: the file is missing"} {
		if !strings.Contains(got, want) {
			t.Errorf("%q is not said in\n%s", want, got)
		}
	}
}

// BenchmarkAt tells frames a second, slots and all, of a rig of 64 units with
// five emitters, a master, a strobe and a program slot each, in a crossfade.
func BenchmarkAt(b *testing.B) {
	units := "units:\n"
	for i := range 64 {
		units += fmt.Sprintf("  - {unit: u%d, type: par, universe: %d, address: %d, at: [%d m, 1 m, 3 m], aim: [0 m, 2 m, 1 m], systems: [front, uv]}\n", i, 1+i/50, 1+i%50*10, i%8-4)
	}
	score := strings.NewReplacer("{units: [lamp], level", "{units: [u1], level", "{units: [left, lamp]", "{units: [u0, u1]").Replace(hall["score.yaml"])
	f, faults := Read(hallWith(map[string]string{"rig.yaml": units, "score.yaml": score}))
	if faults.Err() != nil {
		b.Fatal(faults)
	}
	s, faults := New(context.Background(), f, nil)
	if faults.Err() != nil {
		b.Fatal(faults)
	}
	frame := s.NewFrame()
	b.ReportAllocs()
	b.ResetTimer()
	for i := range b.N {
		s.At(frame, 10*time.Second+time.Duration(i%4000)*time.Millisecond)
	}
	b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "frames/s")
}
