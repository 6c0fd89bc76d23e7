package governor

import (
	"slices"
	"testing"
	"time"

	"lampblack/check/checktest"
	"lampblack/check/seen"
)

// What passed the checks goes through as it is, bit for bit: the demo's show, whole.
func TestCheckedShowIsLeftAlone(t *testing.T) {
	s := checktest.Solved(t, checktest.DemoFolder())
	g := New(s.Transport, s.Rig, Allowed{})
	f := s.NewFrame()
	levels, rates := make([]float32, len(f.Levels)), make([]float32, len(f.Flash))
	const rate = 44.
	for i := 0; ; i++ {
		at := time.Duration(float64(i) / rate * 1e9)
		if at > s.Length {
			break
		}
		s.Light(f, at)
		copy(levels, f.Levels)
		copy(rates, f.Flash)
		n := g.Pass(at, levels, rates, none)
		_, altered := g.Altered()
		if n != 0 || altered || !slices.Equal(levels, f.Levels) || !slices.Equal(rates, f.Flash) {
			t.Fatalf("at %v: held %d flashes, cues %v", at, n, s.CueAt(at))
		}
	}
}

func none(int) bool { return false }

// A change in one direction is never held, however fast; after flashes that were too many a
// blackout waits for up to a second, comes within half a second more, and stays. Lights up
// pass at once.
func TestBlackoutGetsThrough(t *testing.T) {
	s := hall(t, 8, 2)
	all := func(levels []float32, v float32) {
		for d := range levels {
			levels[d] = v
		}
	}
	for name, c := range map[string]struct {
		wanted func(i int) float32
		dark   time.Duration // by when, after 2 s
		free   bool
	}{
		"at once":         {func(i int) float32 { return float32((80 - min(i, 80)) / 80) }, 0, false},
		"fades":           {func(i int) float32 { return float32(min(max(120-i, 0), 40)) / 40 }, time.Second, false},
		"after flashes":   {func(i int) float32 { return float32(i / 4 % 2 * max(min(80-i, 1), 0)) }, 1600 * time.Millisecond, false},
		"lights up after": {func(i int) float32 { return float32(i / 4 % 2 * max(min(80-i, 1), 0)) }, 0, true},
	} {
		g := New(s.Transport, s.Rig, Allowed{})
		levels, rates := make([]float32, len(s.Rig.Drives)), make([]float32, len(s.Rig.Units))
		held := 0
		for i := range 200 {
			v := c.wanted(i)
			all(levels, v)
			at := time.Duration(i) * 25 * time.Millisecond
			if g.Pass(at, levels, rates, func(int) bool { return c.free && i >= 80 }) > 0 {
				held++
			}
			if late := at - 2*time.Second; late >= c.dark && slices.Max(levels) != 0 {
				t.Errorf("%s: %v after the blackout there is %v", name, late, slices.Max(levels))
				break
			}
		}
		if calm := name == "at once" || name == "fades"; calm != (held == 0) {
			t.Errorf("%s: %d frames were held", name, held)
		}
	}
}

// When flashing too fast ends, the light is back with what is wanted within a second, in which
// it may be held, and half of one, without a flash of its own.
func TestFollowsAgain(t *testing.T) {
	s := hall(t, 8, 2)
	e := seen.New(s.Transport, s.Rig)
	for _, hz := range []int{3, 5, 8, 10, 20} {
		out, _ := run(s, New(s.Transport, s.Rig, Allowed{}), 40, 200, func(i int, levels, _ []float32) {
			for d := range levels {
				levels[d] = .6
				if i < 80 && i*hz*2/40%2 == 0 {
					levels[d] = .1
				}
			}
		})
		if units, eye, _ := worst(s, e, &out); units > mostUnits || eye > mostEye {
			t.Errorf("%d Hz: %d flashes over all units, %d to an eye", hz, units, eye)
		}
		for i := 80 + 61; i < 200; i++ {
			if slices.Min(out.Levels[i]) != .6 || slices.Max(out.Levels[i]) != .6 {
				t.Fatalf("%d Hz: at %v the light is %v", hz, out.Times[i], out.Levels[i])
			}
		}
	}
}

// Pass allocates nothing.
func TestNoAllocation(t *testing.T) {
	s := hall(t, 8, 2)
	g := New(s.Transport, s.Rig, Allowed{})
	levels, rates := make([]float32, len(s.Rig.Drives)), make([]float32, len(s.Rig.Units))
	i := 0
	if n := testing.AllocsPerRun(400, func() {
		for d := range levels {
			levels[d] = float32(i/3%2) * float32(d%3) / 2
		}
		rates[1] = float32(i / 9 % 5)
		g.Pass(time.Duration(i)*25*time.Millisecond, levels, rates, none)
		i++
	}); n > 0 {
		t.Errorf("%v allocations a frame", n)
	}
}

// Three flashes a second of all units at once are as many as an eye may see: they pass.
func TestThreeASecondPass(t *testing.T) {
	s := hall(t, 8, 2)
	if _, held := run(s, New(s.Transport, s.Rig, Allowed{}), 40, 400, func(i int, levels, _ []float32) {
		for d := range levels {
			levels[d] = float32(i * 3 * 2 / 40 % 2)
		}
	}); held > 0 {
		t.Errorf("%d frames were held", held)
	}
}

// What somebody has signed for goes out.
func TestSignedForGoesOut(t *testing.T) {
	s := hall(t, 8, 2)
	for rate, wanted := range map[int]bool{5: true, 10: false} {
		out, held := run(s, New(s.Transport, s.Rig, Allowed{Units: 5, Eye: 5}), 40, 200, func(i int, levels, _ []float32) {
			for d := range levels {
				levels[d] = float32(i * rate * 2 / 40 % 2)
			}
		})
		if through := held == 0; through != wanted {
			t.Errorf("%d Hz: %d of %d frames were held", rate, held, len(out.Times))
		}
	}
}
