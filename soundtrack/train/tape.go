package main

import (
	"bytes"
	"context"
	"encoding/gob"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"time"

	"lampblack/soundfile"
	"lampblack/soundtrack"
	"lampblack/soundtrack/truth"
)

// tape is a stretch of sound as the beat's network sees it, with its beats: rows of inputs by
// steps of 20 ms.
type tape struct {
	Name   string
	In     [][]float32
	Beats  []time.Duration
	First  []bool
	NoBars bool // where bars begin is not known
}

// excerpt is the length of a song that is learnt from, gap the silence between two that share a
// file.
const (
	excerpt = 60 * time.Second
	gap     = 4 * time.Second
	batch   = 8 // excerpts a file: a font is loaded once for all
)

// takes are the excerpts of the songs on one side of the split: which part, how fast, by whom.
func takes(dir string, held bool, rounds int) ([]truth.Song, error) {
	var out []truth.Song
	for round := range rounds {
		for i, name := range truth.Songs(dir) {
			if truth.Held(name) != held {
				continue
			}
			s, err := truth.ReadSong(dir, name)
			if err != nil {
				return nil, err
			}
			if len(s.Beats) < 60 || len(s.Notes) < 200 {
				continue
			}
			r := rand.New(rand.NewPCG(uint64(round), uint64(i)))
			if !held {
				s = s.Faster(speed(r, s.BPM()))
			}
			last := max(s.Beats[len(s.Beats)-1]-excerpt, 0)
			s = s.Cut(time.Duration(r.Float64()*float64(last)), excerpt)
			drums := r.Float64() < 0.55
			if held {
				drums = round%2 == 1
			}
			out = append(out, s.Arranged(truth.Band{Seed: r.Uint64(), Held: held, Drums: drums}))
		}
	}
	return out, nil
}

// speed draws by how much a song is played faster, within what people count.
func speed(r *rand.Rand, bpm float64) float64 {
	for range 20 {
		if f := 0.75 + 0.65*r.Float64(); bpm*f > 58 && bpm*f < 172 {
			return f
		}
	}
	return 1
}

// tapes renders songs, a batch to a file, and returns what the network sees of each. What is
// made is kept in the folder cache.
func tapes(songs []truth.Song, fonts []string, cache, kind string, plain bool) ([]tape, error) {
	var all []tape
	for from := 0; from < len(songs); from += batch {
		part := songs[from:min(from+batch, len(songs))]
		name := filepath.Join(cache, fmt.Sprintf("%s-%04d.tapes", kind, from))
		got, err := loadTapes(name)
		if err != nil {
			r := rand.New(rand.NewPCG(uint64(from), 0x7a9e))
			how := truth.Rendering{Font: fonts[r.IntN(len(fonts))], Reverb: r.IntN(2) == 0}
			if got, err = record(part, how, r, plain); err != nil {
				return nil, err
			}
			if err := saveTapes(name, got); err != nil {
				return nil, err
			}
		}
		all = append(all, got...)
	}
	return all, nil
}

// record renders a batch and listens to each song of it.
func record(songs []truth.Song, how truth.Rendering, r *rand.Rand, plain bool) ([]tape, error) {
	var notes []truth.Note
	for i, s := range songs {
		for _, n := range s.Notes {
			n.Time += time.Duration(i) * (excerpt + gap)
			notes = append(notes, n)
		}
	}
	path, err := how.Render(truth.MIDI(notes))
	if err != nil {
		return nil, err
	}
	defer os.Remove(path)
	samples, err := monoOf(path)
	if err != nil {
		return nil, err
	}
	var out []tape
	for i, s := range songs {
		a := int((time.Duration(i) * (excerpt + gap)).Seconds() * truth.Rate)
		b := min(a+int(excerpt.Seconds()*truth.Rate), len(samples))
		if a >= b {
			continue
		}
		sound := samples[a:b]
		if !plain {
			disguise(sound, r)
		}
		t, err := hearTape(s.Name, sound, s.Beats, s.First)
		if err != nil {
			return nil, err
		}
		out = append(out, t)
	}
	return out, nil
}

// hearTape lets the front end listen.
func hearTape(name string, sound []float32, beats []time.Duration, first []bool) (tape, error) {
	in, err := soundtrack.Rhythm(context.Background(), &memory{samples: slices.Clone(sound)})
	return tape{Name: name, In: in, Beats: beats, First: first}, err
}

// monoOf reads a file as one channel.
func monoOf(path string) ([]float32, error) {
	s, err := soundfile.OpenFile(context.Background(), path)
	if err != nil {
		return nil, err
	}
	defer s.Close()
	c := s.Format().Channels
	buf := make([]float32, 8192*c)
	var out []float32
	for {
		n, err := s.Read(buf)
		for i := range n {
			sum := float32(0)
			for k := range c {
				sum += buf[i*c+k]
			}
			out = append(out, sum/float32(c))
		}
		if err == io.EOF {
			return out, nil
		}
		if err != nil {
			return nil, err
		}
	}
}

func loadTapes(name string) (t []tape, err error) {
	b, err := os.ReadFile(name)
	if err != nil {
		return nil, err
	}
	return t, gob.NewDecoder(bytes.NewReader(b)).Decode(&t)
}

func saveTapes(name string, t []tape) error {
	var b bytes.Buffer
	if err := gob.NewEncoder(&b).Encode(t); err != nil {
		return err
	}
	if err := os.MkdirAll(filepath.Dir(name), 0o755); err != nil {
		return err
	}
	return os.WriteFile(name, b.Bytes(), 0o644)
}
