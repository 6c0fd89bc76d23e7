package show

import (
	"math"
	"slices"
	"testing"
	"time"

	"lampblack/check/seen"
	"lampblack/score"
	"lampblack/soundtrack"
)

// dipped is a hall in which a bump flashes three times a second into a look that moves with each
// bar, and lets it be otherwise.
func dipped(t testing.TB, bumps bool) *Show {
	text := `
looks:
  dark: {purpose: nothing}
  night: {system: front, colour: "#ffffff", level: 100 %, on the beat: {every: 0.4 s, fall: 150 ms}}
  hit: {system: front, colour: "#ffffff", level: 100 %}
cues:
  - {cue: 1, at: 0:00, look: night}
`
	if bumps {
		for i, at := range []string{"0:20.1", "0:20.5", "0:20.9"} {
			text += "  - {cue: " + string(rune('2'+i)) + ", at: " + at + ", look: hit, hold: 0.1 s, returns: 0.05 s}\n"
		}
	}
	text += "  - {cue: 9, at: 0:50, look: dark, up: 1 s}\n"
	return scored(t, text, beating(120, 60))
}

// scored is a hall of four lamps with another score.
func scored(t testing.TB, text string, track *soundtrack.Track) *Show {
	t.Helper()
	aliveHall(t, 4, "flash: 0 Hz", track)
	sc, faults := score.Read("score.yaml", []byte(text))
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	s, faults := halls[4].on(sc, track).performed()
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	return s
}

// Where a bump lies over a movement that may be as deep as it is written, it is made smaller
// there alone: slowly down and up again, by the instant alone, and no less than flashes.
func TestMovementDipsUnderABump(t *testing.T) {
	s, calm := dipped(t, true), dipped(t, false)
	k, _ := s.Softened(0)
	if k.Keeps != 1 || k.Slower != 1 || len(k.Dips) != 1 || k.Dips[0].Keeps > .5 || k.Over.Count < 4 {
		t.Fatalf("the movement keeps %+v", k)
	}
	if k, _ := calm.Softened(0); k.Less() {
		t.Fatalf("without the bump it keeps %+v", k)
	}
	d := k.Dips[0]
	if d.From < 18*time.Second || d.To > 23*time.Second || d.To-d.From < time.Second {
		t.Errorf("the dip is from %v to %v, and the bumps are from 20.1 s to 21 s", d.From, d.To)
	}
	f, g := s.NewFrame(), calm.NewFrame()
	a := s.livesOf(0)
	was := a.keeps(0)
	for at := time.Duration(0); at < 50*time.Second; at += 7 * time.Millisecond {
		keeps := a.keeps(at)
		if step := math.Abs(float64(keeps - was)); step > math.Pi/2*.007 {
			t.Fatalf("at %v it goes from %v to %v", at, was, keeps)
		}
		was = keeps
		if in := at >= d.From && at <= d.To; in != (math.Abs(float64(keeps)-d.Keeps) < 1e-6) {
			t.Fatalf("at %v it keeps %v", at, keeps)
		}
		if away := at < d.From-eased || at > d.To+eased; away && !slices.Equal(s.Light(f, at).Levels, calm.Light(g, at).Levels) {
			t.Fatalf("at %v, away from the bump, the light is another", at)
		}
	}
	eyes := s.softer.eyes()
	if over := eyes.Judge(t.Context(), 0, s.Length, s.sampled()); over.Rule != seen.NoRule {
		t.Errorf("it still flashes too often: %+v", over)
	}
	a.dips = nil
	if over := eyes.Judge(t.Context(), 0, s.Length, s.sampled()); over.Rule == seen.NoRule {
		t.Error("without the dip it does not flash too often: the test shows nothing")
	}
}

// What would flash too often for most of its time is made smaller as a whole; so is what has a
// time of its own.
func TestNoDipsWhereItIsTooMuchAnyway(t *testing.T) {
	for _, lives := range []string{"on the beat: {every: 0.2 s, fall: 80 ms}", "lives like: candle, on the beat: {every: 0.2 s, fall: 80 ms}"} {
		k, _ := aliveHall(t, 4, lives, beating(120, 60)).Softened(0)
		if len(k.Dips) > 0 || !k.Less() {
			t.Errorf("%s: keeps %+v", lives, k)
		}
	}
}
