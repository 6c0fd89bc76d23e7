package retime_test

import (
	"bytes"
	"context"
	"fmt"
	"log"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"

	"lampblack/folder"
	"lampblack/score/retime"
	"lampblack/soundfile"
	"lampblack/soundtrack/retake"
)

// must ends the example.
func must(err error) {
	if err != nil {
		log.Fatal(err)
	}
}

// sound opens samples as a sound file.
func sound(samples []float32) soundfile.Stream {
	var b bytes.Buffer
	must(soundfile.WriteWAV(&b, rate, 1, 16, samples))
	s, err := soundfile.Open(bytes.NewReader(b.Bytes()), "take.wav")
	must(err)
	return s
}

const rate = 8000

// A new take without the seconds 10 to 15 of the old one: what came after them
// moves forward, what was in them is taken out and kept aside.
func Example() {
	old := make([]float32, 30*rate)
	random := rand.New(rand.NewPCG(1, 2))
	for i := range old {
		old[i] = random.Float32() - .5
	}
	print, err := retake.Take(sound(old))
	must(err)
	m, err := retake.Align(print, sound(slices.Concat(old[:10*rate], old[15*rate:])))
	must(err)

	dir, err := os.MkdirTemp("", "show")
	must(err)
	defer os.RemoveAll(dir)
	score := `looks:
  lagoon: {purpose: water}
cues:
  - {cue: 1, at: 0:06, look: lagoon}
  - {cue: 2, at: 0:12, look: lagoon}
  - {cue: 3, at: 0:20, look: lagoon} # the boat
`
	must(os.WriteFile(filepath.Join(dir, "score.yaml"), []byte(score), 0o600))
	f, err := folder.Open(context.Background(), dir)
	must(err)
	defer f.Close()

	r, err := retime.Move(f, m, retime.Options{})
	must(err)
	fmt.Printf("%s\nwhat was cut goes to %s:\n%s", r.Texts["score.yaml"], retime.AsideFile(retime.Cue), r.Aside[retime.Cue])
	// Output:
	// looks:
	//   lagoon: {purpose: water}
	// cues:
	//   - {cue: 1, at: 0:06.000, look: lagoon}
	//   - {cue: 3, at: 0:15.000, look: lagoon} # the boat
	//
	// what was cut goes to cut-cues.yaml:
	//   # cue 2 was at 0:12.000 of the old take, which the new one does not hold
	//   - {cue: 2, at: 0:12, look: lagoon}
}
