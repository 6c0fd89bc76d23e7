package page

import (
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"lampblack/check/finding"
)

// The spans of the bench's minute, by hand from its score and its sound: what stands beside
// their seconds, and what reaches into them.
func TestSpans(t *testing.T) {
	s, err := solvedBench()
	if err != nil {
		t.Fatal(err)
	}
	b := New(s, []finding.Finding{
		{ID: "early", From: 1, To: 12}, {ID: "late", From: 36, To: 36.2}, {ID: "whole", From: 0, To: 60}, {ID: "never"}, {ID: "after", From: 61, To: 62},
	})
	for _, c := range []struct {
		from, to                time.Duration
		cues, moments, findings []string
	}{
		// Cue 2 begins at 10 s and is complete at 14; the turn lasts the whole minute.
		{0, 10 * time.Second, []string{"1"}, []string{"turn"}, []string{"early"}},
		{10 * time.Second, 20 * time.Second, []string{"2", "2.5"}, []string{"turn"}, []string{"early"}},
		// A hit that was heard at 20.12 s, on which cue 2.5 lands.
		{20 * time.Second, 30 * time.Second, []string{"2.5", "3"}, []string{"turn", "hit"}, nil},
		{30 * time.Second, 36 * time.Second, []string{"3", "4"}, []string{"turn", "bar", "beat"}, nil},
		// The swell begins at 40 s; the count before the span is its first seconds' own.
		{36 * time.Second, 46 * time.Second, nil, []string{"turn", "beat", "swell"}, []string{"late"}},
		// Cue 5 lands on 49.9 s, and its light begins at 50.4 s.
		{46 * time.Second, 50 * time.Second, []string{"5"}, []string{"turn", "beat", "swell"}, nil},
		{50 * time.Second, 60 * time.Second, []string{"5"}, []string{"turn", "beat"}, nil},
	} {
		got, err := b.Span(c.from, c.to)
		if err != nil {
			t.Fatal(err)
		}
		var cues, findings []string
		for _, q := range got.Cues {
			cues = append(cues, q.Number)
		}
		for _, f := range got.Findings {
			findings = append(findings, f.ID)
		}
		slices.Sort(got.Moments.Kind)
		slices.Sort(c.moments)
		if !slices.Equal(cues, c.cues) || !slices.Equal(got.Moments.Kind, c.moments) || !slices.Equal(findings, c.findings) {
			t.Errorf("%v to %v: cues %v, moments %v, findings %v, want %v, %v, %v", c.from, c.to, cues, got.Moments.Kind, findings, c.cues, c.moments, c.findings)
		}
		if m := got.Moments; len(m.Time) != len(m.Kind) || len(m.End) != len(m.Kind) || len(m.Strength) != len(m.Kind) || len(m.Change) != len(m.Kind) || len(m.Why) != len(m.Kind) || len(m.Label) != len(m.Kind) || len(m.Bar) != len(m.Kind) || len(m.Beat) != len(m.Kind) {
			t.Errorf("%v to %v: columns of several lengths: %+v", c.from, c.to, m)
		}
	}
	for _, bad := range [][2]time.Duration{{-1, 1}, {5, 5}, {6, 5}, {0, 11 * time.Minute}} {
		if _, err := b.Span(bad[0], bad[1]); err == nil {
			t.Errorf("a span from %v to %v", bad[0], bad[1])
		}
	}
}

// The outline of spans that follow one another is that of the whole: each ends in the step in
// which the next begins.
func TestSoundOfSpans(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		whole := Sound{Hop: .05, Mid: rapid.SliceOf(rapid.Byte()).Draw(t, "mid")}
		whole.Low, whole.High = whole.Mid, whole.Mid
		each := rapid.Float64Range(.01, 3).Draw(t, "each")
		for from := 0.0; from < 6; from += each {
			part := whole.within(from, from+each)
			for i := range whole.Mid {
				at := float64(i) * whole.Hop
				if at < from || at > from+each {
					continue
				}
				k := i - int(part.From/part.Hop+.5)
				if k < 0 || k >= len(part.Mid) || part.Mid[k] != whole.Mid[i] || part.Low[k] != part.Mid[k] || part.High[k] != part.Mid[k] {
					t.Fatalf("step %d at %v s is not in %v to %v: %+v", i, at, from, from+each, part)
				}
			}
		}
	})
}

// What was found is counted without what somebody has signed for; of what is about the whole
// show five stand first, and notes are for the page of checks.
func TestFound(t *testing.T) {
	list := []finding.Finding{
		{Severity: finding.Stop, Signed: "A. Person"}, {Severity: finding.Note}, {Severity: finding.Stop, From: 3, To: 4},
		{Severity: finding.Note, Lacks: []finding.Lack{{}}},
	}
	for range 7 {
		list = append(list, finding.Finding{Severity: finding.Warn})
	}
	slices.Reverse(list) // the gravest stand first, whatever comes first
	got := foundOf(list, 60)
	if got.Stops != 1 || got.Warnings != 7 || got.Notes != 1 || !got.Unjudged || len(got.First) != 5 || got.More != 3 || got.First[0].Signed == "" {
		t.Errorf("%+v", got)
	}
	if got := foundOf(nil, 60); got.First == nil || got.Unjudged {
		t.Errorf("of nothing: %+v", got)
	}
}

// Another show has another sum, also where only what comes by spans differs.
func TestSum(t *testing.T) {
	a, b := benchBook(t), benchBook(t)
	if a.Sum() != b.Sum() {
		t.Error("one show has two sums")
	}
	b.moments.Why = slices.Clone(b.moments.Why)
	b.moments.Why[0] = "it goes on"
	if a.Sum() == b.Sum() {
		t.Error("two shows have one sum")
	}
}
