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

// even is a piece of n beats, the first at from and all a gap apart.
func even(from, gap time.Duration, n int) []time.Duration {
	var out []time.Duration
	for k := range n {
		out = append(out, from+time.Duration(k)*gap)
	}
	return out
}

// The pace that is taken before anybody has tapped is that of the piece, wherever
// its first beat lies; between 24 and 360 beats a minute, which no player leaves
// (common practice, no source).
func TestFirstPace(t *testing.T) {
	change := append(even(10*time.Second, 500*time.Millisecond, 4), even(12*time.Second, time.Second, 4)...)
	for name, c := range map[string]struct {
		beats []time.Duration
		begin int
		want  float64
	}{
		"no beats":               {nil, 0, 120},
		"one beat":               {even(time.Minute, 0, 1), 0, 120},
		"100 a minute":           {even(0, 600*time.Millisecond, 8), 0, 100},
		"after a minute":         {even(time.Minute, 600*time.Millisecond, 8), 0, 100},
		"very slow":              {even(time.Minute, 4*time.Second, 8), 0, 24},
		"very fast":              {even(time.Minute, 100*time.Millisecond, 8), 0, 360},
		"beats at one time":      {even(time.Minute, 0, 8), 0, 120},
		"before it slows":        {change, 2, 120},
		"where it slows":         {change, 5, 60},
		"behind its last beat":   {change, 99, 60},
		"before its first beat":  {change, -3, 120},
		"begun anew without any": {nil, 3, 120},
	} {
		f := New(c.beats)
		if got := f.Tempo(); c.begin == 0 && math.Abs(got-c.want) > 1e-9 {
			t.Errorf("%s: %v beats a minute, want %v", name, got, c.want)
		}
		f.Begin(c.begin)
		if got := f.Tempo(); math.Abs(got-c.want) > 1e-9 || f.Started() {
			t.Errorf("%s, begun at beat %d: %v beats a minute, want %v", name, c.begin, got, c.want)
		}
	}
}

// A player of 120 a minute in a piece of 100: what a person at the desk reads.
func TestReadings(t *testing.T) {
	zero := time.Unix(1000, 0)
	at := func(beats float64) time.Time { return zero.Add(time.Duration(beats * 5e8)) }
	f := New(even(7*time.Second, 600*time.Millisecond, 40))
	if f.Position(at(3)) != 7*time.Second || f.Speed(at(3)) != 0 || f.Silent(at(3)) != 0 || f.Overdue(at(3)) != 0 {
		t.Errorf("before the first tap it is at %v, speed %v", f.Position(at(3)), f.Speed(at(3)))
	}
	for k := range 12 {
		f.Tap(at(float64(k)))
	}
	near := func(what string, got, want, within float64) {
		t.Helper()
		if math.Abs(got-want) > within {
			t.Errorf("%s: %v, want %v", what, got, want)
		}
	}
	near("tempo", f.Tempo(), 120, .5)
	near("position at beat 11.5", f.Position(at(11.5)).Seconds(), 7+11.5*.6, .01)
	near("speed", f.Speed(at(11.5)), 1.2, .01)
	near("silence", f.Silent(at(11.5)).Seconds(), .25, 1e-9)
	near("overdue before the beat", f.Overdue(at(11.5)), -.5, .01)
	near("overdue after it", f.Overdue(at(12.2)), .2, .01)
	near("late", f.Late(at(12.2)).Seconds(), .1, .01)
	near("held a beat and a quarter on", f.Position(at(14)).Seconds(), 7+12.25*.6, .01)
	near("speed while it holds", f.Speed(at(14)), 0, 0)
}

// Taps that come twice, are forgotten, or are late after a stop.
func TestOddTaps(t *testing.T) {
	zero := time.Unix(1000, 0)
	at := func(beats float64) time.Time { return zero.Add(time.Duration(beats * 5e8)) }
	for name, c := range map[string]struct {
		taps []float64
		want float64 // the beat at the last tap
	}{
		"a first tap, twice":        {[]float64{0, .2, 1, 2, 3}, 3},
		"a later tap, twice":        {[]float64{0, 1, 2, 3, 3.2, 4}, 4},
		"two forgotten":             {[]float64{0, 1, 2, 3, 4, 7}, 7},
		"three forgotten":           {[]float64{0, 1, 2, 3, 4, 8}, 8},
		"four forgotten: a stop":    {[]float64{0, 1, 2, 3, 4, 9}, 5},
		"between beats: a stop":     {[]float64{0, 1, 2, 3, 4, 7.5}, 5},
		"one forgotten, a bit late": {[]float64{0, 1, 2, 3, 4, 6.2}, 6},
	} {
		f := New(even(0, 500*time.Millisecond, 40))
		for _, b := range c.taps {
			f.Tap(at(b))
		}
		last := c.taps[len(c.taps)-1]
		if got, moving := f.Beat(at(last)); math.Abs(got-c.want) > .15 || !moving {
			t.Errorf("%s: at beat %.2f, moving %v; want %v", name, got, moving, c.want)
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
