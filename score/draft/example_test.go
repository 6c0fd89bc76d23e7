package draft_test

import (
	"context"
	"fmt"
	"log"
	"time"

	"lampblack/score"
	"lampblack/score/draft"
	"lampblack/soundtrack"
)

// A minute of music that turns from quiet to loud, with one hit that everybody
// hears and one that hardly anybody does: three cues, and why.
func Example() {
	at := func(s float64) time.Duration { return time.Duration(s * float64(time.Second)) }
	loudness := soundtrack.Curve{Hop: at(30), Values: []float32{-32, -16}}
	track := &soundtrack.Track{Duration: at(60), ShortTerm: loudness, Programme: -20, Moments: []soundtrack.Moment{
		{Kind: soundtrack.Turn, Time: 0, Label: "a", Strength: 1},
		{Kind: soundtrack.Hit, Time: at(12), Strength: .9, Rank: 1, Decay: at(1), Why: "a bell"},
		{Kind: soundtrack.Hit, Time: at(20), Strength: .1, Rank: 2, Why: "a rustle"},
		{Kind: soundtrack.Turn, Time: at(30), Label: "b", Strength: 1},
	}}
	sc, faults := score.Read("score.yaml", []byte(`looks:
  dusk: {parts: [{system: side, colour: "#123a7c", level: 20 %}]}
  noon: {parts: [{system: side, colour: "5600 K", level: 90 %}]}
cues: []
`))
	if err := faults.Err(); err != nil {
		log.Fatal(err)
	}
	r, faults, err := draft.Draft(context.Background(), track, sc, draft.Options{})
	if err != nil || faults.Err() != nil {
		log.Fatal(err, faults)
	}
	for i := range r.Cues {
		c := &r.Cues[i]
		fmt.Printf("cue %s, %s: %s\n", c.Number, c.Look, c.Why)
	}
	// Output:
	// cue 5, dusk: section a begins, calm
	// cue 10, dusk, accent: hit of rank 1: a bell
	// cue 15, noon: section b begins, lively
}
