package main

import (
	"context"
	"math"
	"math/rand/v2"
	"slices"
	"time"

	"lampblack/soundfile"
	"lampblack/soundtrack"
	"lampblack/soundtrack/net"
	"lampblack/soundtrack/truth"
)

// piece is one sound with what there is to learn from it.
type piece struct {
	file     string // MIDI file it comes from, "" for none
	examples []net.Example
	found    int // true attacks that some candidate lies at
	attacks  int
}

// count is the number of examples.
func count(ps []piece) (n int) {
	for _, p := range ps {
		n += len(p.examples)
	}
	return n
}

// reach is the share of true attacks that have a candidate at all: no network can find more.
func reach(ps []piece) float64 {
	found, all := 0, 0
	for _, p := range ps {
		found, all = found+p.found, all+p.attacks
	}
	return float64(found) / float64(max(all, 1))
}

// gather makes all material. Each of the tuned files is heard as written and once more
// transposed and at another speed, by each rendering; invented scores and synthesised
// strikes are as many as asked for.
func gather(scores int) ([]piece, error) {
	var all []piece
	for f, name := range truth.Tuned {
		midi, err := truth.MIDIFile(name)
		if err != nil {
			return nil, err
		}
		for i, r := range truth.Renderings {
			if all, err = addMIDI(all, name, midi, r); err != nil {
				return nil, err
			}
			notes, _ := truth.ReadMIDI(midi)
			up, speed := []int{-5, 4, -3, 6}[i], []float64{0.83, 1.13, 1.22, 0.91}[(i+f)%4]
			if all, err = addMIDI(all, name, truth.MIDI(truth.Transposed(notes, up, speed)), r); err != nil {
				return nil, err
			}
		}
	}
	for i := range scores {
		var err error
		midi := truth.MIDI(truth.Compose(uint64(i), 40*time.Second))
		if all, err = addMIDI(all, "", midi, truth.Renderings[i%4]); err != nil {
			return nil, err
		}
		s := truth.Strikes(uint64(i), 30*time.Second)
		p, err := listen(&memory{samples: s.Samples}, s.Attacks)
		if err != nil {
			return nil, err
		}
		all = append(all, p)
	}
	return all, nil
}

// addMIDI renders a file and listens to it.
func addMIDI(all []piece, name string, midi []byte, r truth.Rendering) ([]piece, error) {
	notes, err := truth.ReadMIDI(midi)
	if err != nil {
		return nil, err
	}
	path, err := r.Render(midi)
	if err != nil {
		return nil, err
	}
	s, err := soundfile.OpenFile(context.Background(), path)
	if err != nil {
		return nil, err
	}
	defer s.Close()
	p, err := listen(s, attacks(notes))
	p.file = name
	return append(all, p), err
}

// attacks are the times at which notes begin.
func attacks(notes []truth.Note) []time.Duration {
	var t []time.Duration
	for _, n := range notes {
		t = append(t, n.Time)
	}
	return t
}

// mergeGap is the span within which attacks count as one.
const mergeGap = 30 * time.Millisecond

// near is how far a true attack may lie from a candidate that is to be taken
// for it: three frames and a half.
const near = 0.035 // s

// listen makes an example of each candidate: a hit if a true attack lies near, with how far
// it lies off; half of them once more as if a few semitones higher or lower, since pitch
// must not tell. An attack without a candidate is only counted.
func listen(s soundfile.Stream, attacks []time.Duration) (piece, error) {
	want := truth.Merge(attacks, mergeGap)
	p := piece{attacks: len(want)}
	hit := make([]bool, len(want))
	r := rand.New(rand.NewPCG(seed, uint64(len(want))))
	err := soundtrack.Candidates(context.Background(), s, func(c soundtrack.Candidate) {
		at := float64(c.Frame) / 100
		i, ok := closest(want, at+lead)
		label, offset := float32(0), 0.0
		if ok {
			hit[i] = true
			label, offset = 1, (want[i].Seconds()-at)*100
		}
		p.examples = append(p.examples, example(slices.Clone(c.Inputs), label, offset))
		if r.IntN(2) == 0 {
			other := soundtrack.Shifted(c.Inputs, 1+r.IntN(3)-4*r.IntN(2))
			p.examples = append(p.examples, example(other, label, offset))
		}
	})
	for _, h := range hit {
		if h {
			p.found++
		}
	}
	return p, err
}

// lead is by how much the steepest rise of the logarithmic spectrum comes
// before the attack, on average.
const lead = 0.008 // s

// closest finds the true attack nearest to a time in seconds, if one lies near.
func closest(want []time.Duration, at float64) (int, bool) {
	t := time.Duration(at * float64(time.Second))
	i, _ := slices.BinarySearch(want, t)
	best, ok := 0, false
	for _, k := range []int{i - 1, i} {
		if k >= 0 && k < len(want) && math.Abs((want[k]-t).Seconds()) <= near {
			if !ok || (want[k]-t).Abs() < (want[best]-t).Abs() {
				best, ok = k, true
			}
		}
	}
	return best, ok
}

// example asks for the logit of label and, of a true attack, for its offset in
// frames: cross-entropy, and the absolute error rounded at the bottom (Huber
// 1964) so that the median error is zero.
func example(inputs []float32, label float32, offset float64) net.Example {
	want := float32(offset)
	return net.Example{In: inputs, Slope: func(d, out []float32) float32 {
		p := 1 / (1 + math.Exp(-float64(out[0])))
		// The cross-entropy's derivative by the logit; for what is no hit the offset is free.
		d[0], d[1] = float32(p)-label, 0
		loss := -math.Log(max(1e-9, math.Abs(float64(1-label)-p)))
		if label > 0 {
			e := out[1] - want
			d[1] = 0.5 * min(max(e*4, -1), 1)
			loss += 0.5 * math.Abs(float64(e))
		}
		return float32(loss)
	}}
}

// memory is a mono stream of samples at truth.Rate, so that what was synthesised needs no
// file.
type memory struct{ samples []float32 }

func (m *memory) Format() soundfile.Format {
	return soundfile.Format{Codec: "memory", Rate: truth.Rate, Channels: 1, Frames: int64(len(m.samples))}
}
