package check

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"lampblack/check/checktest"
	"lampblack/check/finding"
	eyes "lampblack/check/seen"
	"lampblack/check/sight"
	"lampblack/check/subject"
	"lampblack/show"
)

// danced is a movement, a part of it kept, over a show's rig and room.
type danced struct {
	subject.Subject
	movement eyes.Movement
	factor   float32
}

func (d *danced) Length() time.Duration      { return d.movement.To }
func (d *danced) Moving() [][2]time.Duration { return [][2]time.Duration{{0, d.movement.To}} }
func (d *danced) Turns() []time.Duration     { return nil }
func (d *danced) NewFrame() *show.Frame {
	f := d.Subject.NewFrame()
	d.Subject.At(f, 0)
	return f
}
func (d *danced) At(f *show.Frame, at time.Duration) { d.Light(f, at) }
func (d *danced) Light(f *show.Frame, at time.Duration) {
	d.movement.Still(f.Levels, f.Flash, at)
	full := make([]float32, len(f.Levels))
	d.movement.Full(full, f.Flash, at)
	for i, v := range full {
		f.Levels[i] += d.factor * (v - f.Levels[i])
	}
}

// most is the most flashes in a second that the checks find by any of the rules.
func (d danced) most(s *show.Show, factor float64) (most float64, found []string) {
	d.Subject, d.factor = subject.Of(s), float32(factor)
	r := &subject.Run{Subject: &d, Ctx: context.Background(), Report: finding.NewReport(tells)}
	sight.Family.Measure(r)
	for _, f := range r.List() {
		if f.ID != "flash-long" {
			found = append(found, fmt.Sprintf("%s %s: %s", f.ID, f.Place, f.Text))
			most = max(most, f.Value)
		}
	}
	return most, found
}

// danceHall is a room of some units and eyes.
func danceHall(t testing.TB, r *rand.Rand) *show.Show {
	dir := checktest.Changed(t, checktest.DemoFolder())
	put := func(name, text string) { dir[name] = &fstest.MapFile{Data: []byte(text)} }
	one := func(of ...string) string { return of[r.IntN(len(of))] }
	var rig, room strings.Builder
	rig.WriteString("units:\n")
	for i := range 4 + r.IntN(9) {
		kind := one("par-rgbw-uv", "par-rgb-small", "white-spot", "uv-flood")
		x, z := -1.8+.3*float64(i), 2+r.Float64()
		fmt.Fprintf(&rig, "  - {unit: u%d, type: %s, address: %d, at: [%.2f m, %.2f m, %.2f m], aim: [%.2f m, %.2f m, %.2f m], systems: [all]}\n",
			i, kind, 1+12*i, x, r.Float64()*2, z, x+r.Float64()-.5, 1+r.Float64()*2, r.Float64()*1.5)
	}
	walls := one("white paint", "grey paint", "black cloth", "cream plaster")
	fmt.Fprintf(&room, "size: [4 m, 5 m, 3.2 m]\nstage front: 2 m\nwalls: %s\nfloor: wood floor\nceiling: %s\naudience:\n", walls, one("white paint", "black paint"))
	for i := range 3 {
		fmt.Fprintf(&room, "  - {name: s%d, at: [%.1f m, -1.2 m, 1.2 m]}\n", i, -1+float64(i))
	}
	put("rig.yaml", rig.String())
	put("room.yaml", room.String())
	put("score.yaml", "looks:\n  dark: {}\ncues:\n  - {cue: 1, at: 0 s, look: dark}\n")
	return checktest.Solved(t, dir)
}

