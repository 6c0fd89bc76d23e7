package show_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"
)

// same compares levels with those of the simulator: the drive that is furthest off, if it
// is off by more than what float32 loses.
func same(got []float32, want []float64) (drive int, ok bool) { return sameSlack(got, want, 2e-4) }

func sameSlack(got []float32, want []float64, slack float64) (drive int, ok bool) {
	worst := 0.0
	for d := range want {
		if off := math.Abs(float64(got[d]) - want[d]); off > worst {
			worst, drive = off, d
		}
	}
	return drive, worst <= slack
}

// randomGaps are how long the first n waits of a step have lasted.
func randomGaps(rng *rand.Rand, s *simStep, n int) (gaps []time.Duration) {
	for i := range n {
		if w := &s.waits[i]; w.span > 0 {
			gaps = append(gaps, time.Duration(rng.IntN(5))*w.span)
		} else {
			gaps = append(gaps, time.Duration(rng.Int64N(int64(2*w.most))))
		}
	}
	return gaps
}

// Random orders of standing looks and pieces with waits: at random instants of random
// steps, jumped to in any order, whatever their waits have lasted, the light is that of
// a simulator which has played the steps before to their ends; and after a go at any
// instant, while a fade or a bump runs or past every "at most", that of one which goes on
// from what it saw. Fades run straight in light here; those even to the eye have their
// own tests.
func TestEveningBesideASimulator(t *testing.T) {
	cases, bad, badEnd := 0, 0, 0
	for seed := range simSeeds() {
		rng := rand.New(rand.NewPCG(seed, 12))
		o := randomOrder(rng)
		_, e := o.solve(t)
		for i := range o.steps {
			if s := &o.steps[i]; !s.stands {
				if want := s.end(s.longest()); e.Steps[i].Show.Length != want {
					if badEnd++; badEnd < 6 {
						t.Errorf("seed %d: step %d lasts %v, want %v\n%s", seed, i, e.Steps[i].Show.Length, want, o)
					}
				}
			}
		}
		f := e.Steps[0].Show.NewFrame()
		for range 12 {
			i := rng.IntN(len(o.steps))
			entry, plays := before(o.steps, i, simDrives), e.Steps[i].Show
			for {
				s := &o.steps[i]
				n := rng.IntN(len(s.waits) + 1)
				gaps := randomGaps(rng, s, n)
				last := time.Duration(0)
				if n < len(s.waits) {
					last = s.begins(n, gaps) + 20*time.Second
				} else {
					last = s.end(gaps) + time.Second
				}
				in := time.Duration(rng.Int64N(int64(last)))
				waited := plays
				if len(s.waits) > 0 {
					waited = plays.Waited(gaps, in)
				}
				if len(s.waits) > 0 && rng.IntN(5) == 0 {
					gaps, waited = s.longest(), plays
					in = time.Duration(rng.Int64N(int64(s.end(gaps))))
				}
				want := s.play(entry, gaps, in)
				waited.Light(f, in)
				cases++
				if d, ok := same(f.Levels, want); !ok {
					if bad++; bad < 6 {
						t.Errorf("seed %d: drive %d at %v of step %d, waited %v, is %v, want %v\n%s", seed, d, in, i, gaps, f.Levels[d], want[d], o)
					}
					break
				}
				// Go, whatever is going on, and on to an instant of the next step.
				if i++; i == len(o.steps) || rng.IntN(3) == 0 {
					break
				}
				entry, plays = want, e.Enter(i, slices.Clone(f.Levels))
			}
		}
	}
	t.Logf("%d instants, %d disagree; %d lengths do", cases, bad, badEnd)
}
