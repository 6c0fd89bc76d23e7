package desk_test

import (
	"context"
	"fmt"
	"log"
	"os"

	"lampblack/check/checktest"
	"lampblack/desk"
)

// A show of a lamp in a booth goes into a desk that cannot fade: what it stores,
// what recalls it, and what is lost.
func Example() {
	s := checktest.Booth(`looks:
  dim: {parts: [{system: all, emitters: {white: 20 %}}]}
  full: {parts: [{system: all, emitters: {white: 100 %}}]}
cues:
  - {cue: 1, at: 0:01, look: dim}
  - {cue: 2, at: 0:10, look: full, up: 2 s}
`)
	d, faults := desk.Read("desk.yaml", []byte(`name: hall desk
slots: 12
scenes: 3
recalled by: [{note: 36, to: 38}]
fade: {kind: none}
shortest gap: 40 ms
latency: 25 ms to 35 ms
`))
	if err := faults.Err(); err != nil {
		log.Fatal(err)
	}
	p, err := desk.Reduce(context.Background(), s, d)
	if err != nil {
		log.Fatal(err)
	}
	for _, scene := range p.Scenes {
		fmt.Println(scene.Number, scene.Name, scene.Values[:3], scene.Trigger)
	}
	if err := p.WriteReport(os.Stdout); err != nil {
		log.Fatal(err)
	}
	// Output:
	// 1 dim [0 51 0] note 36, channel 1
	// 2 full [0 255 0] note 37, channel 1
	// booth on hall desk: 3 of 12 slots, 2 of 3 scenes, 2 recalls
	// harm 7.9 (CIEDE2000 times seconds): looks that have the scene of another 0.0, fades 7.9, late 0.0, shared slots and units off 0.0
	// before slots are shared, looks that have the scene of another cost 0.0, and no choice of as many costs less than 0.0
	//
	// harm  at        cues  what is lost
	// 7.88  0:10.000  2     its change of 2 s snaps
}
