package main

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"time"

	"lampblack/soundtrack"
	"lampblack/soundtrack/net"
	"lampblack/soundtrack/truth"
)

// beatSpans are how far the beat's network looks: 5 s to either side with 16 channels.
var beatSpans = []int{1, 2, 4, 8, 16, 32, 64, 128, 256}

const beatWidth = 16

// runBeats teaches the beat's network and writes it, with its figures on what it did not see.
func runBeats(songs, cache, out, from string, most, often, epochs int) error {
	held, err := heldTapes(songs, cache)
	if err != nil {
		return err
	}
	all, err := beatMaterial(songs, cache, most, often)
	if err != nil {
		return err
	}
	n, rate := net.NewDilated(seed, len(all[0].In), beatWidth, 2, beatSpans...), 0.005
	if from != "" {
		b, err := os.ReadFile(from)
		if err != nil {
			return err
		}
		if n, err = net.ReadDilated(b); err != nil {
			return err
		}
		rate /= 2
	}
	fmt.Printf("%d products a step\n", n.Multiplications())
	start := time.Now()
	n.Learn(func(r *rand.Rand) net.Passage { return all[r.IntN(len(all))].passage(r) }, 250, net.Lesson{
		Seed: seed, Epochs: epochs, Batch: 8, Rate: rate, Decay: 0.01,
		Report: func(e int, loss float64) {
			fmt.Printf("epoch %d loss %.4f, %v\n", e+1, loss, time.Since(start).Round(time.Second))
			if e%4 == 1 {
				reportBeats(n, "taught", all[:min(len(all), 120)])
				reportBeats(n, "held", held[:len(held)/2])
				os.WriteFile(out, n.Append(nil), 0o644)
			}
		}})
	reportBeats(n, "held, as written", held[:len(held)/2])
	reportBeats(n, "held, with drums", held[len(held)/2:])
	return os.WriteFile(out, n.Append(nil), 0o644)
}

// heldTapes are the songs kept for testing, by instruments and fonts that nothing learns from:
// all of them as written, then all with drums.
func heldTapes(songs, cache string) ([]tape, error) {
	held, err := takes(songs, true, 2)
	if err != nil {
		return nil, err
	}
	return tapes(held, truth.HeldFonts, cache, "held", true)
}

// lessonSteps is the length of what is learnt at a time, 30 s.
const lessonSteps = 1500

// passage draws a stretch of a tape, somewhat louder or fainter in each row than it was.
func (t tape) passage(r *rand.Rand) net.Passage {
	steps := min(lessonSteps, len(t.In[0]))
	from := r.IntN(len(t.In[0]) - steps + 1)
	in := make([][]float32, len(t.In))
	all := math.Exp(0.15 * r.NormFloat64())
	for i, row := range t.In {
		in[i] = slices.Clone(row[from : from+steps])
		by := float32(all * math.Exp(0.1*r.NormFloat64()))
		for k := range in[i] {
			in[i][k] *= by
		}
	}
	want := [2][]float32{t.target(from, steps, false), t.target(from, steps, true)}
	if t.NoBars {
		want[1] = nil
	}
	return net.Passage{In: in, Slope: func(d, out [][]float32) float64 { return crossEntropy(want, d, out) }}
}

// target is 1 on a beat and falls to 0 within two steps.
func (t tape) target(from, steps int, firsts bool) []float32 {
	out := make([]float32, steps)
	for i, at := range t.Beats {
		if firsts && !t.First[i] {
			continue
		}
		x := at.Seconds()*50 - float64(from)
		for k := int(x) - 1; k <= int(x)+2; k++ {
			if k >= 0 && k < steps {
				out[k] = max(out[k], float32(1-math.Abs(float64(k)-x)/2))
			}
		}
	}
	return out
}

// crossEntropy fills d with the derivatives by the logits, a mean over the steps.
func crossEntropy(want [2][]float32, d, out [][]float32) (loss float64) {
	for o, row := range out {
		if want[o] == nil {
			continue
		}
		for t, v := range row {
			p := 1 / (1 + math.Exp(-float64(v)))
			w := float64(want[o][t])
			d[o][t] = float32((p - w) / float64(len(row)))
			loss -= (w*math.Log(max(p, 1e-9)) + (1-w)*math.Log(max(1-p, 1e-9))) / float64(len(row))
		}
	}
	return loss
}

// reportBeats prints how well the beats of tapes are counted: F at 70 ms of beats and of first
// beats, 5 s left out, and the shares counted without a break (CMLt, AMLt).
func reportBeats(n *net.Dilated, what string, tapes []tape) {
	var beats, firsts truth.Score
	var cml, aml, count float64
	for _, t := range tapes {
		if len(t.Beats) < 8 {
			continue
		}
		got, opens := soundtrack.Counted(n, t.In)
		b, f, c, a := scoreCount(t.Beats, t.First, got, opens)
		beats, firsts, cml, aml, count = beats.Plus(b), firsts.Plus(f), cml+c, aml+a, count+1
	}
	fmt.Printf("  %-18s beats F %.3f (P %.3f R %.3f) CMLt %.3f AMLt %.3f, first beats F %.3f\n", what,
		beats.F(), beats.Precision(), beats.Recall(), cml/count, aml/count, firsts.F())
}

