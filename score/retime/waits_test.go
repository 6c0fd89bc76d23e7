package retime

import (
	"strings"
	"testing"
)

// Ten seconds are cut out of the middle: a span that repeats behind them comes ten seconds
// sooner and is as long; one in them, and one that the cut tears, is kept aside; a cue that
// follows another goes with it, and is kept aside with it too, by way of others.
func TestWaitsAndFollowOns(t *testing.T) {
	const text = `looks: {warm: {purpose: come in}, dark: {purpose: nothing}}
cues:
  - {cue: 1, at: 0:02, look: warm}
  - {cue: 2, follows: 1, look: dark}   # stays
  - {cue: 5, follows: 4, look: dark}   # goes with 4
  - {cue: 3, at: 0:12, look: warm}     # cut
  - {cue: 4, follows: 3, look: dark}   # goes with 3
  - {cue: 6, at: 0:40, look: dark}
waits:
  - {from: 0:30, to: 0:34, at most: 1 min}   # moves
  - {from: 0:12, to: 0:16, at most: 1 min}   # cut
  - {from: 0:06, to: 0:11, at most: 1 min}   # torn
  - {at: 0:50, at most: 1 min}               # moves
`
	old := tune(60)
	take := append(append([]float32(nil), old[:10*rate]...), old[20*rate:]...)
	dir := showFolder(t, map[string]string{"score.yaml": text})
	r, err := Move(dir, mapOf(t, old, take), bars)
	if err != nil {
		t.Fatal(err)
	}
	want := strings.NewReplacer(
		"at: 0:02", "at: 0:02.000", "at: 0:40", "at: 0:30.000", "from: 0:30, to: 0:34", "from: 0:20.000, to: 0:24.000", "at: 0:50", "at: 0:40.000",
		"  - {cue: 5, follows: 4, look: dark}   # goes with 4\n  - {cue: 3, at: 0:12, look: warm}     # cut\n  - {cue: 4, follows: 3, look: dark}   # goes with 3\n", "",
		"  - {from: 0:12, to: 0:16, at most: 1 min}   # cut\n  - {from: 0:06, to: 0:11, at most: 1 min}   # torn\n", "",
	).Replace(text)
	if got := string(r.Texts["score.yaml"]); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
	for kind, lines := range map[Kind][]string{Cue: {"cue: 3,", "cue: 4,", "cue: 5,"}, Wait: {"# cut", "# torn"}} {
		for _, line := range lines {
			if !strings.Contains(r.Aside[kind], line) {
				t.Errorf("kept aside of every %s, without %q: %q", kind, line, r.Aside[kind])
			}
		}
	}
}
