package show

import (
	"context"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"lampblack/light"
)

// lowHall is the hall with scores of its own.
func lowHall(t testing.TB, score string) *Show {
	t.Helper()
	f, faults := Read(hallWith(map[string]string{"score.yaml": score}))
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	s, faults := New(context.Background(), f, nil)
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	return s
}

// seenAt is the light of every drive of a unit, read off the slots by the naive
// lamp.
func seenAt(s *Show, f *Frame, unit int) []float64 {
	u := &s.Rig.Units[unit]
	from, to := s.Rig.UnitDrives(unit)
	var out []float64
	for d := from; d < to; d++ {
		drive := &s.Rig.Drives[d]
		out = append(out, lit(u, f.Universes[u.Universe-1].Slots[u.Address-1:], u.Type.Emitters[drive.Emitter].Name, drive.Cells[0]))
	}
	return out
}

// A slow fade in low light, from 0 to 10 % in 10 s at 44 frames a second, on a
// unit whose master and colours have 8 bits each: above 1 % every frame is a
// step of its own, and none is over the path's own 2.3 % (arithmetic: 0.0227 %
// of full a frame, of 1 %) by more than the drives' rounding. A master that is
// rounded alone gave 26 steps of up to 33 %.
func TestLowFadeIsSmooth(t *testing.T) {
	s := lowHall(t, `
looks:
  low: {parts: [{units: [left], emitters: {white: 10 %, red: 5 %}}]}
  dark: {}
cues:
  - {cue: 1, at: 0:01, look: low, up: 10 s}
  - {cue: 2, at: 0:12, look: dark, up: 10 s}
`)
	f := s.NewFrame()
	for _, start := range []time.Duration{time.Second, 12 * time.Second} {
		steps, largest, mean, most, n := 0, 0.0, 0.0, 0.0, 0
		before := -1.0
		for k := range 441 {
			s.At(f, start+time.Duration(k)*10*time.Second/440)
			from, _ := s.Rig.UnitDrives(0)
			want, got := float64(f.Levels[from+3]), seenAt(s, f, 0)[3]
			if start < 2*time.Second && before >= 0 && got < before || start > 2*time.Second && before >= 0 && got > before*1.004 {
				t.Errorf("frame %d turns back from %.5f to %.5f", k, before, got)
			}
			if want >= .01 && before > 0 {
				change := math.Abs(got/before - 1)
				largest = max(largest, change)
				if change > 0 {
					steps++
				}
				mean += math.Abs(got/want - 1)
				most = max(most, math.Abs(got/want-1))
				n++
			}
			before = got
		}
		mean /= float64(n)
		t.Logf("%d steps of at most %.2f %%; the level is off by %.2f %% on the mean and %.2f %% at most", steps, 100*largest, 100*mean, 100*most)
		if steps < 390 || largest > .026 || mean > .002 || most > .005 {
			t.Errorf("%d steps of at most %.2f %%; off by %.2f %% on the mean, %.2f %% at most", steps, 100*largest, 100*mean, 100*most)
		}
	}
}

// What is read off the slots goes one way through a fade, to within a step of its
// drive there (a 255th of its master's light), which is less than is seen, and
// neither begins nor ends with a step back: from stand to stand, whatever
// the two looks.
func TestSlotsGoOneWay(t *testing.T) {
	s := open(t)
	for seed := range 200 {
		r := rand.New(rand.NewPCG(uint64(seed), 9))
		one := *s
		one.plan = plan{}
		one.Looks = make([]Look, 2)
		one.Cues = make([]Cue, 2)
		for i := range one.Looks {
			l := &one.Looks[i]
			l.Levels, l.Flash, l.touches = make([]float32, len(s.Rig.Drives)), make([]float32, len(s.Rig.Units)), make([]bool, len(s.Rig.Drives))
			for d := range l.Levels {
				l.Levels[d] = float32(max(0, math.Pow(10, -3*r.Float64())*(1.2*r.Float64()-.2)))
			}
			c := s.Cues[0]
			cue := *c.Cue
			cue.Up, cue.Down = time.Duration(i)*4*time.Second, nil
			c.Cue, c.Look, c.Start = &cue, i, time.Duration(i)*time.Second
			one.Cues[i] = c
		}
		one.compile()
		f := one.NewFrame()
		read := func(at time.Duration) (out []float64) {
			one.At(f, at)
			for u := range s.Rig.Units {
				out = append(out, seenAt(s, f, u)...)
			}
			return out
		}
		first, last := read(time.Second-1), read(5*time.Second)
		before := first
		for at := time.Second; at <= 5*time.Second; at += 20 * time.Millisecond {
			now := read(at)
			for d, v := range now {
				// Of the drives that one master carries the brightest sets its rung.
				rung := 0.0
				from, to := s.Rig.UnitDrives(s.Rig.Drives[d].Unit)
				for k := from; k < to; k++ {
					rung = max(rung, 2*float64(f.Levels[k]), 1./243)
				}
				back := before[d] - v
				if last[d] < first[d] {
					back = -back
				}
				if d >= from && s.Rig.Drives[d].Unit == 2 {
					rung *= 2 // its square law has the coarser steps
				}
				low, high := min(first[d], last[d])-1e-6, max(first[d], last[d])+1e-6
				if high-low < rung/255 { // there may be no step between
					low, high = low-rung/255, high+rung/255
				}
				if back > rung/255+1e-6 || v < low || v > high {
					t.Fatalf("seed %d, drive %d at %v: %.5f after %.5f, between %.5f and %.5f", seed, d, at, v, before[d], first[d], last[d])
				}
			}
			before = now
		}
	}
}

