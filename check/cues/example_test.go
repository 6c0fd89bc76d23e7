package cues_test

import (
	"fmt"
	"time"

	"lampblack/check/cues"
	"lampblack/soundtrack"
)

// Which hit a cue at 2.1 s was meant for: the nearest strong one. The nearer
// one is too faint to be meant.
func Example() {
	track := &soundtrack.Track{Moments: []soundtrack.Moment{
		{Kind: soundtrack.Hit, Time: 1900 * time.Millisecond, Strength: .8},
		{Kind: soundtrack.Hit, Time: 2090 * time.Millisecond, Strength: .1},
		{Kind: soundtrack.Hit, Time: 4 * time.Second, Strength: .9},
	}}
	at := 2100 * time.Millisecond
	hit, ok := cues.MeantFor(cues.StrongHits(track), at)
	fmt.Println(ok, hit.Time, "the cue is late by", at-hit.Time)
	// Output:
	// true 1.9s the cue is late by 200ms
}
