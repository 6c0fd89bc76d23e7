package score_test

import (
	"fmt"

	"lampblack/score"
)

// A score of one look and two cues, of which one asks for a look that nobody
// has written: it is read all the same, and told where.
func Example() {
	s, faults := score.Read("score.yaml", []byte(`looks:
  lagoon: {parts: [{system: side, colour: "#123a7c", level: 40 %}]}
cues:
  - {cue: 5, at: 0:12.4, look: lagoon, up: 6 s, down: 3 s}
  - {cue: 10, on: hit 0:31.2, look: lagon, up: 0.1 s, returns: 1.2 s, lands: peaks}
`))
	for _, f := range faults {
		fmt.Println(f.Error())
	}
	c := &s.Cues[0]
	fmt.Println("cue", c.Number, "rises in", c.Up, "and falls in", c.Falls())
	fmt.Println("cue", s.Cues[1].Number, "on", s.Cues[1].On, "is a bump:", s.Cues[1].Bump())
	// Output:
	// score.yaml:5:37: there is no look "lagon" (did you mean "lagoon"?)
	// cue 5 rises in 6s and falls in 3s
	// cue 10 on hit 0:31.200 is a bump: true
}
