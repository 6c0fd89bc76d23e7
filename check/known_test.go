package check

import (
	"context"
	"slices"
	"strings"
	"testing"

	"lampblack/check/checktest"
	"lampblack/check/finding"
)

// allBut are all facts of the folder of facts but some.
func allBut(names ...string) int {
	facts := 1<<len(factNames) - 1
	for _, n := range names {
		facts &^= 1 << slices.Index(factNames, n)
	}
	return facts
}

// checked is a show with some facts, checked as one piece.
func checked(t *testing.T, facts int, more ...checktest.Change) []finding.Finding {
	t.Helper()
	list, err := Run(context.Background(), checktest.Solved(t, checktest.Changed(t, factFolder(facts), more...)), Options{})
	if err != nil {
		t.Fatal(err)
	}
	return list
}

// found is the finding of an identifier, and whether there is one.
func found(list []finding.Finding, id string) (f finding.Finding, ok bool) {
	i := slices.IndexFunc(list, func(f finding.Finding) bool { return f.ID == id })
	if i < 0 {
		return f, false
	}
	return list[i], true
}

// What is worth most next is what most waits for, each kind of check counting as one and
// shared out over what it lacks; once it is told, it is another fact's turn.
func TestWorthMostNext(t *testing.T) {
	checktest.Coarse(t)
	for _, c := range []struct {
		lack []string
		want string
	}{
		{[]string{"circuits"}, "worth most next: what feeds the units (circuits: in rig.yaml, and circuit: or fed by: of each unit); then more is judged of the supply"},
		{[]string{"size", "circuits"}, "worth most next: how large the room is"},
		{[]string{"front places", "lines"}, "worth most next: where units hang and aim"},
	} {
		f, ok := found(checked(t, allBut(c.lack...)), finding.NotJudged)
		if !ok || !strings.HasPrefix(f.Hint, c.want) {
			t.Errorf("without %v: %q, want %q", c.lack, f.Hint, c.want)
		}
	}
}

// A warning of harm is told also where it is about a guess, and says so; a goal that is
// missed on a guess, or a note, is not.
func TestHarmIsToldOfAGuess(t *testing.T) {
	near := checktest.Change{File: "room.yaml", From: `at: \[0 m, 2 m, 1.6 m\]`, To: `at: [1.32 m, -1.6 m, 2.53 m]`} // in the guessed beam of unit 5
	long := checktest.Change{File: "score.yaml", From: `over background: 5`, To: `over background: 5, luminance: 5000 cd/m2`}
	days := checktest.Change{File: "show.yaml", From: `soundtrack: a.wav\n`, To: "soundtrack: a.wav\ndays: [{day: one, shows: 20, rehearsal: 12 h}]\n"}
	list := checked(t, allBut("other places"), near, long, days)
	f, ok := found(list, "uv-dose")
	if !ok || f.Severity != finding.Stop || !strings.Contains(f.Assumed, "guessed: where units hang and aim") {
		t.Errorf("an eye in a guessed beam: %+v", f)
	}
	for _, id := range []string{"goal-missed", "glow-low", "escape-light"} {
		if f, ok := found(list, id); ok {
			t.Errorf("told of a guess: %+v", f)
		}
	}
	if f, _ := found(checked(t, allBut(), near, long, days), "uv-dose"); strings.Contains(f.Assumed, "where units hang") {
		t.Errorf("nothing is guessed, and yet: %s", f.Assumed)
	}
}
