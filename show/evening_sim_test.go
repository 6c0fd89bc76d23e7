package show

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"strings"
	"testing"
	"time"
)

// simulated plays an evening as a person with a stop watch would reckon it, frame
// by frame at 44 Hz, from where its step before ends: it knows looks by their
// levels and cues by their times, and nothing of package show.
type simulated struct {
	now  []float64 // what is seen
	from []float64 // as it was when the last cue came
	cue  *simCue
}

type simCue struct {
	at, up, down time.Duration
	to           []float64
}

// play goes through a step's cues up to a time in it, or through all of them.
func (s *simulated) play(cues []simCue, until time.Duration) {
	s.cue = nil
	next := 0
	for n := 0; ; n++ {
		t := time.Duration(n) * time.Second / 44
		if t > until {
			t = until
		}
		for next < len(cues) && cues[next].at <= t {
			s.see(cues[next].at)
			s.from, s.cue = append([]float64(nil), s.now...), &cues[next]
			next++
		}
		s.see(t)
		if t == until {
			return
		}
	}
}

func (s *simulated) see(t time.Duration) {
	if s.cue == nil {
		return
	}
	for d, to := range s.cue.to {
		over := s.cue.up
		if to < s.from[d] {
			over = s.cue.down
		}
		x := 1.0
		if over > 0 {
			x = math.Min((t-s.cue.at).Seconds()/over.Seconds(), 1)
		}
		s.now[d] = s.from[d] + x*(to-s.from[d])
	}
}

// Random orders of standing looks and pieces: at random instants of random steps,
// jumped to in any order, the light is that of a plain simulator which has played
// the step before to its end. Fades run straight in light here; bumps, and fades
// even to the eye, have their own tests.
func TestEveningBesideASimulator(t *testing.T) {
	orders := 40
	switch {
	case os.Getenv("LAMPBLACK_LONG") != "":
		orders = 500
	case testing.Short():
		orders = 8
	}
	const looks = 5
	score := "looks:\n"
	level := func(look, drive int) int { return (look*37 + drive*53) % 101 }
	for l := range looks {
		score += fmt.Sprintf("  look %d: {parts: [{system: all, emitters: {red: %d %%, green: %d %%, blue: %d %%, uv: %d %%}}]}\n", l, level(l, 0), level(l, 1), level(l, 2), level(l, 3))
	}
	levels := func(l int) []float64 {
		out := make([]float64, 4)
		for d := range out {
			out[d] = float64(level(l, d)) / 100
		}
		return out
	}
	for seed := range uint64(orders) {
		rng := rand.New(rand.NewPCG(seed, 12))
		files := map[string]string{"score.yaml": score + "cues: [{cue: 1, at: 0:01, look: look 0}]\n"}
		for name, text := range small {
			if name != "score.yaml" {
				files[name] = text
			}
		}
		var order strings.Builder
		order.WriteString("order:\n")
		var steps [][]simCue
		var lengths []time.Duration
		for i := range 2 + rng.IntN(6) {
			tenths := func(most int) time.Duration { return time.Duration(rng.IntN(most)) * 100 * time.Millisecond }
			if rng.IntN(2) == 0 {
				l, up := rng.IntN(looks), tenths(50)
				fmt.Fprintf(&order, "  - {standing: s%d, look: look %d, up: %.1f s, at most: 1 min}\n", i, l, up.Seconds())
				steps, lengths = append(steps, []simCue{{0, up, up, levels(l)}}), append(lengths, time.Minute)
				continue
			}
			fmt.Fprintf(&order, "  - {piece: p%d, cues: p%d.yaml}\n", i, i)
			cues, at, end := "cues:\n", time.Duration(0), time.Duration(0)
			var list []simCue
			for n := range 1 + rng.IntN(8) {
				at += 100*time.Millisecond + tenths(60)
				l, up, down := rng.IntN(looks), tenths(80), tenths(80)
				cues += fmt.Sprintf("  - {cue: %d, at: %.1f s, look: look %d, up: %.1f s, down: %.1f s}\n", n+1, at.Seconds(), l, up.Seconds(), down.Seconds())
				list = append(list, simCue{at, up, down, levels(l)})
				end = max(end, at+max(up, down))
			}
			files[fmt.Sprintf("p%d.yaml", i)] = cues
			steps, lengths = append(steps, list), append(lengths, end)
		}
		files["order.yaml"] = order.String()
		e := solveEvening(t, files)
		for range 12 {
			i := rng.IntN(len(steps))
			in := time.Duration(rng.Int64N(int64(lengths[i] + time.Second)))
			sim := &simulated{now: make([]float64, 4)}
			for k := range i {
				sim.play(steps[k], lengths[k])
			}
			sim.play(steps[i], in)
			f := e.Steps[i].Show.NewFrame()
			e.Steps[i].Show.Light(f, in)
			for d, want := range sim.now {
				if math.Abs(float64(f.Levels[d])-want) > 2e-4 {
					t.Fatalf("seed %d: drive %d at %v of step %d is %v, want %v\n%s", seed, d, in, i, f.Levels[d], want, order.String())
				}
			}
		}
	}
}
