package show

import (
	"fmt"
	"math/rand/v2"
	"testing"
	"time"
)

// fading is a show whose one fade goes between two random states, in which
// emitters are off, full, alike or anywhere.
func fading(s *Show, r *rand.Rand, even bool, up, down time.Duration) *Show {
	out := *s
	out.plan = plan{}
	state := func() []float32 {
		l := make([]float32, len(s.Rig.Drives))
		for d := range l {
			l[d] = float32(min(1, max(0, 1.6*r.Float64()-.3)))
		}
		return l
	}
	from, to := state(), state()
	for d := range to {
		if r.IntN(4) == 0 {
			to[d] = from[d]
		}
	}
	switch r.IntN(6) {
	case 0:
		clear(from)
	case 1:
		clear(to)
	case 2:
		k := r.Float32()
		for d := range to {
			to[d] = k * from[d]
		}
	}
	quiet := make([]float32, len(s.Rig.Units))
	f := fade{start: time.Second, up: up, down: down, from: from, to: to, flash: quiet}
	if even {
		f.course = newMixing(s.Rig, nil).evenPath(s.Rig, to)(from)
	}
	out.plan.fades = []fade{{from: from, to: from, flash: quiet}, f}
	return &out
}

// From any state to any state, with any times up and down and either path,
// every drive goes one way, without a jump, and arrives when its time is over.
// The bound on a step is that of package light's own test of the path: 0.05 in
// a 400th of the fade.
func TestFadesGoOneWay(t *testing.T) {
	s := open(t)
	times := []time.Duration{0, 300 * time.Millisecond, time.Second, 4 * time.Second, 10 * time.Second}
	for seed := range 600 {
		r := rand.New(rand.NewPCG(uint64(seed), 8))
		even := seed%4 != 0
		up, down := times[r.IntN(len(times))], times[r.IntN(len(times))]
		one := fading(s, r, even, up, down)
		f := &one.plan.fades[1]
		about := func(d int) string {
			return fmt.Sprintf("seed %d, even %v, up %v, down %v, drive %d of unit %d from %v to %v", seed, even, up, down, d, s.Rig.Drives[d].Unit, f.from[d], f.to[d])
		}
		now, before := one.NewFrame(), append([]float32(nil), f.from...)
		one.Light(now, f.start-1)
		for d, v := range now.Levels {
			if v != f.from[d] {
				t.Fatalf("%s: before it begins the level is %v", about(d), v)
			}
		}
		const parts = 400
		for k := range parts + 1 {
			at := f.start + max(up, down)*time.Duration(k)/parts
			one.Light(now, at)
			for d, v := range now.Levels {
				rises := f.to[d] > f.from[d]
				if rises && v < before[d] || !rises && v > before[d] {
					t.Fatalf("%s: turns back from %v to %v after %v", about(d), before[d], v, at-f.start)
				}
				own := []time.Duration{up, down}
				if !even {
					own = own[:1]
					if !rises {
						own = []time.Duration{down}
					}
				}
				// The path may keep either time; the step must fit one of them,
				// or all of it is allowed at once where that time is none.
				fits := false
				for _, whole := range own {
					most := 1.0
					if whole > 0 {
						most = .05 * float64(max(up, down)) / float64(whole)
					}
					fits = fits || abs32(v-before[d]) <= float32(most)+1e-6
				}
				if !fits {
					t.Fatalf("%s: jumps from %v to %v after %v", about(d), before[d], v, at-f.start)
				}
			}
			copy(before, now.Levels)
		}
		for d, v := range before {
			if v != f.to[d] {
				t.Fatalf("%s: ends at %v", about(d), v)
			}
		}
	}
}

func abs32(v float32) float32 { return max(v, -v) }

// A bright look that fades evenly out of one look into a darker one takes the
// time down, without a flash at the end: the light of every unit falls all the
// way, over all of its time.
func TestEvenFadeKeepsDown(t *testing.T) {
	s, faults := on(stages(t)[1], `
looks:
  bright: {parts: [{system: front, colour: "#ffd0a0", level: 100 %}]}
  dark: {fades: even to the eye, parts: [{system: front, colour: "#3040c0", level: 2 %}]}
cues:
  - {cue: 1, at: 0:00, look: bright}
  - {cue: 2, at: 0:05, look: dark, up: 1 s, down: 6 s}
  - {cue: 3, at: 0:20, look: bright, up: 4 s, down: 1 s}
`)
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	m := newMixing(s.Rig, nil)
	unit := s.Rig.System("front")[0]
	group := m.cells(s.Rig, unit)[0]
	shines := func(at time.Duration) float64 {
		f := s.Light(s.NewFrame(), at)
		drives := make([]float64, len(group))
		for i, d := range group {
			if d >= 0 {
				drives[i] = float64(f.Levels[d])
			}
		}
		return m.units[unit].mixer.Colour(drives).Y
	}
	top, last := shines(4*time.Second), shines(5*time.Second)
	for at := 5 * time.Second; at <= 12*time.Second; at += 20 * time.Millisecond {
		y := shines(at)
		if y > last*(1+1e-6) {
			t.Fatalf("at %v the light rises from %v to %v", at, last, y)
		}
		last = y
	}
	if half := shines(8*time.Second) / top; half < .1 || half > .4 { // L* between is 54, 22 % (CIE 015); hue changes take their share of the time
		t.Errorf("half way down it gives %.2f of its light", half)
	}
	if y := shines(10800 * time.Millisecond); y <= shines(11*time.Second)*1.001 {
		t.Errorf("it is down before its time: %v", y)
	}
}