// dance is a movement of some kind on some of the units.
func dance(s *show.Show, r *rand.Rand) (m eyes.Movement, about string) {
	drives, units := len(s.Rig.Drives), len(s.Rig.Units)
	kind := r.IntN(6)
	rate := []float64{.7, 1, 1.5, 2, 2.5, 3, 3.5, 4, 6, 9}[r.IntN(10)]
	depth := math.Pow(r.Float64(), 2)
	base, fade := make([]float32, drives), make([]float32, drives)
	goal := make([]float32, drives)
	in := make([]bool, units)
	for u := range in {
		in[u] = r.IntN(3) > 0
	}
	for d := range base {
		base[d] = float32(r.Float64() * r.Float64())
		goal[d] = base[d]
		if in[s.Rig.Drives[d].Unit] && r.IntN(3) > 0 {
			goal[d] += float32(depth) * (float32(r.IntN(2)) - base[d])
		}
		if r.IntN(3) == 0 {
			fade[d] = base[d] * .5
		}
	}
	phase := make([]float64, units)
	for u := range phase {
		switch {
		case kind == 1:
			phase[u] = float64(u) / float64(units)
		case kind >= 4:
			phase[u] = r.Float64()
		}
	}
	attack, decay := .01+.1*r.Float64(), .05+.5*r.Float64()
	weight := func(u int, at float64) float64 {
		_, x := math.Modf(at*rate + phase[u])
		switch kind {
		case 0, 1: // on the beat, in turn
			since := x / rate
			return math.Min(since/attack, math.Exp(-max(since-attack, 0)/decay))
		case 2, 4: // a wave
			return .5 - .5*math.Cos(2*math.Pi*x)
		case 3: // on and off
			return math.Round(x)
		}
		// like a candle
		return .5 + .17*(math.Sin(7*at*rate+9*phase[u])+math.Sin(11.3*at*rate+phase[u])+math.Sin(17.9*at*rate+2*phase[u]))
	}
	m.To = 4 * time.Second
	m.Still = func(levels, _ []float32, at time.Duration) {
		share := float32(at.Seconds() / m.To.Seconds())
		for d := range levels {
			levels[d] = base[d] - share*fade[d]
		}
	}
	m.Full = func(levels, rates []float32, at time.Duration) {
		m.Still(levels, rates, at)
		for u := range units {
			w := float32(weight(u, at.Seconds()))
			from, to := s.Rig.UnitDrives(u)
			for d := from; d < to; d++ {
				levels[d] += w * (goal[d] - base[d]) * levels[d] / max(base[d], 1e-6)
				if base[d] == 0 {
					levels[d] = w * goal[d]
				}
				levels[d] = min(max(levels[d], 0), 1)
			}
		}
	}
	return m, fmt.Sprintf("kind %d at %.1f Hz, depth %.2f, decay %.2f s", kind, rate, depth, decay)
}

// greatest is the greatest factor that passes, by search: in steps of 2 % near the one
// that was found, and in some from full depth down to there.
func (d danced) greatest(s *show.Show, found float64, steps int) float64 {
	for i := range steps {
		f := 1 - float64(i)/float64(steps)
		if f <= found*1.35 {
			break
		}
		if n, _ := d.most(s, f); n <= 3 {
			return f
		}
	}
	best := found
	for f := found * 1.02; f <= min(1, found*1.35); f *= 1.02 {
		if n, _ := d.most(s, f); n <= 3 {
			best = f
		}
	}
	return best
}

// borderline tells whether a movement is as fast as the limit itself: whether a fourth
// flash lies a second after the first, or 2 ms less, is then decided by the grain of the
// checks' own trace.
func borderline(about string) bool { return strings.Contains(about, "at 3.0 Hz") }

// What is kept of a movement passes the checks, and is at least eight tenths of the most
// that does, by a search of many factors from above.
func TestGreatestPasses(t *testing.T) {
	rooms, dances, factors := 2, 10, 8
	if os.Getenv("LAMPBLACK_LONG") != "" {
		rooms, dances, factors = 25, 20, 40
	}
	r := rand.New(rand.NewPCG(15, 2))
	worst, held, rules := 1.0, 0, map[eyes.Rule]int{}
	for range rooms {
		s := danceHall(t, r)
		e := eyes.New(s.Transport, s.Rig)
		for range dances {
			m, about := dance(s, r)
			k := e.Greatest(t.Context(), m)
			d := danced{movement: m}
			most, found := d.most(s, k.Factor)
			if without, _ := d.most(s, 0); most > max(3, without) {
				t.Errorf("%s, kept %.3f: %q", about, k.Factor, found)
			}
			if k.Factor == 1 {
				if k.Over.Rule != eyes.NoRule {
					t.Errorf("%s: all is kept, and %+v is over", about, k.Over)
				}
				continue
			}
			held++
			rules[k.Over.Rule]++
			if whole, _ := d.most(s, 1); k.Over.Rule == eyes.NoRule || k.Over.Count <= 3 && whole > 3 {
				t.Errorf("%s: kept %.3f because of %+v, and there are %v", about, k.Factor, k.Over, whole)
			}
			best := d.greatest(s, k.Factor, factors)
			if borderline(about) {
				continue
			}
			worst = min(worst, k.Factor/max(best, 1e-9))
			if k.Factor < .8*best || k.Factor == 0 {
				t.Errorf("%s: kept %.3f because of %+v, and %.3f passes", about, k.Factor, k.Over, best)
			}
		}
	}
	t.Logf("%d of %d were held back, by rule %v; at least %.2f of what passes was kept", held, rooms*dances, rules, worst)
	if held < rooms*dances/10 {
		t.Errorf("only %d of %d were held back", held, rooms*dances)
	}
}