// Slots of a look that stands are the nearest in colour that there are: no
// master with any rounding of the drives looks nearer by more than a hair.
// Checked by trying all masters, and drives two steps around on either side.
func TestStandingColourIsNearest(t *testing.T) {
	s := open(t)
	u := &s.Rig.Units[0] // master, dark to 12, and linear drives of 8 bits
	from, to := s.Rig.UnitDrives(0)
	full := make([]light.XYZ, 0, 4)
	for d := from; d < to; d++ {
		if l := &s.Rig.Emitter(d).Light; !l.BlackLight() {
			full = append(full, l.Colour)
		}
	}
	sum := func(drives [4]float64) light.XYZ {
		var c light.XYZ
		for i, v := range drives {
			c = c.Plus(full[i], v)
		}
		return c
	}
	f := s.NewFrame()
	r := rand.New(rand.NewPCG(9, 9))
	worst, darkest := 0.0, 0.0
	for range 40 {
		scale := math.Pow(10, -1-1.3*r.Float64()) // 0.5 % to 10 %
		clear(f.Levels)
		var want [4]float64
		for i := range want {
			want[i] = scale * r.Float64() * float64(min(1, r.IntN(4)))
			f.Levels[from+i] = float32(want[i])
		}
		if sum(want).Y == 0 {
			continue
		}
		off := func(c light.XYZ) float64 {
			return math.Hypot(c.UV().Distance(sum(want).UV())/.003, (c.Y/sum(want).Y-1)/.03)
		}
		s.Encode(f)
		var got [4]float64
		copy(got[:], seenAt(s, f, 0))
		mine := off(sum(got))
		best := math.Inf(1)
		for m := 13; m <= 255; m++ {
			through := float64(m-12) / 243
			var base [4]int
			for i, v := range want {
				base[i] = int(v / through * 255)
			}
			if slicesMax(base) > 255 {
				continue
			}
			for k := range 256 {
				var try [4]float64
				for i := range try {
					if want[i] > 0 {
						try[i] = min(max(float64(base[i]+k>>(2*i)&3-1), 0), 255) / 255 * through
					}
				}
				if c := sum(try); c.Y > 0 {
					best = min(best, off(c))
				}
			}
		}
		worst = max(worst, mine-best)
		darkest = max(darkest, sum(got).UV().Distance(sum(want).UV()))
	}
	t.Logf("%v: the nearest of all is nearer by %.3f at most, and u'v' is off by %.4f at most", u.Name, worst, darkest)
	if worst > .2 || darkest > .003 {
		t.Errorf("the nearest of all is nearer by %.3f, and u'v' is off by %.4f", worst, darkest)
	}
}

func slicesMax(v [4]int) int { return max(v[0], v[1], v[2], v[3]) }

// Standing light does not depend on the unit's place among its like: staggering
// is for fades.
func TestStandingLooksAreAlike(t *testing.T) {
	s := lowHall(t, strings.Replace(hall["score.yaml"], "level: 60 %", "level: 3 %", 1))
	f := s.At(s.NewFrame(), 5*time.Second)
	a, b := f.Universes[0].Slots[0:8], f.Universes[0].Slots[10:18]
	for i := range a {
		if a[i] != b[i] {
			t.Errorf("slot %d stands at %d on one and %d on the other of two like units", i+1, a[i], b[i])
		}
	}
}
