package main

import (
	"bytes"
	"errors"
	"fmt"
	"go/build"
	"io/fs"
	"math/rand/v2"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
)

// drawn is how many changes are drawn in each part of the tree, spread evenly
// over the kinds as far as there are any. A part is drawn once: its lines in
// the list stay as they are, whatever becomes of the code.
var drawn = []struct {
	dirs  []string
	count int
}{
	{[]string{"check", "check/cues", "check/dark", "check/dose", "check/finding", "check/flash", "check/lines", "check/looks", "check/mend", "check/papers", "check/sight", "check/slots", "check/subject", "check/supply"}, 60},
	{[]string{"rig"}, 30},
	{[]string{"desk"}, 40},
	{[]string{"show"}, 40},
	{[]string{"score", "score/draft", "score/retime"}, 40},
	{[]string{"wire/artnet", "wire/dmx", "wire/midi", "wire/mvr", "wire/osc", "wire/sacn", "wire/timecode"}, 60},
	{[]string{"source"}, 30},
	{[]string{"light"}, 30},
	{[]string{"room", "room/measure"}, 30},
	{[]string{"soundtrack", "soundtrack/net", "soundtrack/retake"}, 30},
	{[]string{"soundfile", "soundfile/fourier", "soundfile/internal/flac", "soundfile/internal/mp3", "soundfile/internal/ogg", "soundfile/internal/vorbis"}, 25},
	{[]string{"plate", "plate/drawing"}, 20},
	{[]string{"play", "play/chase", "play/clock", "play/line", "play/output", "play/retry", "play/tempo"}, 40},
	{[]string{"play/device", "play/trigger"}, 30},
	{[]string{"evening"}, 10},
	{[]string{"web/page"}, 15},
	{[]string{"si"}, 15},
	{[]string{"folder"}, 15},
	{[]string{"living"}, 25},
}

// writeList draws for the parts that have no line in the list yet, and adds
// theirs at its end.
func writeList(root, name string, seed uint64) error {
	text, err := os.ReadFile(name)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	b := bytes.NewBuffer(text)
	fmt.Fprintf(b, "# Drawn with seed %d: file, function, kind, which of the same, text, change\n", seed)
	for i, part := range drawn {
		if listed(text, part.dirs) > part.count/2 {
			continue
		}
		var all []change
		for _, dir := range part.dirs {
			sites, err := sitesIn(root, dir)
			if err != nil {
				return err
			}
			all = append(all, sites...)
		}
		for _, c := range draw(rand.New(rand.NewPCG(seed, uint64(i))), all, part.count) {
			fmt.Fprintln(b, c.line())
		}
	}
	return os.WriteFile(name, b.Bytes(), 0o644)
}

// listed counts the lines about files in these folders; code that moved has
// taken a few to folders where none were drawn.
func listed(text []byte, dirs []string) int {
	n := 0
	for line := range strings.Lines(string(text)) {
		file, _, _ := strings.Cut(line, "\t")
		if slices.Contains(dirs, path.Dir(file)) {
			n++
		}
	}
	return n
}

// draw takes n changes, one kind after the other.
func draw(r *rand.Rand, all []change, n int) []change {
	r.Shuffle(len(all), func(i, j int) { all[i], all[j] = all[j], all[i] })
	var out []change
	for k := 0; len(out) < n && len(all) > 0; k++ {
		kind := kinds[k%len(kinds)]
		i := slices.IndexFunc(all, func(c change) bool { return c.kind == kind })
		if i < 0 {
			if !slices.ContainsFunc(all, func(c change) bool { return slices.Contains(kinds, c.kind) }) {
				break
			}
			continue
		}
		out = append(out, all[i])
		all = slices.Delete(all, i, i+1)
	}
	slices.SortFunc(out, func(a, b change) int { return strings.Compare(a.line(), b.line()) })
	return out
}

// sitesIn lists every change that can be made in one folder.
func sitesIn(root, dir string) ([]change, error) {
	files, err := filepath.Glob(filepath.Join(root, dir, "*.go"))
	if err != nil {
		return nil, err
	}
	var out []change
	for _, f := range files {
		if strings.HasSuffix(f, "_test.go") {
			continue
		}
		if ok, err := build.Default.MatchFile(filepath.Split(f)); err != nil || !ok {
			continue
		}
		text, err := os.ReadFile(f)
		if err != nil {
			return nil, err
		}
		if strings.HasPrefix(string(text), "// Code generated") {
			continue
		}
		sites, err := sites(filepath.ToSlash(filepath.Join(dir, filepath.Base(f))), text)
		if err != nil {
			return nil, err
		}
		out = append(out, sites...)
	}
	return out, nil
}
