package tempo

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"
)

// player plays a piece by its own clock: the truth that a follower is held
// against. Its tempo wanders, its taps scatter, and it may stop.
type player struct {
	rng            *rand.Rand
	pace           float64 // beats a second
	drift, scatter float64 // of the pace for each beat; seconds
	forgets        float64 // share of beats without a tap
	doubles        float64 // share of beats tapped twice
	stops          map[int]time.Duration
}

// beats returns the true instants of n beats, and the taps.
func (p *player) beats(n int) (truth, taps []time.Duration) {
	t := time.Duration(0)
	pace := p.pace
	for k := range n {
		t += p.stops[k]
		truth = append(truth, t)
		if k < 2 || p.rng.Float64() >= p.forgets {
			tap := t + time.Duration(p.rng.NormFloat64()*p.scatter*1e9)
			taps = append(taps, max(tap, 0))
			if p.rng.Float64() < p.doubles {
				taps = append(taps, tap+90*time.Millisecond)
			}
		}
		// A tempo that wanders and comes home: an Ornstein-Uhlenbeck walk.
		pace += .1*(p.pace-pace) + p.pace*p.drift*p.rng.NormFloat64()
		t += time.Duration(1e9 / pace)
	}
	slices.Sort(taps)
	return truth, taps
}

// follow runs a follower over the taps and returns how far off the instant is
// at which it reaches each beat: late is positive. Cues look at it 200 times a
// second.
func follow(f *Follower, truth, taps []time.Duration) []time.Duration {
	zero := time.Unix(0, 0)
	var off []time.Duration
	next, tap := 0, 0
	for t := time.Duration(0); next < len(truth) && t < truth[len(truth)-1]+3*time.Second; t += 5 * time.Millisecond {
		for tap < len(taps) && taps[tap] <= t {
			f.Tap(zero.Add(taps[tap]))
			tap++
		}
		for beat, _ := f.Beat(zero.Add(t)); next < len(truth) && beat >= float64(next)-1e-9; next++ {
			off = append(off, t-truth[next])
		}
	}
	for ; next < len(truth); next++ {
		off = append(off, time.Hour) // never reached
	}
	return off
}

// Cues on bars are within 50 ms of a simulated player's bars, 95 times in a
// hundred, after two bars to settle. The tempo of people tapping wanders by
// some 2 to 4 % and their taps scatter by 10 to 30 ms (common practice, no
// source).
func TestPlayers(t *testing.T) {
	for name, p := range map[string]player{
		"steady":           {pace: 2, drift: .002, scatter: .01},
		"drifting":         {pace: 2, drift: .01, scatter: .015},
		"slow":             {pace: 1, drift: .005, scatter: .015},
		"fast":             {pace: 3, drift: .01, scatter: .012},
		"scattered":        {pace: 2, drift: .005, scatter: .02},
		"forgetful":        {pace: 2, drift: .005, scatter: .012, forgets: .08},
		"doubles":          {pace: 2, drift: .005, scatter: .012, doubles: .05},
		"stops and starts": {pace: 2, drift: .005, scatter: .012, stops: map[int]time.Duration{40: 3 * time.Second, 90: 8 * time.Second, 130: 700 * time.Millisecond}},
	} {
		var bars []float64
		for seed := range 50 {
			p.rng = rand.New(rand.NewPCG(uint64(seed), 7))
			truth, taps := p.beats(160)
			plan := make([]time.Duration, 160)
			for k := range plan {
				plan[k] = time.Duration(k) * time.Second * 10 / 21 // 126 a minute, as on the paper
			}
			f := New(plan)
			f.Begin(0)
			for k, off := range follow(f, truth, taps) {
				if k >= 8 && k%4 == 0 {
					bars = append(bars, math.Abs(off.Seconds()))
				}
			}
		}
		slices.Sort(bars)
		p95 := bars[len(bars)*95/100]
		t.Logf("%-17s %d bars: off by %.0f ms (median), %.0f ms (95 %%), %.0f ms (worst)", name, len(bars), 1e3*bars[len(bars)/2], 1e3*p95, 1e3*bars[len(bars)-1])
		if p95 > .05 {
			t.Errorf("%s: 95 %% of bars within %.0f ms, want 50", name, 1e3*p95)
		}
	}
}

// While nobody taps, the place holds soon after the beat that is awaited, and
// the next tap is that beat.
func TestHolds(t *testing.T) {
	f := New(nil)
	zero := time.Unix(0, 0)
	for k := range 10 {
		f.Tap(zero.Add(time.Duration(k) * 500 * time.Millisecond))
	}
	beat, moving := f.Beat(zero.Add(time.Minute))
	if moving || beat > 10.3 || beat < 9.5 {
		t.Errorf("a minute after beat 9 it stands at %.2f, moving %v", beat, moving)
	}
	f.Tap(zero.Add(time.Minute))
	if beat, moving := f.Beat(zero.Add(time.Minute)); !moving || math.Abs(beat-10) > .01 {
		t.Errorf("the next tap is beat %.2f, moving %v; want 10", beat, moving)
	}
}

// Pulses of MIDI clock (24 to a quarter note, MIDI 1.0) are followed more
// closely than taps.
func TestPulses(t *testing.T) {
	f := New(nil)
	rng := rand.New(rand.NewPCG(1, 2))
	zero := time.Unix(0, 0)
	at := time.Duration(0)
	worst := 0.0
	for n := range 24 * 100 {
		f.Pulse(zero.Add(at + time.Duration(rng.NormFloat64()*1e6)))
		if n > 24*8 {
			beat, _ := f.Beat(zero.Add(at))
			worst = max(worst, math.Abs(beat-float64(n)/24))
		}
		pace := 2 + .2*math.Sin(float64(n)/400) // beats a second
		at += time.Duration(1e9 / pace / 24)
	}
	if worst > .03 { // beats; 15 ms at this pace
		t.Errorf("off by %.3f beats", worst)
	}
	if bpm := f.Tempo(); math.Abs(bpm-120-12*math.Sin(6)) > 3 {
		t.Errorf("tempo %.1f", bpm)
	}
}

func TestAt(t *testing.T) {
	beats := []time.Duration{time.Second, 2 * time.Second, 4 * time.Second}
	for beat, want := range map[float64]time.Duration{0: time.Second, .5: 1500 * time.Millisecond, 1.5: 3 * time.Second, 2: 4 * time.Second, 3: 6 * time.Second, -1: 0} {
		if got := At(beats, beat); got != want {
			t.Errorf("beat %v is at %v, want %v", beat, got, want)
		}
	}
}

func ExampleFollower() {
	f := New([]time.Duration{0, 500 * time.Millisecond, time.Second, 1500 * time.Millisecond, 2 * time.Second})
	zero := time.Unix(0, 0)
	for k := range 4 { // played a quarter slower than written
		f.Tap(zero.Add(time.Duration(k) * 625 * time.Millisecond))
	}
	fmt.Println(f.Position(zero.Add(3 * 625 * time.Millisecond)).Round(100 * time.Millisecond))
	// Output: 1.5s
}
