package demo

import (
	"math"
	"slices"
	"testing"
	"time"
)

func TestPlanHangsTogether(t *testing.T) {
	p := TheLanternFish()
	if p.Duration < 4*time.Minute || p.Duration > 8*time.Minute {
		t.Errorf("the piece lasts %v, want 4 to 8 minutes", p.Duration)
	}
	end := time.Duration(0)
	for _, s := range p.Sections {
		if s.From != end || s.To <= s.From {
			t.Errorf("section %q goes from %v to %v, the one before ends at %v", s.Name, s.From, s.To, end)
		}
		end = s.To
	}
	if end != p.Duration {
		t.Errorf("the sections end at %v, the piece at %v", end, p.Duration)
	}
	for i, b := range p.Beats[1:] {
		before := p.Beats[i]
		next := b.Bar == before.Bar && b.Beat == before.Beat+1 || b.Bar == before.Bar+1 && b.Beat == 1
		if !next || b.Time <= before.Time {
			t.Errorf("beat %v follows %v", b, before)
		}
	}
	if !slices.IsSortedFunc(p.Attacks, func(a, b Attack) int { return int(a.Time - b.Time) }) {
		t.Error("attacks are not by time")
	}
}

// At least three tempi and one ramp are promised.
func TestTempi(t *testing.T) {
	p := TheLanternFish()
	count := map[int]int{}
	ramp := 0
	for i := 2; i < len(p.Beats); i++ {
		a, b := p.Beats[i-1].Time-p.Beats[i-2].Time, p.Beats[i].Time-p.Beats[i-1].Time
		if p.Beats[i].Bar-p.Beats[i-2].Bar > 1 {
			continue
		}
		switch ratio := float64(b) / float64(a); {
		case math.Abs(ratio-1) < 1e-4:
			count[int(math.Round(60/b.Seconds()))]++
		case ratio < 1 && ratio > .98:
			ramp++
		}
	}
	for _, bpm := range []int{60, 72, 96, 132} {
		if count[bpm] < 30 {
			t.Errorf("%d beats at %d a minute, want 30 and more", count[bpm], bpm)
		}
	}
	if ramp < 50 {
		t.Errorf("%d beats get faster, want 50 and more", ramp)
	}
}

// Every attack begins on the sample that the plan names: rendered alone, the
// instrument is silent before its first sample, loud within the rise that it
// claims, and its peak is
// full scale, within what noise does.
func TestInstrumentsKeepTheirWord(t *testing.T) {
	seen := map[string]bool{}
	for _, s := range TheLanternFish().sounds {
		if s.slow || seen[s.name] {
			continue
		}
		seen[s.name] = true
		rise, decay := s.plays.shape()
		for seed := range dice(5) {
			heard := make([]float64, 3*Rate)
			s.plays.start(seed + 1).render(heard)
			peak := loudest(heard)
			if db := 20 * math.Log10(peak); math.Abs(db) > 2.5 {
				t.Errorf("%s peaks at %.1f dB, want 0", s.name, db)
			}
			early := loudest(heard[:int(rise.Seconds()*Rate)+Rate/100])
			if early < .7*peak {
				t.Errorf("%s reaches %.2f of its peak by %v and 10 ms", s.name, early/peak, rise)
			}
			if at := int(2 * decay.Seconds() * Rate); at < len(heard) && loudest(heard[at:]) > .25*peak {
				t.Errorf("%s is at %.2f of its peak after twice its decay of %v", s.name, loudest(heard[at:])/peak, decay)
			}
		}
	}
	if len(seen) < 9 {
		t.Errorf("only %d kinds of sound", len(seen))
	}
}

func loudest(x []float64) float64 { return max(slices.Max(x), -slices.Min(x)) }

// Planned accents are far enough apart to be lit one by one: fewer than three
// in any second.
func TestAccentsCanBeLit(t *testing.T) {
	var at []time.Duration
	for _, a := range TheLanternFish().Attacks {
		if a.Accent {
			at = append(at, a.Time)
		}
	}
	if len(at) < 25 {
		t.Errorf("%d planned accents, want 25 and more", len(at))
	}
	for i := 1; i < len(at); i++ {
		if at[i]-at[i-1] < time.Second {
			t.Errorf("accents at %v and %v", at[i-1], at[i])
		}
	}
}