const beatWindow = 70 * time.Millisecond

func scoreCount(want []time.Duration, first []bool, got []time.Duration, opens []bool) (b, f truth.Score, cml, aml float64) {
	w, g := after(want, nil), after(got, nil)
	cml, aml = truth.Continuity(w, g)
	return truth.Match(w, g, beatWindow), truth.Match(after(want, first), after(got, opens), beatWindow), cml, aml
}

// after leaves out the first 5 s, as evaluations of beats do, and what is not marked.
func after(t []time.Duration, marked []bool) (out []time.Duration) {
	for i, v := range t {
		if v >= 5*time.Second && (marked == nil || marked[i]) {
			out = append(out, v)
		}
	}
	return out
}

// beatMaterial is what the beat's network learns from: songs by two bands each, invented
// grooves, and sounds in which nothing is steady.
func beatMaterial(songs, cache string, most, often int) ([]tape, error) {
	takes, err := takes(songs, false, 1)
	if err != nil {
		return nil, err
	}
	takes = takes[:min(most, len(takes))]
	all, err := tapes(takes, truth.TaughtFonts, cache, "taught", false)
	if err != nil {
		return nil, err
	}
	grooves, err := grooveTapes(300, cache)
	if err != nil {
		return nil, err
	}
	tuned, err := tunedTapes(cache)
	if err != nil {
		return nil, err
	}
	fmt.Printf("%d excerpts of songs, %d grooves and unsteady sounds, %d of the tuned files\n", len(all), len(grooves), len(tuned))
	return slices.Concat(all, grooves, slices.Repeat(tuned, often)), nil
}

// tunedTapes are the five files that everything was tuned on, by one font: as written, and in another
// key at another speed, twice each.
func tunedTapes(cache string) ([]tape, error) {
	name := filepath.Join(cache, "tuned.tapes")
	if all, err := loadTapes(name); err == nil {
		return all, nil
	}
	var all []tape
	for f, name := range truth.Tuned {
		midi, err := truth.MIDIFile(name)
		if err != nil {
			return nil, err
		}
		beats, err := truth.ReadBeats(midi)
		if err != nil {
			return nil, err
		}
		notes, err := truth.ReadMIDI(midi)
		if err != nil {
			return nil, err
		}
		for i, r := range truth.Renderings[:2] {
			speed := []float64{0.83, 1.13, 1.22, 0.91}[(i+f)%4]
			song := truth.Song{Beats: beats, First: make([]bool, len(beats))}
			for _, take := range []struct {
				midi []byte
				song truth.Song
			}{{midi, song}, {truth.MIDI(truth.Transposed(notes, []int{-5, 4}[i], speed)), song.Faster(speed)}} {
				t, err := tunedTape(take.midi, take.song, r)
				if err != nil {
					return nil, err
				}
				all = append(all, t)
			}
		}
	}
	return all, saveTapes(name, all)
}

// tunedTape listens to one; its bars are not known.
func tunedTape(midi []byte, s truth.Song, r truth.Rendering) (tape, error) {
	path, err := r.Render(midi)
	if err != nil {
		return tape{}, err
	}
	sound, err := monoOf(path)
	if err != nil {
		return tape{}, err
	}
	t, err := hearTape("", sound, s.Beats, s.First)
	t.NoBars = true
	return t, err
}

// grooveTapes are invented grooves of 30 s in all meters and feels, and every sixth time sound
// without a beat.
func grooveTapes(count int, cache string) ([]tape, error) {
	name := filepath.Join(cache, "grooves.tapes")
	if all, err := loadTapes(name); err == nil {
		return all, nil
	}
	var all []tape
	for i := range count {
		r := rand.New(rand.NewPCG(uint64(i), 0x64))
		g := truth.Groove{Seed: 50000 + uint64(i), Length: 30 * time.Second, BPM: 60 + 110*r.Float64(),
			Meter: []int{4, 4, 4, 3, 3, 5, 6, 7, 2}[r.IntN(9)], Drums: r.Float64() < 0.7, OffBeat: r.Float64() < 0.25, Drop: r.Float64() < 0.2}
		switch r.IntN(5) {
		case 0:
			g.Swing = 0.18 * r.Float64()
		case 1:
			g.Rubato = 0.13 * r.Float64()
		case 2:
			g.End = g.BPM * (0.7 + 0.6*r.Float64())
		}
		played := g.Play()
		if i%6 == 5 {
			played = truth.Beaten{Samples: truth.Strikes(60000+uint64(i), 30*time.Second).Samples}
		}
		disguise(played.Samples, r)
		t, err := hearTape("", played.Samples, played.Beats, played.First)
		if err != nil {
			return nil, err
		}
		all = append(all, t)
	}
	return all, saveTapes(name, all)
}
