package show_test

import (
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"strings"
	"testing"

	"lampblack/check"
	"lampblack/check/checktest"
	"lampblack/check/finding"
	"lampblack/score"
	"lampblack/show"
)

// passed are the limits of flashing and dose that a show passes: those that stop a run, or with
// warned also the three flashes a second over all units that are told before the ceiling.
func passed(t testing.TB, s *show.Show, warned bool) []string {
	t.Helper()
	list, err := check.Run(context.Background(), s, check.Options{Only: []string{"flash-union", "flash-rate", "flash-red", "uv-dose", "uv-eye", "uv-skin"}})
	if err != nil {
		t.Fatal(err)
	}
	var out []string
	for _, f := range list {
		if f.Severity == finding.Stop || warned && f.Severity != finding.Note {
			out = append(out, f.ID+": "+f.Text)
		}
	}
	return out
}

// lively is a score whose cues move in ways drawn by lot, some far too fast.
func lively(r *rand.Rand) string {
	pick := func(of ...string) string { return of[r.IntN(len(of))] }
	systems := []string{"front", "side", "back", "foot", "uv top", "house"}
	part := func(system string) string {
		swing := pick("", ", down to: 20 %", ", from: night")
		every := pick("beat", "off-beat", "0.2 s", "0.1 s", "0.5 s", "bar", "2 beats")
		way := pick(
			"on the beat: {every: "+every+", rise: "+pick("0 s", "60 ms")+", fall: "+pick("80 ms", "300 ms")+swing+"}",
			"in turn: {order: "+pick("left to right", "outward", "round")+", every: "+every+", overlap: "+pick("0 %", "60 %")+swing+"}",
			"through the room: {speed: "+pick("2 m/s", "20 m/s")+", every: "+every+swing+"}",
			"follows the sound: {of: "+pick("low", "high", "all")+", rise: "+pick("0 s", "40 ms")+", fall: "+pick("0 s", "150 ms")+swing+"}",
			"lives like: {light: "+pick("candle", "hearth", "water", "storm sky", "leaves")+swing+"}",
			`wanders: {every: `+pick("1 s", "20 s")+`, among: [red, "#2040ff", white]}`)
		if system == "foot" || system == "uv top" {
			return "{system: " + system + ", emitters: {uv: " + pick("100 %", "50 %") + "}, " + strings.ReplaceAll(way, `, among: [red, "#2040ff", white]`, "") + "}"
		}
		return "{system: " + system + ", colour: " + pick("red", "white", `"#ff5010"`, "blue") + ", level: " + pick("100 %", "50 %") + ", " + way + "}"
	}
	text := "looks:\n  dark: {purpose: nothing}\n  night: {system: back, colour: \"#0b2a6b\", level: 15 %}\n"
	n := 2 + r.IntN(2)
	for i := range n {
		text += fmt.Sprintf("  l%d: {parts: [", i)
		for k, p := range r.Perm(len(systems))[:1+r.IntN(3)] {
			if k > 0 {
				text += ", "
			}
			text += part(systems[p])
		}
		text += "]}\n"
	}
	text += "cues:\n"
	at := 0.0
	for i := range n {
		bump := ""
		if i > 0 && r.IntN(3) == 0 {
			bump = ", hold: 2 s, returns: 0.5 s"
		}
		text += fmt.Sprintf("  - {cue: %d, at: %g s, look: l%d, up: %s%s}\n", i+1, at, i, pick("0 s", "0.5 s", "3 s"), bump)
		at += 4 + 4*r.Float64()
	}
	return text + fmt.Sprintf("  - {cue: 99, at: %g s, look: dark, up: 1 s}\n", at)
}

// with is a show with another score.
func with(t *testing.T, base *show.Show, text string) *show.Show {
	t.Helper()
	sc, faults := score.Read("score.yaml", []byte(text))
	if faults.Err() != nil {
		t.Fatal(faults, text)
	}
	s, faults := base.With(sc)
	if faults.Err() != nil {
		t.Fatal(faults, text)
	}
	return s
}

// Whatever moves, in whatever way, passes no limit of flashing or of dose by the checks, which
// know nothing of how it was bounded; without the bound much of it does.
func TestNothingThatMovesPassesALimit(t *testing.T) {
	n := 16
	if testing.Short() {
		n = 4
	}
	if os.Getenv("LAMPBLACK_LONG") != "" {
		n = 500
	}
	base := checktest.Solved(t, checktest.DemoFolder())
	r := rand.New(rand.NewPCG(15, 500))
	over, softened := 0, 0
	for i := range n {
		text := lively(r)
		s := with(t, base, text)
		if all := passed(t, s, false); all != nil {
			t.Errorf("case %d: %s\n%s", i, strings.Join(all, "; "), text)
		}
		if passed(t, s.KeptAt(1), false) != nil {
			over++
		}
		for c := range s.Cues {
			if k, moves := s.Softened(c); moves && k.Less() {
				softened++
				break
			}
		}
	}
	t.Logf("%d of %d pass a limit as they are written, none as they are bounded; %d were softened", over, n, softened)
	if over < n/8 {
		t.Errorf("only %d of %d would flash too often without the bound: the checks hardly see it", over, n)
	}
}

// One movement keeps at least eight tenths of what the checks would let pass, found by trying
// every factor.
func TestBoundKeepsWhatItMay(t *testing.T) {
	n := 6
	if testing.Short() {
		n = 2
	}
	if os.Getenv("LAMPBLACK_LONG") != "" {
		n = 100
	}
	base := checktest.Solved(t, checktest.DemoFolder())
	r := rand.New(rand.NewPCG(80, 100))
	worst, tried := 1.0, 0
	for tried < n {
		text := lively(r)
		text = text[:strings.Index(text, "cues:")] + "cues:\n  - {cue: 1, at: 2 s, look: l0, up: 0.5 s}\n  - {cue: 2, at: 6 s, look: dark, up: 1 s}\n"
		s := with(t, base, text)
		k, moves := s.Softened(0)
		if !moves || !k.Less() || k.Slower > 1 {
			continue
		}
		tried++
		most := 1.0
		for ; most > 0 && passed(t, s.KeptAt(most), true) != nil; most -= .02 {
		}
		if share := k.Keeps / most; most > 0 && share < worst {
			worst = share
			t.Logf("keeps %.2f of %.2f\n%s", k.Keeps, most, text)
		}
	}
	t.Logf("the least share of what the checks let pass: %.2f, over %d", worst, tried)
	if worst < .8 {
		t.Errorf("a movement keeps %.2f of what it may, want 0.8", worst)
	}
}