// Where red and blue change places and the watts stay as they are, no unit flashes, and eyes
// see red ones: those are what holds the movement back.
func TestGreatestOfRed(t *testing.T) {
	s := danceHall(t, rand.New(rand.NewPCG(15, 9)))
	watts := func(d int) float64 { return s.Rig.Emitter(d).Light.Watts }
	m := eyes.Movement{To: 3 * time.Second}
	swing := func(depth float64) func(levels, rates []float32, at time.Duration) {
		return func(levels, _ []float32, at time.Duration) {
			share := .5 + depth*(.5-.5*math.Cos(2*math.Pi*5*at.Seconds())-.5)
			clear(levels)
			for u := range s.Rig.Units {
				from, to := s.Rig.UnitDrives(u)
				red, blue := -1, -1
				for d := from; d < to; d++ {
					switch s.Rig.Units[u].Type.Emitters[s.Rig.Drives[d].Emitter].Name {
					case "red":
						red = d
					case "blue":
						blue = d
					}
				}
				if red >= 0 && blue >= 0 {
					full := min(watts(red), watts(blue))
					levels[red] = float32(share * full / watts(red))
					levels[blue] = float32((1 - share) * full / watts(blue))
				}
			}
		}
	}
	m.Still, m.Full = swing(0), swing(1)
	k := eyes.New(s.Transport, s.Rig).Greatest(t.Context(), m)
	d := danced{movement: m}
	if whole, found := d.most(s, 1); whole <= 3 || k.Over.Rule != eyes.ByEyeOfRed || k.Factor == 0 || k.Factor == 1 {
		t.Errorf("kept %.2f because of %+v, and there are %v: %q", k.Factor, k.Over, whole, found)
	}
	if most, found := d.most(s, k.Factor); most > 3 {
		t.Errorf("kept %.2f, and there are %v: %q", k.Factor, most, found)
	}
}

// beaten is a dance of a hall: on every beat, units all at once or one after the other rise
// from a fifth and fall.
func beaten(s *show.Show, rate, apart, depth float64) eyes.Movement {
	dark := make([]bool, len(s.Rig.Drives))
	for d := range dark {
		dark[d] = s.Rig.Emitter(d).Light.BlackLight()
	}
	levels := func(share float64) func(levels, rates []float32, at time.Duration) {
		return func(levels, _ []float32, at time.Duration) {
			for d := range levels {
				if levels[d] = 0; dark[d] {
					continue
				}
				u := s.Rig.Drives[d].Unit
				_, phase := math.Modf(at.Seconds()*rate + apart*float64(u))
				rise := min(phase/.05, math.Exp(-(phase-.05)*4))
				levels[d] = float32(.2 + share*depth*rise)
			}
		}
	}
	return eyes.Movement{To: 3 * time.Minute, Still: levels(0), Full: levels(1)}
}

func BenchmarkGreatest(b *testing.B) {
	s := checktest.Solved(b, hall(b, 3))
	e := eyes.New(s.Transport, s.Rig)
	for _, c := range []struct {
		name               string
		rate, apart, depth float64
	}{{"beat", 2, 0, .8}, {"fast beat", 4, 0, .8}, {"in turn", 1, 1. / 64, .8}, {"soft", 5, .3, .08}} {
		b.Run(c.name, func(b *testing.B) {
			before := checktest.Spent()
			for b.Loop() {
				e.Greatest(context.Background(), beaten(s, c.rate, c.apart, c.depth))
			}
			b.ReportMetric((checktest.Spent()-before).Seconds()/float64(b.N), "cpu-s/op")
		})
	}
}
