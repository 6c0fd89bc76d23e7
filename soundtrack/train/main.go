// Command train fits the network by which soundtrack tells hits from other
// rises of the spectrum, and prints how well it does.
//
// It learns from three sources: the five MIDI files that truth.Tuned names,
// each rendered with two sound fonts, dry and with reverberation, as written
// and in other keys and tempi; scores that truth.Compose invents, rendered the
// same way; sounds that truth.Strikes synthesises. The programs and files come
// from the Debian packages fluidsynth, fluid-soundfont-gm, timgm6mb-soundfont
// and openttd-openmsx. The seed is fixed.
//
//	go run ./soundtrack/train                 # writes soundtrack/hit.net
//	go run ./soundtrack/train -hold           # leaves each file out in turn, writes nothing
//
// With -songs it teaches the network that tells beats instead, from a minute each of songs of the
// POP909 data set, their parts played by instruments drawn at random, from the grooves that truth
// invents, and in a second lesson from the five files as well. The fonts are those of
// truth.TaughtFonts; the songs that truth.Held names, every sixth General MIDI program and
// truth.HeldFonts are never learnt from. soundtrack/beat.net is what these two leave behind:
//
//	go run ./soundtrack/train -songs DIR -beat first.net
//	go run ./soundtrack/train -songs DIR -beat-from first.net -tuned 3 -beat-epochs 6
package main

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"time"

	"lampblack/soundtrack/net"
	"lampblack/soundtrack/truth"
)

// seed fixes the first weights, the order of learning and what is shifted; any other would
// do as well.
const seed = 20261125

func main() {
	out := flag.String("o", "soundtrack/hit.net", "file to write")
	hold := flag.Bool("hold", false, "leave each of the five files out in turn and score on it")
	epochs := flag.Int("epochs", 8, "passes over the material")
	scores := flag.Int("scores", 150, "invented scores and synthesised sounds, each")
	songs := flag.String("songs", "", "folder of the POP909 data set: teach the beat's network instead, write soundtrack/beat.net")
	beatOut := flag.String("beat", "soundtrack/beat.net", "file to write the beat's network to")
	beatFrom := flag.String("beat-from", "", "a beat's network to go on from, at half the rate")
	tuned := flag.Int("tuned", 0, "how often each of the five files is there to learn beats from")
	beatEpochs := flag.Int("beat-epochs", 14, "of 2000 passages each")
	most := flag.Int("most", 272, "songs to learn from, a minute of each")
	cache := flag.String("cache", filepath.Join(os.TempDir(), "lampblack-train"), "folder that rendered material is kept in")
	flag.Parse()
	if *songs != "" {
		if err := runBeats(*songs, *cache, *beatOut, *beatFrom, *most, *tuned, *beatEpochs); err != nil {
			fmt.Fprintln(os.Stderr, "train:", err)
			os.Exit(2)
		}
		return
	}
	if err := run(*out, *hold, *epochs, *scores); err != nil {
		fmt.Fprintln(os.Stderr, "train:", err)
		os.Exit(2)
	}
}

// run gathers, teaches and writes; with hold it only measures.
func run(out string, hold bool, epochs, scores int) error {
	start := time.Now()
	all, err := gather(scores)
	if err != nil {
		return err
	}
	// What the front end does not even offer as a candidate bounds the rest.
	fmt.Printf("%d pieces, %d candidates, %.1f %% of true attacks among them, %v\n",
		len(all), count(all), 100*reach(all), time.Since(start).Round(time.Second))
	if hold {
		return holdOut(all, epochs)
	}
	n := teach(all, epochs)
	if err := report(n, truth.Tuned); err != nil {
		return err
	}
	return os.WriteFile(out, n.Append(nil), 0o644)
}

// holdOut teaches five networks, none of which knows the file it is scored on: the honest
// figure for music that nobody has heard yet. Renderings of a file go out with it.
func holdOut(all []piece, epochs int) error {
	for _, name := range truth.Tuned {
		var rest []piece
		for _, p := range all {
			if p.file != name {
				rest = append(rest, p)
			}
		}
		if err := report(teach(rest, epochs), []string{name}); err != nil {
			return err
		}
	}
	return nil
}

// teach fits a network of two hidden layers, of 32 and 16 units, and two outputs: the
// logit that a candidate is a hit, and by how many frames its attack lies off.
func teach(pieces []piece, epochs int) *net.Net {
	var examples []net.Example
	for _, p := range pieces {
		examples = append(examples, p.examples...)
	}
	inputs := len(examples[0].In)
	n := net.New(seed, inputs, 32, 16, 2)
	n.Learn(examples, net.Lesson{Seed: seed, Epochs: epochs, Batch: 128, Rate: 0.002, Decay: 0.03,
		Report: func(e int, loss float64) { fmt.Printf("epoch %d loss %.4f\n", e+1, loss) }})
	return n
}
