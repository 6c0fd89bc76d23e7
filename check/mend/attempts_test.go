package mend

import (
	"slices"
	"testing"
	"time"

	"lampblack/check/finding"
	"lampblack/score"
	"lampblack/show"
	"lampblack/source"
)

// bumped is a show of three bumps that return in 0.1 s, 1 s and 2 s, and of a
// cue that stays, with their file.
func bumped(t *testing.T) (*mending, string) {
	t.Helper()
	text := "cues:\n" +
		"  - {cue: 1, at: 0:10, look: a, returns: 0.1 s}\n" +
		"  - {cue: 2, at: 0:10.2, look: a, returns: 1 s}\n" +
		"  - {cue: 3, at: 0:10.5, look: a, returns: 2 s}\n" +
		"  - {cue: 4, at: 0:10.6, look: a}\n"
	m := &mending{show: &show.Show{}, finding: finding.Finding{Cues: []string{"1", "2", "3", "4"}}}
	returns := []time.Duration{100 * time.Millisecond, time.Second, 2 * time.Second}
	moments := []time.Duration{10 * time.Second, 10200 * time.Millisecond, 10500 * time.Millisecond, 10600 * time.Millisecond}
	for i, moment := range moments {
		c := &score.Cue{Number: source.Ref{Name: string(rune('1' + i))}, At: &moment}
		if i < len(returns) {
			c.Returns = &returns[i]
		}
		m.show.Cues = append(m.show.Cues, show.Cue{Cue: c, Index: i, Moment: moment})
	}
	m.show.Score = &score.Score{Cues: make([]score.Cue, len(moments))}
	return m, text
}

func edited(t *testing.T, a attempt, file string) string {
	t.Helper()
	text, faults := source.OpenText("score.yaml", []byte(file))
	if faults.Err() != nil {
		t.Fatal(faults)
	}
	if err := a.edit(text); err != nil {
		t.Fatal(err)
	}
	b, err := text.Bytes()
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// Bumps that return faster than half a second, one and two are slowed, the
// least change first; what is slow enough already stays.
func TestLongerFades(t *testing.T) {
	m, file := bumped(t)
	var says []string
	list := m.longerFades()
	for _, a := range list {
		says = append(says, a.what)
	}
	if want := []string{"1 cue: returns 0.5 s", "1 cue: returns 1 s", "2 cues: returns 2 s"}; !slices.Equal(says, want) {
		t.Fatalf("it tries %q, want %q", says, want)
	}
	want := "cues:\n" +
		"  - {cue: 1, at: 0:10, look: a, returns: 2 s}\n" +
		"  - {cue: 2, at: 0:10.2, look: a, returns: 2 s}\n" +
		"  - {cue: 3, at: 0:10.5, look: a, returns: 2 s}\n" +
		"  - {cue: 4, at: 0:10.6, look: a}\n"
	if got := edited(t, list[2], file); got != want {
		t.Errorf("it writes\n%swant\n%s", got, want)
	}
	m.finding.Cues = []string{"3", "4"}
	if list := m.longerFades(); len(list) > 0 {
		t.Errorf("of bumps that are slow enough it tries %q", list[0].what)
	}
}

// Bumps within a quarter of a second of the first of them come together with
// it; a cue that stays is none of them.
func TestInStep(t *testing.T) {
	m, file := bumped(t)
	list := m.inStep()
	if len(list) != 1 {
		t.Fatalf("%d attempts, want 1", len(list))
	}
	want := "cues:\n" +
		"  - {cue: 1, at: 0:10, look: a, returns: 0.1 s}\n" +
		"  - {cue: 2, at: 0:10.000, look: a, returns: 1 s}\n" +
		"  - {cue: 3, at: 0:10.5, look: a, returns: 2 s}\n" +
		"  - {cue: 4, at: 0:10.6, look: a}\n"
	if got := edited(t, list[0], file); got != want {
		t.Errorf("it writes\n%swant\n%s", got, want)
	}
}

// Cues that go together are taken out together, also of a list in brackets,
// where neighbours share the comma between them.
func TestFewerCues(t *testing.T) {
	m, _ := bumped(t)
	for i := range m.show.Score.Cues {
		m.show.Score.Cues[i].Number.Name = m.show.Cues[i].Number.Name
	}
	m.finding.Value, m.finding.Limit = 6, 3
	list := m.fewerCues()
	if len(list) != 1 || list[0].what != "without cue 1 2 3" {
		t.Fatalf("it tries %v", list)
	}
	file := "cues: [{cue: 1, look: a}, {cue: 2, look: a}, {cue: 3, look: a}, {cue: 4, look: a}]\n"
	if got, want := edited(t, list[0], file), "cues: [{cue: 4, look: a}]\n"; got != want {
		t.Errorf("it writes\n%swant\n%s", got, want)
	}
}
