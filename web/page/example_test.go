package page_test

import (
	"fmt"
	"log"
	"time"

	"lampblack/check/checktest"
	"lampblack/web/page"
)

// The ribbons of a fade in steps of half a second: hue, and how light it seems.
func Example() {
	s := checktest.Booth(`looks:
  dusk: {parts: [{system: all, emitters: {white: 100 %}}]}
cues:
  - {cue: 1, at: 0:00, look: dusk, up: 2 s}
`)
	b := page.New(s, nil)
	for _, r := range b.Contents().Ribbons {
		fmt.Println("ribbon", r.Name, "units", r.Units)
	}
	light, err := b.Light(0, 2*time.Second, 500*time.Millisecond)
	if err != nil {
		log.Fatal(err)
	}
	for ; len(light) > 0; light = light[4:] {
		fmt.Println("colour", light[:3], "level", light[3])
	}
	// Output:
	// ribbon all units [0]
	// colour [0 0 0] level 0
	// colour [255 250 254] level 146
	// colour [255 250 254] level 194
	// colour [255 250 254] level 228
}
